use crate::sample::{Sample, batch, held, site};
use ledger::{AppendError, Hash};
use program::{Entry, EntryId, Fact, UnitId};

on_both! {
    entries_come_back_as_they_were_written_after_a_restart
    a_retry_adds_nothing
    the_same_id_with_other_content_is_refused_by_name_and_shows_what_is_kept
    a_batch_is_added_whole_or_not_at_all
    an_empty_batch_says_where_the_chain_ends
    two_writers_at_once_make_one_whole_chain
    a_long_ledger_is_read_in_pages
    a_reader_that_goes_by_position_misses_nothing_that_several_writers_add
    two_benches_that_record_on_one_set_both_keep_their_facts
    a_name_that_not_every_database_can_keep_is_refused
}

async fn entries_come_back_as_they_were_written_after_a_restart(sample: Sample) {
    let (north, south) = (site("north"), site("south"));
    sample.ledger.append(&north, &batch("north", 1..=3)).await.unwrap();
    sample.ledger.append(&south, &batch("south", 1..=2)).await.unwrap();
    let receipt = sample.ledger.append(&north, &batch("north", 4..=4)).await.unwrap();

    let sample = sample.reopened().await;
    let all = sample.ledger.read(None, 0).await.unwrap();
    let ids: Vec<&str> = all.iter().map(|stored| stored.entry.id.as_str()).collect();
    assert_eq!(ids, ["north-1", "north-2", "north-3", "south-1", "south-2", "north-4"]);
    assert_eq!(all.iter().map(|stored| stored.seq).collect::<Vec<_>>(), [1, 2, 3, 1, 2, 4]);
    assert_eq!(all[0].entry, held("north", "north-1"));

    let north_only = sample.ledger.read(Some(&north), all[1].position).await.unwrap();
    assert_eq!(north_only.iter().map(|s| s.seq).collect::<Vec<_>>(), [3, 4]);
    assert_eq!(sample.ledger.sites().await.unwrap(), [north.clone(), south]);
    let head = sample.ledger.head(&north).await.unwrap().unwrap();
    assert_eq!((head.seq, head.hash), (4, receipt.head));
    assert_eq!(sample.ledger.head(&site("nowhere")).await.unwrap(), None);
    assert_eq!(sample.ledger.find(&all[3].entry.id).await.unwrap().as_ref(), Some(&all[3]));
}

async fn a_retry_adds_nothing(sample: Sample) {
    let north = site("north");
    let first = sample.ledger.append(&north, &batch("north", 1..=3)).await.unwrap();
    assert_eq!((first.added, first.already_known), (3, 0));
    let retry = sample.ledger.append(&north, &batch("north", 1..=3)).await.unwrap();
    assert_eq!((retry.added, retry.already_known, retry.head), (0, 3, first.head));
    let longer = sample.ledger.append(&north, &batch("north", 2..=5)).await.unwrap();
    assert_eq!((longer.added, longer.already_known), (2, 2));
    assert_eq!(sample.ledger.read(None, 0).await.unwrap().len(), 5);
    let twice_in_one = [held("north", "north-9"), held("north", "north-9")];
    let receipt = sample.ledger.append(&north, &twice_in_one).await.unwrap();
    assert_eq!((receipt.added, receipt.already_known), (1, 1));
}

async fn the_same_id_with_other_content_is_refused_by_name_and_shows_what_is_kept(sample: Sample) {
    let north = site("north");
    sample.ledger.append(&north, &batch("north", 1..=2)).await.unwrap();
    let other = Entry { device: "phone".to_owned(), ..held("north", "north-2") };
    match sample.ledger.append(&north, std::slice::from_ref(&other)).await.unwrap_err() {
        AppendError::OtherContent { id, kept } => {
            assert_eq!(id.as_str(), "north-2");
            assert_eq!(*kept.unwrap(), held("north", "north-2"));
        }
        error => panic!("{error}"),
    }
    let both = [held("north", "north-7"), Entry { id: EntryId::new("north-7"), ..other }];
    let error = sample.ledger.append(&north, &both).await.unwrap_err();
    assert!(error.to_string().starts_with("entry `north-7` is already kept"), "{error}");
}

async fn a_batch_is_added_whole_or_not_at_all(sample: Sample) {
    let north = site("north");
    let first = sample.ledger.append(&north, &batch("north", 1..=1)).await.unwrap();
    let mut spoiled = batch("north", 2..=1200);
    let mut clash = held("north", "north-1");
    clash.fact = Fact::Retired { unit: UnitId::new("HM-001"), why: "worn".to_owned() };
    spoiled.push(clash);
    assert!(sample.ledger.append(&north, &spoiled).await.is_err());
    let mut elsewhere = batch("north", 2..=3);
    elsewhere.push(held("south", "south-1"));
    let error = sample.ledger.append(&north, &elsewhere).await.unwrap_err();
    assert!(matches!(error, AppendError::OtherSite { .. }), "{error}");
    let unnamed = [held("north", "north-2"), held("north", " ")];
    assert!(matches!(
        sample.ledger.append(&north, &unnamed).await.unwrap_err(),
        AppendError::EmptyName
    ));
    assert_eq!(sample.ledger.head(&north).await.unwrap().unwrap().hash, first.head);
    assert_eq!(sample.ledger.read(None, 0).await.unwrap().len(), 1);
}

