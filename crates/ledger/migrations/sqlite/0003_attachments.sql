-- Pictures and papers that entries speak of, each named by the hash of its bytes, for ever.
CREATE TABLE attachments (
    hash       BLOB NOT NULL PRIMARY KEY CHECK (length(hash) = 32),
    media_type TEXT NOT NULL
        CHECK (media_type IN ('image/jpeg', 'image/png', 'image/webp', 'application/pdf')),
    bytes      BLOB NOT NULL CHECK (length(bytes) BETWEEN 1 AND 5242880)
) STRICT;

CREATE TRIGGER attachments_are_never_changed BEFORE UPDATE ON attachments
BEGIN
    SELECT RAISE(ABORT, 'attachments are never changed: attach another one');
END;

CREATE TRIGGER attachments_are_never_deleted BEFORE DELETE ON attachments
BEGIN
    SELECT RAISE(ABORT, 'attachments are never deleted');
END;

-- INSERT OR REPLACE removes rows without asking the trigger above.
CREATE TRIGGER attachments_are_never_replaced BEFORE INSERT ON attachments
BEGIN
    SELECT RAISE(ABORT, 'an attachment with this hash is already kept')
     WHERE EXISTS (SELECT 1 FROM attachments WHERE hash = NEW.hash);
END;
