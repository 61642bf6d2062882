//! The lists and the states of few things, against the same from every entry.

use std::collections::BTreeSet;

use ledger::{ListQuestion, ListedThing};
use program::due::{DAYS_AHEAD, due_of};
use program::{Entry, EntryId, Fact, PersonId, SiteId, State, Subject};

use crate::plant::NOW;
use crate::projection::{append, random_plants};
use crate::sample::Sample;

fn question(kind: u8) -> ListQuestion<'static> {
    ListQuestion { kind, site: None, words: "", after: "", limit: usize::MAX }
}

/// Every thing of a kind that the state lists: id, name, and whether it is gone.
fn listed(state: &State, kind: u8, site: Option<&SiteId>) -> BTreeSet<(String, String, bool)> {
    // Models and kinds of elements are no subjects of their own in a state.
    let models = state.models().map(|(id, _)| Subject::Model(id.clone()));
    let elements = state.element_types().map(|(id, _)| Subject::ElementType(id.clone()));
    let things = state.subjects().chain(models).chain(elements);
    let told = things.filter(|thing| thing.kind() == kind).filter_map(|thing| {
        let own = state.listed(&thing)?;
        let here = site.is_none() || own.site.as_ref() == site;
        here.then(|| (thing.id().to_owned(), own.name, own.gone))
    });
    told.collect()
}

fn told(things: &[ListedThing]) -> BTreeSet<(String, String, bool)> {
    things.iter().map(|one| (one.id.clone(), one.name.clone(), one.gone)).collect()
}

async fn lists_hold_every_thing_once_and_in_order(sample: Sample) {
    let entries = random_plants(3).pop().unwrap();
    append(&sample.ledger, &entries).await;
    let state = State::from_entries(&entries);
    let north = SiteId::new("north");
    let mut things = 0;
    for kind in 0..=u8::MAX {
        let all = sample.ledger.list(&question(kind)).await.unwrap();
        assert_eq!(told(&all), listed(&state, kind, None), "kind {kind}");
        assert_eq!(told(&all).len(), all.len());
        assert!(all.is_sorted_by_key(|one| one.gone));
        // Page by page it is the same list.
        let (mut pages, mut after) = (Vec::new(), String::new());
        loop {
            let asked = ListQuestion { after: &after, limit: 2, ..question(kind) };
            let page = sample.ledger.list(&asked).await.unwrap();
            let Some(last) = page.last() else { break };
            after = last.id.clone();
            pages.extend(page);
        }
        assert_eq!(pages, all);
        let here = ListQuestion { site: Some(&north), ..question(kind) };
        let here = sample.ledger.list(&here).await.unwrap();
        assert_eq!(told(&here), listed(&state, kind, Some(&north)), "kind {kind} in the north");
        things += all.len();
    }
    assert!(things > 10);
}

async fn a_thing_is_found_by_id_by_name_and_by_what_is_spelled_alike(sample: Sample) {
    let enrolled = |number: usize, name: &str| {
        let when = NOW.parse().unwrap();
        Entry {
            id: EntryId::new(format!("enrolled-{number}")),
            site: SiteId::new("north"),
            happened: when,
            entered: when,
            by: PersonId::new("p"),
            device: "bench".to_owned(),
            corrects: None,
            fact: Fact::WearerEnrolled {
                wearer: PersonId::new(format!("W-{number}")),
                name: name.to_owned(),
            },
        }
    };
    let mut all: Vec<Entry> = (0..300).map(|n| enrolled(n, &format!("Extra {n}"))).collect();
    all.push(enrolled(300, "Élan O'Birch"));
    sample.ledger.append(&SiteId::new("north"), &all).await.unwrap();
    let wearer = Subject::Wearer(PersonId::new("")).kind();
    let ids = |found: Vec<ListedThing>| found.into_iter().map(|one| one.id).collect::<Vec<_>>();
    for (typed, id) in [
        ("W-300", "W-300"),
        ("w-300", "W-300"),
        ("élan o'birch", "W-300"),
        ("ÉLAN O'BIRCH", "W-300"),
        ("birch", "W-300"),
        ("extra 7", "W-7"),
    ] {
        assert_eq!(ids(sample.ledger.called(wearer, typed).await.unwrap()), [id], "{typed}");
    }
    let near = ids(sample.ledger.called(wearer, "Elan O'Birhc").await.unwrap());
    assert!(!near.is_empty(), "something is offered where nothing is spelled so");
    let near = ids(sample.ledger.called(wearer, "Éln O'Birch").await.unwrap());
    assert!(near.contains(&"W-300".to_owned()), "{near:?}");
    // A part of a name is searched for as it stands, not as a pattern.
    let words = |words| ListQuestion { words, ..question(wearer) };
    for (typed, found) in [("%", 0), ("_", 0), ("'", 1), ("bIrCh W-300", 1), ("extra 29", 13)] {
        let list = sample.ledger.list(&words(typed)).await.unwrap();
        assert_eq!(list.len(), found, "{typed}");
    }
    assert!(sample.ledger.called(1, "north").await.unwrap().is_empty());
}

async fn the_state_of_one_thing_tells_its_duties_as_that_of_all_does(sample: Sample) {
    let entries = random_plants(4).pop().unwrap();
    append(&sample.ledger, &entries).await;
    let whole = State::from_entries(&entries);
    let now = NOW.parse().unwrap();
    let mut duties = 0;
    for thing in whole.subjects() {
        let few = sample.ledger.state_about(std::slice::from_ref(&thing), 0).await.unwrap();
        let own = due_of(&few, [thing.clone()], (now, DAYS_AHEAD));
        assert_eq!(own, due_of(&whole, [thing.clone()], (now, DAYS_AHEAD)), "{thing:?}");
        assert_eq!(few.listed(&thing), whole.listed(&thing), "{thing:?}");
        duties += own.len();
        // The latest entries that name it come with it.
        let some = sample.ledger.state_about(std::slice::from_ref(&thing), 5).await.unwrap();
        let latest = |state: &State| {
            let ids = state.history(&thing).rev().map(|entry| entry.id.clone());
            ids.take(5).collect::<Vec<_>>()
        };
        assert_eq!(latest(&some), latest(&whole), "{thing:?}");
    }
    assert!(duties > 5);
}

on_both! {
    lists_hold_every_thing_once_and_in_order
    a_thing_is_found_by_id_by_name_and_by_what_is_spelled_alike
    the_state_of_one_thing_tells_its_duties_as_that_of_all_does
}
