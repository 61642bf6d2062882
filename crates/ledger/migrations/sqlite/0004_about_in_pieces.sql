-- Many entries bear on a thing: one row for each was most of the work of deriving. A row now holds a
-- piece of them: the positions of up to a hundred, as a list in JSON, the first of them, and when the
-- latest of them happened where that is asked for. A position may stand in two pieces.
DROP TABLE about;
CREATE TABLE about (
    thing     INTEGER NOT NULL,
    first     INTEGER NOT NULL,
    latest    INTEGER NOT NULL,
    positions TEXT    NOT NULL,
    PRIMARY KEY (thing, first)
) STRICT, WITHOUT ROWID;

-- What was derived before is derived anew.
DELETE FROM due;
DELETE FROM due_count;
DELETE FROM projected;
