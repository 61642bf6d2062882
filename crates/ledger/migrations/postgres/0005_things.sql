-- Every thing that was made known, as it stands in the list of its kind: those that are gone after
-- the others, by name. Derived like `due`.
CREATE TABLE things (
    kind   bigint NOT NULL,
    site   text COLLATE "C" NOT NULL,
    gone   bigint NOT NULL,
    sorted text COLLATE "C" NOT NULL,
    id     text COLLATE "C" NOT NULL,
    name   text   NOT NULL,
    words  text   NOT NULL,
    worn   text COLLATE "C" NOT NULL,
    PRIMARY KEY (kind, site, gone, sorted, id)
);
CREATE INDEX thing_by_id ON things (kind, id);
