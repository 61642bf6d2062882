//! Backup, restore, export and import, each between the two databases in both directions.

use std::collections::BTreeSet;
use std::io::BufReader;

use crate::attachment::{PDF, PNG};
use crate::sample::{Database, Sample, batch, held, site};
use ledger::{CopyError, Ledger, Verification};
use program::{Entry, EntryId, Fact};
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};

on_both! {
    an_export_imported_into_either_database_ends_with_equal_hashes
    an_import_adds_only_the_missing_tail
    a_fork_is_refused_by_site_and_place_and_nothing_is_added
    an_export_that_is_changed_or_cut_off_is_refused_at_its_line
    a_broken_ledger_is_not_copied
    a_backup_stands_alone_and_restores_into_either_database
    a_backup_made_while_others_write_is_whole
    import_after_export_is_the_identity
}

const BOTH: [Database; 2] = [Database::Sqlite, Database::Postgres];

/// Two sites that take turns, and two attachments.
async fn filled(sample: &Sample) {
    for (at, ids) in [("north", 1..=3), ("south", 1..=2), ("north", 4..=9)] {
        sample.ledger.append(&site(at), &batch(at, ids)).await.unwrap();
    }
    sample.ledger.attach(PNG, "image/png").await.unwrap();
    sample.ledger.attach(PDF, "application/pdf").await.unwrap();
}

async fn export(ledger: &Ledger) -> Vec<u8> {
    let mut lines = Vec::new();
    ledger.export(&mut lines).await.unwrap();
    lines
}

async fn import(ledger: &Ledger, lines: &[u8]) -> Result<ledger::Copied, CopyError> {
    ledger.import(&mut BufReader::new(lines)).await
}

/// Everything in the order of positions, without the positions themselves.
async fn story(ledger: &Ledger) -> Vec<(u64, ledger::Hash, Entry)> {
    let page = ledger.read(None, 0).await.unwrap();
    page.into_iter().map(|stored| (stored.seq, stored.hash, stored.entry)).collect()
}

async fn verified(ledger: &Ledger) -> Verification {
    let found = ledger.verify().await.unwrap();
    assert!(found.stands(), "{found:?}");
    found
}

async fn an_export_imported_into_either_database_ends_with_equal_hashes(sample: Sample) {
    filled(&sample).await;
    let lines = export(&sample.ledger).await;
    for database in BOTH {
        let other = Sample::new(database).await;
        let copied = import(&other.ledger, &lines).await.unwrap();
        assert_eq!((copied.added, copied.already_known, copied.attachments_added), (11, 0, 2));
        assert_eq!(copied.came, copied.kept);
        assert_eq!(verified(&other.ledger).await, verified(&sample.ledger).await);
        assert_eq!(story(&other.ledger).await, story(&sample.ledger).await);
        assert_eq!(export(&other.ledger).await, lines);
        let again = import(&other.ledger, &lines).await.unwrap();
        assert_eq!((again.added, again.already_known, again.attachments_added), (0, 11, 0));
    }
}

async fn an_import_adds_only_the_missing_tail(sample: Sample) {
    filled(&sample).await;
    let early = export(&sample.ledger).await;
    let other = Sample::new(sample.database).await;
    import(&other.ledger, &early).await.unwrap();
    sample.ledger.append(&site("south"), &batch("south", 3..=5)).await.unwrap();
    sample.ledger.append(&site("west"), &batch("west", 1..=1)).await.unwrap();
    let late = export(&sample.ledger).await;
    let copied = import(&other.ledger, &late).await.unwrap();
    assert_eq!((copied.added, copied.already_known, copied.attachments_added), (4, 11, 0));
    assert_eq!(copied.came, copied.kept);
    // The older export adds nothing to the longer ledger and takes nothing away.
    let copied = import(&other.ledger, &early).await.unwrap();
    assert_eq!(copied.added, 0);
    assert_ne!(copied.came, copied.kept);
    assert_eq!(verified(&other.ledger).await, verified(&sample.ledger).await);
}

