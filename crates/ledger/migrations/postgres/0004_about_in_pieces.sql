-- Many entries bear on a thing: one row for each was most of the work of deriving. A row now holds a
-- piece of them: the positions of up to a hundred, the first of them, and when the latest of them
-- happened where that is asked for. A position may stand in two pieces.
DROP TABLE about;
CREATE TABLE about (
    thing     bigint   NOT NULL,
    first     bigint   NOT NULL,
    latest    bigint   NOT NULL,
    positions bigint[] NOT NULL,
    PRIMARY KEY (thing, first)
);

-- What was derived before is derived anew.
TRUNCATE due, due_count, projected;
