use crate::sample::{Database, Sample, batch, site};
use ledger::WhyBroken;

on_both! {
    a_ledger_as_written_stands
    the_first_changed_entry_is_named
    an_entry_taken_out_of_the_middle_is_missed
    a_column_beside_the_text_may_not_tell_another_story
    a_cut_end_shows_in_the_head_alone
}

/// Two sites, then SQL behind the back of the ledger with its guards taken away, then a look.
async fn tampered(
    database: Database,
    sql: &'static str,
) -> (Option<(String, u64, WhyBroken)>, u64) {
    let sample = Sample::new(database).await;
    sample.ledger.append(&site("north"), &batch("north", 1..=5)).await.unwrap();
    sample.ledger.append(&site("south"), &batch("south", 1..=5)).await.unwrap();
    sample.disarmed().await;
    sample.behind_its_back(sql).await.unwrap();
    let found = sample.reopened().await.ledger.verify().await.unwrap();
    let broken = found.broken.map(|first| (first.id.to_string(), first.seq, first.why));
    (broken, found.entries)
}

async fn check(sample: &Sample, sql: &'static str, id: &str, seq: u64, why: WhyBroken) {
    let (broken, _) = tampered(sample.database, sql).await;
    assert_eq!(broken, Some((id.to_owned(), seq, why)), "{sql}");
}

async fn a_ledger_as_written_stands(sample: Sample) {
    let receipt = sample.ledger.append(&site("north"), &batch("north", 1..=5)).await.unwrap();
    let found = sample.ledger.verify().await.unwrap();
    assert_eq!((found.entries, &found.broken), (5, &None));
    assert_eq!((found.sites[0].head.seq, found.sites[0].head.hash), (5, receipt.head));
}

async fn the_first_changed_entry_is_named(sample: Sample) {
    let text = "UPDATE entries SET payload = replace(payload, 'reason', 'excuse') \
                WHERE id IN ('south-2', 'south-4')";
    check(&sample, text, "south-2", 2, WhyBroken::Hash).await;
    let hash = "UPDATE entries SET hash = zeroblob(32) WHERE id = 'north-3'";
    check(&sample, hash, "north-3", 3, WhyBroken::Hash).await;
    let link = "UPDATE entries SET previous = zeroblob(32) WHERE id = 'north-3'";
    check(&sample, link, "north-3", 3, WhyBroken::Link).await;
}

async fn an_entry_taken_out_of_the_middle_is_missed(sample: Sample) {
    let gone = "DELETE FROM entries WHERE id = 'north-2'";
    check(&sample, gone, "north-3", 3, WhyBroken::Place { expected: 2 }).await;
    let closed_up = "DELETE FROM entries WHERE id = 'north-2'; \
                     UPDATE entries SET seq = seq - 1 WHERE site = 'north' AND seq > 2";
    check(&sample, closed_up, "north-3", 2, WhyBroken::Link).await;
}

async fn a_column_beside_the_text_may_not_tell_another_story(sample: Sample) {
    for (sql, column) in [
        ("UPDATE entries SET happened = happened + 1 WHERE id = 'north-3'", "happened"),
        ("UPDATE entries SET entered = 0 WHERE id = 'north-3'", "entered"),
    ] {
        check(&sample, sql, "north-3", 3, WhyBroken::Column { column }).await;
    }
    check(
        &sample,
        "UPDATE entries SET id = 'x' WHERE id = 'north-3'",
        "x",
        3,
        WhyBroken::Column { column: "id" },
    )
    .await;
}

// The limit the crate admits: a chain cut off at its end still stands, and only a head kept
// elsewhere shows the loss.
async fn a_cut_end_shows_in_the_head_alone(sample: Sample) {
    let (broken, entries) =
        tampered(sample.database, "DELETE FROM entries WHERE id = 'south-5'").await;
    assert_eq!((broken, entries), (None, 9));
}
