use crate::sample::{Database, Sample, batch, site};

on_both! {
    the_database_itself_refuses_change_and_removal
    keys_and_guards_are_what_the_crate_promises
}

/// What either database refuses, and a part of what it then says.
const REFUSED: [(&str, &str, &str); 7] = [
    ("UPDATE entries SET payload = 'x'", "never changed", "never changed"),
    ("DELETE FROM entries", "never deleted", "never deleted"),
    ("DELETE FROM entries WHERE id = 'north-3'", "never deleted", "never deleted"),
    (
        "INSERT INTO entries (site, seq, id, happened, entered, payload, previous, hash) \
         SELECT site, seq, 'new', happened, entered, 'x', previous, hash FROM entries WHERE seq = 2",
        "joins the end",
        "entries_site_seq_key",
    ),
    (
        "INSERT INTO entries (site, seq, id, happened, entered, payload, previous, hash) \
         SELECT site, 5, 'new', happened, entered, 'x', hash, hash FROM entries WHERE seq = 3",
        "joins the end",
        "joins the end",
    ),
    (
        "INSERT INTO entries (site, seq, id, happened, entered, payload, previous, hash) \
         SELECT site, 4, 'new', happened, entered, 'x', previous, hash FROM entries WHERE seq = 3",
        "names the hash",
        "names the hash",
    ),
    (
        "INSERT INTO entries (site, seq, id, happened, entered, payload, previous, hash) \
         SELECT 'south', 1, 'new', happened, entered, 'x', hash, hash FROM entries WHERE seq = 3",
        "names the hash",
        "names the hash",
    ),
];

/// What is said in the words of SQLite alone.
const REFUSED_BY_SQLITE: [(&str, &str); 5] = [
    ("UPDATE OR REPLACE entries SET seq = 1 WHERE seq = 2", "never changed"),
    (
        "INSERT OR REPLACE INTO entries (site, seq, id, happened, entered, payload, previous, hash) \
         SELECT site, seq, id, happened, entered, 'x', previous, hash FROM entries WHERE seq = 2",
        "already kept",
    ),
    (
        "INSERT OR REPLACE INTO entries (site, seq, id, happened, entered, payload, previous, hash) \
         SELECT site, seq, 'new', happened, entered, 'x', previous, hash FROM entries WHERE seq = 3",
        "joins the end",
    ),
    (
        "INSERT OR REPLACE INTO entries \
         SELECT position, 'south', 1, 'new', happened, entered, 'x', zeroblob(32), hash \
         FROM entries WHERE seq = 3",
        "position is already kept",
    ),
    ("INSERT INTO entries DEFAULT VALUES", "NOT NULL"),
];

/// The same for PostgreSQL.
const REFUSED_BY_POSTGRES: [(&str, &str); 6] = [
    ("TRUNCATE entries", "never deleted"),
    ("SET session_replication_role = replica; DELETE FROM entries", "never deleted"),
    (
        "INSERT INTO entries (site, seq, id, happened, entered, payload, previous, hash) \
         SELECT site, seq, id, happened, entered, 'x', previous, hash FROM entries WHERE seq = 2 \
         ON CONFLICT (id) DO UPDATE SET payload = 'x'",
        "never changed",
    ),
    (
        "INSERT INTO entries (position, site, seq, id, happened, entered, payload, previous, hash) \
         SELECT 900, site, 4, 'new', happened, entered, 'x', hash, hash FROM entries WHERE seq = 3",
        "non-DEFAULT value",
    ),
    (
        "INSERT INTO entries (position, site, seq, id, happened, entered, payload, previous, hash) \
         OVERRIDING SYSTEM VALUE \
         SELECT -1, site, 4, 'new', happened, entered, 'x', hash, hash FROM entries WHERE seq = 3",
        "joins the end of the ledger",
    ),
    ("INSERT INTO entries DEFAULT VALUES", "not-null"),
];

async fn the_database_itself_refuses_change_and_removal(sample: Sample) {
    sample.ledger.append(&site("north"), &batch("north", 1..=3)).await.unwrap();
    let postgres = sample.database == Database::Postgres;
    let either = REFUSED.map(|(sql, one, other)| (sql, if postgres { other } else { one }));
    let alone: &[_] = if postgres { &REFUSED_BY_POSTGRES } else { &REFUSED_BY_SQLITE };
    for (sql, refusal) in either.iter().chain(alone) {
        let error = sample.behind_its_back(sql).await.unwrap_err().to_string();
        assert!(error.contains(refusal), "{sql}: {error}");
    }
    let found = sample.ledger.verify().await.unwrap();
    assert_eq!((found.entries, found.broken), (3, None));
}

/// Asks the database itself, so that a migration that forgets a guard is seen.
async fn keys_and_guards_are_what_the_crate_promises(sample: Sample) {
    let (guards, keys) = match sample.database {
        Database::Sqlite => (
            "SELECT name FROM sqlite_schema WHERE type = 'trigger' AND tbl_name = 'entries' ORDER BY name",
            "SELECT group_concat(c.name, ' ') FROM pragma_index_list('entries') AS l, \
             pragma_index_info(l.name) AS c WHERE l.\"unique\" GROUP BY l.name ORDER BY 1",
        ),
        // A guard counts only where it is always awake.
        Database::Postgres => (
            "SELECT tgname::text FROM pg_trigger WHERE tgrelid = 'entries'::regclass AND tgenabled = 'A' ORDER BY 1",
            "SELECT string_agg(attname, ' ' ORDER BY attnum) FROM pg_index \
             JOIN pg_attribute ON attrelid = indrelid AND attnum = ANY(indkey) \
             WHERE indrelid = 'entries'::regclass AND indisunique AND NOT indisprimary \
             GROUP BY indexrelid ORDER BY 1",
        ),
    };
    let promised: &[&str] = match sample.database {
        Database::Sqlite => {
            &["entries_are_never_changed", "entries_are_never_deleted", "entries_only_join_the_end"]
        }
        Database::Postgres => &[
            "entries_are_never_changed",
            "entries_are_never_deleted",
            "entries_join_one_after_another",
            "entries_only_join_the_end",
        ],
    };
    assert_eq!(sample.ask(guards).await, promised);
    assert_eq!(sample.ask(keys).await, ["id", "site seq"]);
}

#[tokio::test]
async fn settings_of_the_file_are_what_the_crate_promises() {
    let sample = Sample::new(Database::Sqlite).await;
    let strict = "SELECT name FROM pragma_table_list WHERE strict AND name = 'entries'";
    assert_eq!(sample.ask(strict).await, ["entries"]);
    let nullable = "SELECT name FROM pragma_table_info('entries') WHERE NOT \"notnull\" AND NOT pk";
    assert!(sample.ask(nullable).await.is_empty());
    assert_eq!(sample.ask("PRAGMA journal_mode").await, ["wal"]);
    let application = "SELECT printf('%08x', application_id) FROM pragma_application_id";
    assert_eq!(sample.ask(application).await, ["42574c47"]);
}

#[tokio::test]
async fn no_column_of_the_server_may_be_empty() {
    let sample = Sample::new(Database::Postgres).await;
    let nullable = "SELECT attname::text FROM pg_attribute \
                    WHERE attrelid = 'entries'::regclass AND attnum > 0 AND NOT attnotnull";
    assert!(sample.ask(nullable).await.is_empty());
}