async fn a_fork_is_refused_by_site_and_place_and_nothing_is_added(sample: Sample) {
    filled(&sample).await;
    let other = Sample::new(sample.database).await;
    import(&other.ledger, &export(&sample.ledger).await).await.unwrap();
    sample.ledger.append(&site("west"), &batch("west", 1..=1)).await.unwrap();
    sample.ledger.append(&site("south"), &batch("south", 3..=3)).await.unwrap();
    sample.ledger.append(&site("south"), &batch("south", 4..=4)).await.unwrap();
    // The same id at the same place, with another text; and another id at the same place.
    for clash in [
        Entry { device: "phone".to_owned(), ..held("south", "south-3") },
        held("south", "south-99"),
    ] {
        let apart = Sample::new(sample.database).await;
        import(&apart.ledger, &export(&other.ledger).await).await.unwrap();
        apart.ledger.append(&site("south"), &[clash]).await.unwrap();
        let before = story(&apart.ledger).await;
        let error = import(&apart.ledger, &export(&sample.ledger).await).await.unwrap_err();
        assert!(
            matches!(&error, CopyError::Fork { site, seq: 3, id }
                if site.as_str() == "south" && id.as_str() == "south-3"),
            "{error}"
        );
        assert_eq!(story(&apart.ledger).await, before);
    }
}

async fn an_export_that_is_changed_or_cut_off_is_refused_at_its_line(sample: Sample) {
    filled(&sample).await;
    let lines = String::from_utf8(export(&sample.ledger).await).unwrap();
    let rows: Vec<&str> = lines.lines().collect();
    let without = |gone: usize| {
        let kept = rows.iter().enumerate().filter(|(n, _)| *n != gone).map(|(_, row)| *row);
        kept.collect::<Vec<_>>().join("\n")
    };
    let target = Sample::new(sample.database).await;
    for (text, said) in [
        (lines.replace("reason of north-4", "excuse of north-4"), "its text was changed"),
        (lines.replacen("\"hash\":\"", "\"hash\":\"00", 1), "line 2"),
        (lines.replace("iVBORw0KGgo", "iVBORw0KGgg"), "is not what was attached"),
        (without(0), "line 1 of the export"),
        (without(2), "entry 2 of the chain should stand here"),
        (without(12), "it says 11 entries and 2 attachments, and holds 11 and 1"),
        (without(rows.len() - 1), "its last line is missing"),
        (lines[..lines.len() / 2].to_owned(), "of the export: EOF"),
        (format!("{lines}{}\n", rows[1]), "stands behind the last one"),
        (lines.replacen("\"form\":1", "\"form\":2", 1), "form 2 is not known"),
        (lines.replacen("{\"ledger\":1}", "{\"ledger\":9}", 1), "form 9 is not known"),
        (String::new(), "its last line is missing"),
        ("wearer,site\n".to_owned(), "line 1"),
    ] {
        let error = import(&target.ledger, text.as_bytes()).await.unwrap_err().to_string();
        assert!(error.contains(said), "{said}: {error}");
    }
    let error = import(&target.ledger, b"\xff\xfe\n").await.unwrap_err().to_string();
    assert!(error.contains("not text in UTF-8"), "{error}");
    assert!(target.ledger.is_empty().await.unwrap());
}

async fn a_broken_ledger_is_not_copied(sample: Sample) {
    filled(&sample).await;
    sample.disarmed().await;
    let change =
        "UPDATE entries SET payload = replace(payload, 'reason', 'excuse') WHERE id = 'south-2'";
    sample.behind_its_back(change).await.unwrap();
    let error = sample.ledger.export(&mut Vec::new()).await.unwrap_err();
    assert!(error.to_string().contains("site `south`, entry 2 (`south-2`)"), "{error}");
    let to = sample.folder().join("backup.db");
    let error = sample.ledger.back_up(&to).await.unwrap_err();
    assert!(matches!(error, CopyError::Broken(_)), "{error}");
    assert!(!to.exists());
}

async fn a_backup_stands_alone_and_restores_into_either_database(sample: Sample) {
    filled(&sample).await;
    let to = sample.folder().join("backup.db");
    let copied = sample.ledger.back_up(&to).await.unwrap();
    assert_eq!((copied.added, copied.attachments_added), (11, 2));
    let names = std::fs::read_dir(sample.folder()).unwrap();
    let names: Vec<_> = names.map(|entry| entry.unwrap().file_name()).collect();
    let backups = names.iter().filter(|name| name.to_str().unwrap().starts_with("backup.db"));
    assert_eq!(backups.count(), 1, "{names:?}");
    let error = sample.ledger.back_up(&to).await.unwrap_err();
    assert!(matches!(error, CopyError::NotEmpty(_)), "{error}");

    let backup = Ledger::open(&to).await.unwrap();
    for database in BOTH {
        let other = Sample::new(database).await;
        other.ledger.restore(&backup).await.unwrap();
        assert_eq!(verified(&other.ledger).await, verified(&sample.ledger).await);
        assert_eq!(story(&other.ledger).await, story(&sample.ledger).await);
        let kept = other.ledger.attachment(&ledger::Hash::of(PDF)).await.unwrap().unwrap();
        assert_eq!(kept.bytes, PDF);
        let error = other.ledger.restore(&backup).await.unwrap_err();
        assert!(matches!(error, CopyError::NotEmpty(_)), "{error}");
    }
}

