-- One row, one fact, for ever. The payload is the text that was hashed, byte for byte; the other
-- columns repeat parts of it so that they can be asked for, and `verify` compares them.
CREATE TABLE entries (
    position bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
    site     text COLLATE "C" NOT NULL CHECK (length(site) > 0),
    seq      bigint NOT NULL CHECK (seq >= 1),
    id       text COLLATE "C" NOT NULL UNIQUE CHECK (length(id) > 0),
    happened bigint NOT NULL,
    entered  bigint NOT NULL,
    payload  text   NOT NULL,
    previous bytea  NOT NULL CHECK (length(previous) = 32),
    hash     bytea  NOT NULL CHECK (length(hash) = 32),
    UNIQUE (site, seq)
);

-- The mark by which a database is known to be a ledger.
COMMENT ON TABLE entries IS 'BWLG: the entries of a ledger, never changed and never deleted';

CREATE FUNCTION rows_are_never_changed() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '% are never changed: write an entry that corrects this one', TG_TABLE_NAME;
END $$;

CREATE FUNCTION rows_are_never_deleted() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '% are never deleted: write an entry that corrects this one', TG_TABLE_NAME;
END $$;

-- INVARIANT (positions): a position is drawn only under this lock, which is held until the
-- transaction ends. So positions become visible in their order, and a reader who asks for what
-- stands after the last position it saw never misses an entry. 1113017415 are the letters BWLG.
CREATE FUNCTION entries_join_one_after_another() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    PERFORM pg_advisory_xact_lock(1113017415);
    RETURN NULL;
END $$;

-- The keys refuse a place that is taken; this refuses a place that does not follow one that is, so
-- that a chain has no gap. An entry whose predecessor came in the same statement is held against
-- that one; only the first of a site is looked up. The settings keep that to the keys.
CREATE FUNCTION entries_only_join_the_end() RETURNS trigger LANGUAGE plpgsql
    SET search_path FROM CURRENT SET enable_seqscan = off AS $$
DECLARE
    apart boolean;
    unlinked boolean;
BEGIN
    IF (SELECT count(*) FROM entries WHERE position >= (SELECT min(position) FROM added))
        <> (SELECT count(*) FROM added)
    THEN
        RAISE EXCEPTION 'an entry joins the end of the ledger: its position is below another one';
    END IF;
    SELECT bool_or(before IS NULL), bool_or(before <> previous) INTO apart, unlinked
      FROM (SELECT previous,
                   CASE WHEN seq = 1 THEN decode(repeat('00', 32), 'hex')
                        WHEN last_position > position THEN NULL
                        WHEN last_seq = seq - 1 THEN last_hash
                        ELSE (SELECT e.hash FROM entries AS e
                               WHERE e.site = added.site AND e.seq = added.seq - 1)
                    END AS before
              FROM (SELECT *,
                           lag(seq) OVER chain AS last_seq,
                           lag(hash) OVER chain AS last_hash,
                           lag(position) OVER chain AS last_position
                      FROM added WINDOW chain AS (PARTITION BY site ORDER BY seq)) AS added
           ) AS linked;
    IF apart THEN
        RAISE EXCEPTION 'an entry joins the end of the chain of its site';
    END IF;
    IF unlinked THEN
        RAISE EXCEPTION 'an entry names the hash of the one before it';
    END IF;
    RETURN NULL;
END $$;

CREATE TRIGGER entries_are_never_changed BEFORE UPDATE ON entries
    FOR EACH STATEMENT EXECUTE FUNCTION rows_are_never_changed();
CREATE TRIGGER entries_are_never_deleted BEFORE DELETE OR TRUNCATE ON entries
    FOR EACH STATEMENT EXECUTE FUNCTION rows_are_never_deleted();
CREATE TRIGGER entries_join_one_after_another BEFORE INSERT ON entries
    FOR EACH STATEMENT EXECUTE FUNCTION entries_join_one_after_another();
CREATE TRIGGER entries_only_join_the_end AFTER INSERT ON entries
    REFERENCING NEW TABLE AS added
    FOR EACH STATEMENT EXECUTE FUNCTION entries_only_join_the_end();

-- Also for a session that asks to be taken for a replica, where triggers sleep otherwise.
ALTER TABLE entries ENABLE ALWAYS TRIGGER entries_are_never_changed;
ALTER TABLE entries ENABLE ALWAYS TRIGGER entries_are_never_deleted;
ALTER TABLE entries ENABLE ALWAYS TRIGGER entries_join_one_after_another;
ALTER TABLE entries ENABLE ALWAYS TRIGGER entries_only_join_the_end;
