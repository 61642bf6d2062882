-- What follows from the entries and can be dropped and derived again at any time. No guard keeps
-- these tables: a wrong row in them is put right by deriving them anew.

-- Which entries bear on which thing. `thing` is a number made of the thing and of how the entry
-- bears on it; two things with one number only cost a look at entries that are then not used.
CREATE TABLE about (
    thing    bigint NOT NULL,
    happened bigint NOT NULL,
    position bigint NOT NULL,
    PRIMARY KEY (thing, happened, position)
);

-- The duties of every thing, with the day of the site from which each stands in the way.
CREATE TABLE due (
    site  text COLLATE "C" NOT NULL,
    kind  bigint NOT NULL,
    since bigint NOT NULL,
    about bigint NOT NULL,
    thing text COLLATE "C" NOT NULL,
    nth   bigint NOT NULL,
    PRIMARY KEY (site, kind, since, about, thing, nth)
);
CREATE INDEX due_of_thing ON due (about, thing);

-- How many duties of one kind begin on one day at one site.
CREATE TABLE due_count (
    site   text COLLATE "C" NOT NULL,
    kind   bigint NOT NULL,
    since  bigint NOT NULL,
    duties bigint NOT NULL,
    PRIMARY KEY (site, kind, since)
);

-- Up to which entry the tables above are derived, and by which rules of deriving.
CREATE TABLE projected (
    one      bigint PRIMARY KEY CHECK (one = 1),
    position bigint NOT NULL,
    derived  text   NOT NULL
);
