-- The letters BWLG: the mark by which a file is known to be a ledger.
PRAGMA application_id = 1113017415;

-- One row, one fact, for ever. The payload is the text that was hashed, byte for byte; the other
-- columns repeat parts of it so that they can be asked for, and `verify` compares them.
CREATE TABLE entries (
    position INTEGER PRIMARY KEY AUTOINCREMENT,
    site     TEXT    NOT NULL CHECK (length(site) > 0),
    seq      INTEGER NOT NULL CHECK (seq >= 1),
    id       TEXT    NOT NULL UNIQUE CHECK (length(id) > 0),
    happened INTEGER NOT NULL,
    entered  INTEGER NOT NULL,
    payload  TEXT    NOT NULL,
    previous BLOB    NOT NULL CHECK (length(previous) = 32),
    hash     BLOB    NOT NULL CHECK (length(hash) = 32),
    UNIQUE (site, seq)
) STRICT;

CREATE TRIGGER entries_are_never_changed BEFORE UPDATE ON entries
BEGIN
    SELECT RAISE(ABORT, 'entries are never changed: write an entry that corrects this one');
END;

CREATE TRIGGER entries_are_never_deleted BEFORE DELETE ON entries
BEGIN
    SELECT RAISE(ABORT, 'entries are never deleted: write an entry that corrects this one');
END;

-- INSERT OR REPLACE removes rows without asking the trigger above, and a row put in between would
-- break the chain: both are refused here.
CREATE TRIGGER entries_only_join_the_end BEFORE INSERT ON entries
BEGIN
    SELECT RAISE(ABORT, 'an entry with this id is already kept')
     WHERE EXISTS (SELECT 1 FROM entries WHERE id = NEW.id);
    SELECT RAISE(ABORT, 'an entry with this position is already kept')
     WHERE EXISTS (SELECT 1 FROM entries WHERE position = NEW.position);
    SELECT RAISE(ABORT, 'an entry joins the end of the chain of its site')
     WHERE NEW.seq <> coalesce((SELECT max(seq) FROM entries WHERE site = NEW.site), 0) + 1;
    SELECT RAISE(ABORT, 'an entry names the hash of the one before it')
     WHERE NEW.previous <> coalesce(
        (SELECT hash FROM entries WHERE site = NEW.site AND seq = NEW.seq - 1), zeroblob(32));
END;
