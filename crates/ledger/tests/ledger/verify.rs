use crate::sample::{Database, Sample, batch, site};
use crate::{plant::NOW, random::asks};
use ledger::{DueQuestion, Ledger, SiteChain, WhyBroken};
use rulebook::{Decision, Severity};

on_both! {
    a_ledger_as_written_stands
    the_first_changed_entry_is_named
    an_entry_taken_out_of_the_middle_is_missed
    a_column_beside_the_text_may_not_tell_another_story
    a_cut_end_is_missed_though_more_was_added_since
    a_whole_site_that_is_gone_is_missed
    a_chain_computed_anew_shows_against_a_head_kept_elsewhere
    a_guard_that_is_gone_or_asleep_is_named
    what_the_database_keeps_of_the_ends_is_guarded_too
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

/// What a ledger tells after its end was cut off and it was opened again.
async fn told(sample: &Sample) -> (Vec<String>, bool) {
    let ledger = Ledger::open(&sample.target).await.unwrap();
    let found = ledger.verify().await.unwrap();
    assert_eq!((found.broken.as_ref(), found.stands()), (None, false));
    let copied = ledger.export(&mut Vec::new()).await.is_ok();
    (found.lost.iter().map(ToString::to_string).collect(), copied)
}

async fn a_cut_end_is_missed_though_more_was_added_since(sample: Sample) {
    let north = site("north");
    sample.ledger.append(&north, &batch("north", 1..=3)).await.unwrap();
    let kept = sample.ledger.append(&north, &batch("north", 4..=5)).await.unwrap();
    sample.disarmed().await;
    sample.behind_its_back("DELETE FROM entries WHERE id IN ('north-4', 'north-5')").await.unwrap();
    let says = format!("entry 5 with hash {} by what this database keeps", kept.head);
    let (lost, copied) = told(&sample).await;
    assert!(lost[0].contains(&says) && lost[0].ends_with("ends with entry 3 now"), "{lost:?}");
    assert_eq!(lost.len() > 1, sample.database == Database::Sqlite, "positions: {lost:?}");
    assert!(!copied, "a ledger that was cut off is not copied");
    for (ids, ends) in
        [(14..=14, "ends with entry 4 now"), (15..=17, "another entry stands in its place now")]
    {
        sample.ledger.append(&north, &batch("north", ids)).await.unwrap();
        let (lost, _) = told(&sample).await;
        assert!(lost[0].contains(&says) && lost[0].ends_with(ends), "{lost:?}");
    }
}

async fn a_whole_site_that_is_gone_is_missed(sample: Sample) {
    for at in ["north", "south", "west"] {
        sample.ledger.append(&site(at), &batch(at, 1..=3)).await.unwrap();
    }
    sample.disarmed().await;
    sample.behind_its_back("DELETE FROM entries WHERE site = 'south'").await.unwrap();
    let (lost, _) = told(&sample).await;
    assert_eq!(lost.len(), 1);
    assert!(
        lost[0].contains("`south` held entry 3") && lost[0].contains("ends with entry 0"),
        "{lost:?}"
    );
    // What was derived reaches further than what is left, whatever the table of ends says.
    let ledger = Ledger::open(&sample.target).await.unwrap();
    ledger.append(&site("north"), &batch("north", 4..=9)).await.unwrap();
    ledger.catch_up().await.unwrap();
    sample.behind_its_back("DELETE FROM entries WHERE site = 'north' AND seq > 3").await.unwrap();
    let (lost, _) = told(&sample).await;
    assert!(lost.iter().any(|one| one.contains("at position")), "{lost:?}");
}

async fn a_chain_computed_anew_shows_against_a_head_kept_elsewhere(sample: Sample) {
    let (north, south) = (site("north"), site("south"));
    sample.ledger.append(&north, &batch("north", 1..=3)).await.unwrap();
    let heads: Vec<String> =
        sample.ledger.verify().await.unwrap().sites.iter().map(ToString::to_string).collect();
    let heads = SiteChain::among_lines(&format!("whole: 3 entries\n  {}\n", heads.join("\n")));
    assert_eq!(heads.len(), 1);
    sample.ledger.append(&north, &batch("north", 4..=5)).await.unwrap();
    sample.ledger.append(&south, &batch("south", 1..=1)).await.unwrap();
    assert!(sample.ledger.verify_against(&heads).await.unwrap().stands(), "it goes on from it");
    let other = Sample::new(sample.database).await;
    other.ledger.append(&north, &batch("north", 2..=6)).await.unwrap();
    let found = other.ledger.verify_against(&heads).await.unwrap();
    assert_eq!(found.lost.len(), 1);
    let said = found.lost[0].to_string();
    assert!(said.contains("by the head kept elsewhere; another entry stands"), "{said}");
    assert!(other.ledger.verify().await.unwrap().stands(), "nothing in the database shows it");
}

async fn a_guard_that_is_gone_or_asleep_is_named(sample: Sample) {
    sample.ledger.append(&site("north"), &batch("north", 1..=3)).await.unwrap();
    assert!(sample.ledger.verify().await.unwrap().unguarded.is_empty());
    let spoilt: &[&str] = match sample.database {
        Database::Sqlite => &[
            "DROP TRIGGER entries_are_never_deleted",
            "DROP TRIGGER attachments_are_never_changed; \
             CREATE TRIGGER attachments_are_never_changed BEFORE UPDATE ON attachments BEGIN SELECT 1; END",
        ],
        Database::Postgres => &[
            "ALTER TABLE entries ENABLE TRIGGER entries_are_never_deleted",
            "DROP TRIGGER attachments_are_never_changed ON attachments; \
             CREATE FUNCTION idle() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN NEW; END'; \
             CREATE TRIGGER attachments_are_never_changed BEFORE UPDATE ON attachments \
             FOR EACH ROW EXECUTE FUNCTION idle(); \
             ALTER TABLE attachments ENABLE ALWAYS TRIGGER attachments_are_never_changed",
        ],
    };
    for sql in spoilt {
        sample.behind_its_back(sql).await.unwrap();
    }
    let found = Ledger::open(&sample.target).await.unwrap().verify().await.unwrap();
    let mut unguarded = found.unguarded.clone();
    unguarded.sort();
    assert_eq!(unguarded, ["attachments_are_never_changed", "entries_are_never_deleted"]);
    assert!(!found.stands() && found.lost.is_empty() && found.broken.is_none());
    // No answer rests on such a ledger.
    let ask = asks().next().unwrap();
    let verdict = sample.ledger.may_wear(&ask, NOW.parse().unwrap()).await.unwrap();
    let stop = verdict.findings.iter().find(|found| found.rule.id == "records.guarded").unwrap();
    assert_eq!((verdict.decision, stop.severity), (Decision::Stop, Severity::Stop));
    assert!(stop.text().contains("entries_are_never_deleted"), "{}", stop.text());
    let question =
        DueQuestion { site: None, kind: None, days: 0, skip: 0, limit: 0, of_each_kind: false };
    let due = sample.ledger.due(&question, NOW.parse().unwrap()).await.unwrap();
    assert_eq!(due.unguarded.as_ref().map(|found| found.text()), Some(stop.text()));
}

async fn what_the_database_keeps_of_the_ends_is_guarded_too(sample: Sample) {
    sample.ledger.append(&site("north"), &batch("north", 1..=3)).await.unwrap();
    for (sql, refusal) in [
        ("DELETE FROM ends", "never deleted"),
        ("UPDATE ends SET seq = 2", "never goes back"),
        ("UPDATE ends SET hash = zeroblob(32)", "never goes back"),
    ] {
        let error = sample.behind_its_back(sql).await.unwrap_err().to_string();
        assert!(error.contains(refusal), "{sql}: {error}");
    }
    if sample.database == Database::Sqlite {
        let replace = "INSERT OR REPLACE INTO ends SELECT site, 2, hash FROM ends";
        let error = sample.behind_its_back(replace).await.unwrap_err().to_string();
        assert!(error.contains("never goes back"), "{error}");
    }
}
