-- What follows from the entries and can be dropped and derived again at any time. No guard keeps
-- these tables: a wrong row in them is put right by deriving them anew.

-- Which entries bear on which thing. `thing` is a number made of the thing and of how the entry
-- bears on it; two things with one number only cost a look at entries that are then not used.
CREATE TABLE about (
    thing    INTEGER NOT NULL,
    happened INTEGER NOT NULL,
    position INTEGER NOT NULL,
    PRIMARY KEY (thing, happened, position)
) STRICT, WITHOUT ROWID;

-- The duties of every thing, with the day of the site from which each stands in the way.
CREATE TABLE due (
    site  TEXT    NOT NULL,
    kind  INTEGER NOT NULL,
    since INTEGER NOT NULL,
    about INTEGER NOT NULL,
    thing TEXT    NOT NULL,
    nth   INTEGER NOT NULL,
    PRIMARY KEY (site, kind, since, about, thing, nth)
) STRICT, WITHOUT ROWID;
CREATE INDEX due_of_thing ON due (about, thing);

-- How many duties of one kind begin on one day at one site.
CREATE TABLE due_count (
    site   TEXT    NOT NULL,
    kind   INTEGER NOT NULL,
    since  INTEGER NOT NULL,
    duties INTEGER NOT NULL,
    PRIMARY KEY (site, kind, since)
) STRICT, WITHOUT ROWID;

-- Up to which entry the tables above are derived, and by which rules of deriving.
CREATE TABLE projected (
    one      INTEGER PRIMARY KEY CHECK (one = 1),
    position INTEGER NOT NULL,
    derived  TEXT    NOT NULL
) STRICT;
