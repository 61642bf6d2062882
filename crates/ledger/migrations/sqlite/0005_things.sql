-- Every thing that was made known, as it stands in the list of its kind: those that are gone after
-- the others, by name. Derived like `due`.
CREATE TABLE things (
    kind   INTEGER NOT NULL,
    site   TEXT    NOT NULL,
    gone   INTEGER NOT NULL,
    sorted TEXT    NOT NULL,
    id     TEXT    NOT NULL,
    name   TEXT    NOT NULL,
    words  TEXT    NOT NULL,
    worn   TEXT    NOT NULL,
    PRIMARY KEY (kind, site, gone, sorted, id)
) STRICT, WITHOUT ROWID;
CREATE INDEX thing_by_id ON things (kind, id);
