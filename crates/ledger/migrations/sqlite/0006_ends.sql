-- The end of the chain of each site as it was when entries were added last, kept beside the entries:
-- where the end of a chain is cut off, this still tells of it. It goes on only from the end that it
-- knows, so that what is added after a cut does not cover it.
CREATE TABLE ends (
    site TEXT    NOT NULL PRIMARY KEY,
    seq  INTEGER NOT NULL CHECK (seq >= 1),
    hash BLOB    NOT NULL CHECK (length(hash) = 32)
) STRICT, WITHOUT ROWID;

INSERT INTO ends
SELECT site, seq, hash FROM entries JOIN (SELECT site, max(seq) AS seq FROM entries GROUP BY site)
       USING (site, seq);

CREATE TRIGGER ends_are_never_deleted BEFORE DELETE ON ends
BEGIN
    SELECT RAISE(ABORT, 'the end of a chain is never deleted');
END;

CREATE TRIGGER ends_never_go_back BEFORE UPDATE ON ends WHEN NEW.seq <= OLD.seq OR NEW.site <> OLD.site
BEGIN
    SELECT RAISE(ABORT, 'the end of a chain never goes back');
END;

-- INSERT OR REPLACE removes rows without asking the triggers above.
CREATE TRIGGER ends_are_never_replaced BEFORE INSERT ON ends
 WHEN EXISTS (SELECT 1 FROM ends WHERE site = NEW.site AND seq >= NEW.seq)
BEGIN
    SELECT RAISE(ABORT, 'the end of a chain never goes back');
END;
