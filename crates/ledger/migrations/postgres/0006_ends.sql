-- The end of the chain of each site as it was when entries were added last, kept beside the entries:
-- where the end of a chain is cut off, this still tells of it. It goes on only from the end that it
-- knows, so that what is added after a cut does not cover it.
CREATE TABLE ends (
    site text COLLATE "C" NOT NULL PRIMARY KEY,
    seq  bigint NOT NULL CHECK (seq >= 1),
    hash bytea  NOT NULL CHECK (length(hash) = 32)
);

INSERT INTO ends
SELECT site, seq, hash FROM entries JOIN (SELECT site, max(seq) AS seq FROM entries GROUP BY site) AS last
       USING (site, seq);

CREATE FUNCTION ends_never_go_back() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NEW.seq <= OLD.seq OR NEW.site <> OLD.site THEN
        RAISE EXCEPTION 'the end of a chain never goes back';
    END IF;
    RETURN NEW;
END $$;

CREATE TRIGGER ends_are_never_deleted BEFORE DELETE OR TRUNCATE ON ends
    FOR EACH STATEMENT EXECUTE FUNCTION rows_are_never_deleted();
CREATE TRIGGER ends_never_go_back BEFORE UPDATE ON ends
    FOR EACH ROW EXECUTE FUNCTION ends_never_go_back();

ALTER TABLE ends ENABLE ALWAYS TRIGGER ends_are_never_deleted;
ALTER TABLE ends ENABLE ALWAYS TRIGGER ends_never_go_back;
