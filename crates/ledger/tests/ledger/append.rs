use crate::sample::{Sample, batch, held, site};
use ledger::{AppendError, Hash};
use program::{Entry, EntryId, Fact, UnitId};

#[tokio::test]
async fn entries_come_back_as_they_were_written_after_a_restart() {
    let sample = Sample::new().await;
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

#[tokio::test]
async fn a_retry_adds_nothing() {
    let sample = Sample::new().await;
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

#[tokio::test]
async fn the_same_id_with_other_content_is_refused_by_name_and_shows_what_is_kept() {
    let sample = Sample::new().await;
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

#[tokio::test]
async fn a_batch_is_added_whole_or_not_at_all() {
    let sample = Sample::new().await;
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

#[tokio::test]
async fn an_empty_batch_says_where_the_chain_ends() {
    let sample = Sample::new().await;
    let receipt = sample.ledger.append(&site("north"), &[]).await.unwrap();
    assert_eq!((receipt.added, receipt.head), (0, Hash::START));
}

#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn two_writers_at_once_make_one_whole_chain() {
    let sample = Sample::new().await;
    let second = ledger::Ledger::open(&sample.path).await.unwrap();
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

#[tokio::test]
async fn a_long_ledger_is_read_in_pages() {
    let sample = Sample::new().await;
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