async fn a_backup_made_while_others_write_is_whole(sample: Sample) {
    filled(&sample).await;
    let ledger = Ledger::open(&sample.target).await.unwrap();
    let writer = tokio::spawn(async move {
        for n in 100..300 {
            ledger.append(&site("north"), &batch("north", [n])).await.unwrap();
        }
    });
    let mut copies = 0;
    while !writer.is_finished() || copies == 0 {
        let to = sample.folder().join(format!("backup-{copies}.db"));
        sample.ledger.back_up(&to).await.unwrap();
        let copy = story(&Ledger::open(&to).await.unwrap()).await;
        let now = story(&sample.ledger).await;
        assert_eq!(copy, now[..copy.len()]);
        copies += 1;
    }
    writer.await.unwrap();
}

/// Facts of every kind that an entry can be of, a line each, of some kinds with more or less in them.
fn each_kind() -> Vec<Fact> {
    let lines = include_str!("each_kind.jsonl").lines();
    lines
        .map(|line| serde_json::from_str(line).unwrap_or_else(|why| panic!("{why}: {line}")))
        .collect()
}

#[test]
fn a_fact_of_every_kind_is_at_hand() {
    let asked = serde_json::json!({ "kind": "none such" });
    let said = serde_json::from_value::<Fact>(asked).unwrap_err().to_string();
    let known: BTreeSet<&str> = said.split('`').skip(3).step_by(2).collect();
    let kinds = each_kind();
    let kinds = kinds.iter().map(|fact| serde_json::to_value(fact).unwrap()["kind"].clone());
    let kinds: Vec<String> = kinds.map(|kind| kind.as_str().unwrap().to_owned()).collect();
    assert!(known.len() > 60, "{known:?}");
    assert_eq!(kinds.iter().map(String::as_str).collect::<BTreeSet<_>>(), known);
}

async fn import_after_export_is_the_identity(sample: Sample) {
    // Each case is a few batches at one of three sites, of facts of any kind, with any text and now and
    // then correcting another; the first holds every kind.
    let facts = each_kind();
    let text = proptest::string::string_regex("[\\PC\\n\\t\"\\\\]{0,40}").unwrap();
    let any_fact = (0..facts.len(), text, any::<bool>());
    let batches = proptest::collection::vec(
        (0..3_usize, proptest::collection::vec(any_fact, 0..12), any::<bool>()),
        0..8,
    );
    let whole = (0..facts.len()).map(|which| (which, String::new(), false)).collect();
    identity(sample.database, &facts, vec![(0, whole, true)]).await;
    let handle = tokio::runtime::Handle::current();
    let mut runner = TestRunner::new(Config { cases: 24, ..Config::default() });
    let outcome = runner.run(&batches, |batches| {
        tokio::task::block_in_place(|| {
            handle.block_on(identity(sample.database, &facts, batches));
        });
        Ok(())
    });
    outcome.unwrap();
}

/// One batch: its site; the facts in it, each with a text and whether it corrects the one before; whether
/// a picture is attached.
type Batch = (usize, Vec<(usize, String, bool)>, bool);

/// Asserts that what a ledger exports is what either database holds after importing it.
async fn identity(database: Database, facts: &[Fact], batches: Vec<Batch>) {
    let one = Sample::new(database).await;
    for (n, (at, drawn, attach)) in batches.into_iter().enumerate() {
        let at = ["north", "south", "west"][at];
        let entry = |(k, (which, text, corrects)): (usize, (usize, String, bool))| Entry {
            fact: facts[which].clone(),
            device: text,
            corrects: corrects.then(|| EntryId::new(format!("{n}-{}", k.saturating_sub(1)))),
            ..held(at, &format!("{n}-{k}"))
        };
        let entries: Vec<Entry> = drawn.into_iter().enumerate().map(entry).collect();
        one.ledger.append(&site(at), &entries).await.unwrap();
        if attach {
            let bytes = [PNG, &[n as u8]].concat();
            one.ledger.attach(&bytes, "image/png").await.unwrap();
        }
    }
    let lines = export(&one.ledger).await;
    for database in BOTH {
        let other = Sample::new(database).await;
        import(&other.ledger, &lines).await.unwrap();
        assert_eq!(story(&other.ledger).await, story(&one.ledger).await);
        assert_eq!(export(&other.ledger).await, lines);
    }
}
