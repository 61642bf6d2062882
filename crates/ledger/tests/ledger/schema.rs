use crate::sample::{Sample, batch, raw, site};

/// Asks the database itself, so that a migration that forgets a guard is seen.
async fn ask(sample: &Sample, sql: &'static str) -> Vec<String> {
    let mut connection = raw(&sample.path).await;
    sqlx::query_scalar(sql).fetch_all(&mut connection).await.unwrap()
}

#[tokio::test]
async fn the_database_itself_refuses_change_and_removal() {
    let sample = Sample::new().await;
    sample.ledger.append(&site("north"), &batch("north", 1..=3)).await.unwrap();
    for (sql, refusal) in [
        ("UPDATE entries SET device = 1", "no such column"),
        ("UPDATE entries SET payload = 'x'", "never changed"),
        ("UPDATE OR REPLACE entries SET seq = 1 WHERE seq = 2", "never changed"),
        ("DELETE FROM entries", "never deleted"),
        ("DELETE FROM entries WHERE id = 'north-3'", "never deleted"),
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
        (
            "INSERT INTO entries (site, seq, id, happened, entered, payload, previous, hash) \
             SELECT site, 4, 'new', happened, entered, 'x', previous, hash FROM entries WHERE seq = 3",
            "names the hash",
        ),
        ("INSERT INTO entries DEFAULT VALUES", "NOT NULL"),
    ] {
        let error = sample.behind_its_back(sql).await.unwrap_err().to_string();
        assert!(error.contains(refusal), "{sql}: {error}");
    }
    let found = sample.ledger.verify().await.unwrap();
    assert_eq!((found.entries, found.broken), (3, None));
}

#[tokio::test]
async fn keys_guards_and_settings_are_what_the_crate_promises() {
    let sample = Sample::new().await;
    assert_eq!(
        ask(&sample, "SELECT name FROM sqlite_schema WHERE type = 'trigger' ORDER BY name").await,
        ["entries_are_never_changed", "entries_are_never_deleted", "entries_only_join_the_end"]
    );
    assert_eq!(
        ask(
            &sample,
            "SELECT group_concat(c.name, ' ') FROM pragma_index_list('entries') AS l, \
             pragma_index_info(l.name) AS c WHERE l.\"unique\" GROUP BY l.name ORDER BY 1",
        )
        .await,
        ["id", "site seq"]
    );
    let strict = "SELECT name FROM pragma_table_list WHERE strict AND name = 'entries'";
    assert_eq!(ask(&sample, strict).await, ["entries"]);
    let nullable = "SELECT name FROM pragma_table_info('entries') WHERE NOT \"notnull\" AND NOT pk";
    assert!(ask(&sample, nullable).await.is_empty());
    assert_eq!(ask(&sample, "PRAGMA journal_mode").await, ["wal"]);
    let application = "SELECT printf('%08x', application_id) FROM pragma_application_id";
    assert_eq!(ask(&sample, application).await, ["42574c47"]);
}