async fn an_empty_batch_says_where_the_chain_ends(sample: Sample) {
    let receipt = sample.ledger.append(&site("north"), &[]).await.unwrap();
    assert_eq!((receipt.added, receipt.head), (0, Hash::START));
}

async fn two_writers_at_once_make_one_whole_chain(sample: Sample) {
    let second = ledger::Ledger::open(&sample.target).await.unwrap();
    let write = |ledger: ledger::Ledger, from: u32| async move {
        for n in from..from + 60 {
            ledger.append(&site("north"), &batch("north", [n, n + 1000])).await.unwrap();
        }
    };
    let one = tokio::spawn(write(sample.ledger.clone(), 0));
    let two = tokio::spawn(write(second, 100));
    one.await.unwrap();
    two.await.unwrap();
    let found = sample.ledger.verify().await.unwrap();
    assert_eq!((found.entries, found.broken), (240, None));
}

async fn a_long_ledger_is_read_in_pages(sample: Sample) {
    sample.ledger.append(&site("north"), &batch("north", 1..=4500)).await.unwrap();
    let (mut seen, mut after) = (Vec::new(), 0);
    loop {
        let page = sample.ledger.read(None, after).await.unwrap();
        let Some(last) = page.last() else { break };
        after = last.position;
        seen.extend(page.into_iter().map(|stored| stored.seq));
    }
    assert_eq!(seen, (1..=4500).collect::<Vec<_>>());
}

/// The entries after `after`, and how far they reach.
async fn rest(ledger: &ledger::Ledger, mut after: u64) -> (Vec<EntryId>, u64) {
    let mut ids = Vec::new();
    loop {
        let page = ledger.read(None, after).await.unwrap();
        let Some(last) = page.last() else { return (ids, after) };
        after = last.position;
        ids.extend(page.into_iter().map(|stored| stored.entry.id));
    }
}

// The invariant of positions: what is committed later never stands before what a reader has seen.
// Four writers, each with connections of its own, write to sites of their own and to one in common.
async fn a_reader_that_goes_by_position_misses_nothing_that_several_writers_add(sample: Sample) {
    let mut writers = Vec::new();
    for writer in 0..4_u32 {
        let ledger = ledger::Ledger::open(&sample.target).await.unwrap();
        writers.push(tokio::spawn(async move {
            for n in 0..50 {
                let at = if n % 2 == 0 { "common".to_owned() } else { format!("own-{writer}") };
                let entries: Vec<Entry> =
                    (0..=n % 5).map(|k| held(&at, &format!("{writer}-{n}-{k}"))).collect();
                ledger.append(&site(&at), &entries).await.unwrap();
            }
        }));
    }
    let (mut seen, mut after) = (Vec::new(), 0);
    while !writers.iter().all(tokio::task::JoinHandle::is_finished) {
        let (ids, reached) = rest(&sample.ledger, after).await;
        seen.extend(ids);
        after = reached;
    }
    for writer in writers {
        writer.await.unwrap();
    }
    seen.extend(rest(&sample.ledger, after).await.0);
    assert_eq!(seen, rest(&sample.ledger, 0).await.0);
    assert_eq!(seen.len(), 4 * 10 * (1 + 2 + 3 + 4 + 5));
    assert_eq!(sample.ledger.verify().await.unwrap().broken, None);
}

// Two benches look at one set, both see it free, and both record: neither fact may be lost, and the
// program that reads them later makes a finding of what contradicts.
async fn two_benches_that_record_on_one_set_both_keep_their_facts(sample: Sample) {
    let together = std::sync::Arc::new(tokio::sync::Barrier::new(2));
    let mut benches = Vec::new();
    for (id, why) in [("bench-a", "strap torn"), ("bench-b", "valve leaks")] {
        let ledger = ledger::Ledger::open(&sample.target).await.unwrap();
        let together = together.clone();
        benches.push(tokio::spawn(async move {
            let north = site("north");
            for round in 0..25 {
                let seen = ledger.head(&north).await.unwrap().map_or(0, |head| head.seq);
                together.wait().await;
                let id = format!("{id}-{round}");
                let fact = Fact::Held { unit: UnitId::new("HM-001"), why: why.to_owned() };
                let entry = Entry { fact, ..held("north", &id) };
                let receipt = ledger.append(&north, std::slice::from_ref(&entry)).await.unwrap();
                assert_eq!(receipt.added, 1, "round {round}, the chain had {seen}");
                assert_eq!(ledger.find(&entry.id).await.unwrap().unwrap().entry, entry);
            }
        }));
    }
    for bench in benches {
        bench.await.unwrap();
    }
    let found = sample.ledger.verify().await.unwrap();
    assert_eq!((found.entries, found.broken), (50, None));
}

async fn a_name_that_not_every_database_can_keep_is_refused(sample: Sample) {
    let odd = [held("north", "a\0b")];
    let error = sample.ledger.append(&site("north"), &odd).await.unwrap_err();
    assert!(matches!(error, AppendError::NullInName), "{error}");
    let why = "torn \0 strap \u{1f600}".to_owned();
    let text =
        Entry { fact: Fact::Held { unit: UnitId::new("HM-001"), why }, ..held("north", "north-1") };
    sample.ledger.append(&site("north"), std::slice::from_ref(&text)).await.unwrap();
    assert_eq!(sample.ledger.find(&text.id).await.unwrap().unwrap().entry, text);
}
