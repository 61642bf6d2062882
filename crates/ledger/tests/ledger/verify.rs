use crate::sample::{Sample, batch, site};
use ledger::WhyBroken;

/// Two sites, then SQL behind the back of the ledger with its guards taken away, then a look.
async fn tampered(sql: &'static str) -> (Option<(String, u64, WhyBroken)>, u64) {
    let sample = Sample::new().await;
    sample.ledger.append(&site("north"), &batch("north", 1..=5)).await.unwrap();
    sample.ledger.append(&site("south"), &batch("south", 1..=5)).await.unwrap();
    sample
        .behind_its_back(
            "DROP TRIGGER entries_are_never_changed; DROP TRIGGER entries_are_never_deleted; \
             DROP TRIGGER entries_only_join_the_end",
        )
        .await
        .unwrap();
    sample.behind_its_back(sql).await.unwrap();
    let found = sample.reopened().await.ledger.verify().await.unwrap();
    let broken = found.broken.map(|first| (first.id.to_string(), first.seq, first.why));
    (broken, found.entries)
}

async fn check(sql: &'static str, id: &str, seq: u64, why: WhyBroken) {
    let (broken, _) = tampered(sql).await;
    assert_eq!(broken, Some((id.to_owned(), seq, why)), "{sql}");
}

#[tokio::test]
async fn a_ledger_as_written_stands() {
    let sample = Sample::new().await;
    let receipt = sample.ledger.append(&site("north"), &batch("north", 1..=5)).await.unwrap();
    let found = sample.ledger.verify().await.unwrap();
    assert_eq!((found.entries, &found.broken), (5, &None));
    assert_eq!((found.sites[0].head.seq, found.sites[0].head.hash), (5, receipt.head));
}

#[tokio::test]
async fn the_first_changed_entry_is_named() {
    let text = "UPDATE entries SET payload = replace(payload, 'reason', 'excuse') \
                WHERE id IN ('south-2', 'south-4')";
    check(text, "south-2", 2, WhyBroken::Hash).await;
    let hash = "UPDATE entries SET hash = zeroblob(32) WHERE id = 'north-3'";
    check(hash, "north-3", 3, WhyBroken::Hash).await;
    let link = "UPDATE entries SET previous = zeroblob(32) WHERE id = 'north-3'";
    check(link, "north-3", 3, WhyBroken::Link).await;
}

#[tokio::test]
async fn an_entry_taken_out_of_the_middle_is_missed() {
    let gone = "DELETE FROM entries WHERE id = 'north-2'";
    check(gone, "north-3", 3, WhyBroken::Place { expected: 2 }).await;
    let closed_up = "DELETE FROM entries WHERE id = 'north-2'; \
                     UPDATE entries SET seq = seq - 1 WHERE site = 'north' AND seq > 2";
    check(closed_up, "north-3", 2, WhyBroken::Link).await;
}

#[tokio::test]
async fn a_column_beside_the_text_may_not_tell_another_story() {
    for (sql, column) in [
        ("UPDATE entries SET happened = happened + 1 WHERE id = 'north-3'", "happened"),
        ("UPDATE entries SET entered = 0 WHERE id = 'north-3'", "entered"),
    ] {
        check(sql, "north-3", 3, WhyBroken::Column { column }).await;
    }
    check(
        "UPDATE entries SET id = 'x' WHERE id = 'north-3'",
        "x",
        3,
        WhyBroken::Column { column: "id" },
    )
    .await;
}

// The limit the crate admits: a chain cut off at its end still stands, and only a head kept
// elsewhere shows the loss.
#[tokio::test]
async fn a_cut_end_shows_in_the_head_alone() {
    let (broken, entries) = tampered("DELETE FROM entries WHERE id = 'south-5'").await;
    assert_eq!((broken, entries), (None, 9));
}
