-- Pictures and papers that entries speak of, each named by the hash of its bytes, for ever.
CREATE TABLE attachments (
    hash       bytea NOT NULL PRIMARY KEY CHECK (length(hash) = 32),
    media_type text  NOT NULL
        CHECK (media_type IN ('image/jpeg', 'image/png', 'image/webp', 'application/pdf')),
    bytes      bytea NOT NULL CHECK (length(bytes) BETWEEN 1 AND 5242880)
);

CREATE TRIGGER attachments_are_never_changed BEFORE UPDATE ON attachments
    FOR EACH STATEMENT EXECUTE FUNCTION rows_are_never_changed();
CREATE TRIGGER attachments_are_never_deleted BEFORE DELETE OR TRUNCATE ON attachments
    FOR EACH STATEMENT EXECUTE FUNCTION rows_are_never_deleted();
ALTER TABLE attachments ENABLE ALWAYS TRIGGER attachments_are_never_changed;
ALTER TABLE attachments ENABLE ALWAYS TRIGGER attachments_are_never_deleted;
