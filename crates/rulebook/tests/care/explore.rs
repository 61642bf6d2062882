//! Everything that can be reached is visited, with and without forbidden steps.

use std::collections::BTreeSet;

use rulebook::care::{Care, Event, Keeping, Stage};

use crate::truth::{Truth, WEARERS, beginnings};

type Place = (Care<u8>, Truth);

/// Every place that can be reached, each with every event put to it.
///
/// With `forbidden`, a history goes on behind a step that was not allowed.
fn visit(forbidden: bool, mut look: impl FnMut(&Place, &Event<u8>, Option<&Place>)) -> usize {
    let events = Event::all(&WEARERS);
    let mut seen: BTreeSet<Place> = beginnings().into_iter().collect();
    let mut open: Vec<Place> = seen.iter().cloned().collect();
    while let Some(place) = open.pop() {
        for event in &events {
            let accepted = place.0.step(event).ok();
            let allowed = accepted.is_some();
            let next = match accepted {
                Some(care) => care,
                None if forbidden => place.0.record(event).0,
                None => {
                    look(&place, event, None);
                    continue;
                }
            };
            let next = (next, place.1.after(event, allowed));
            look(&place, event, allowed.then_some(&next));
            if seen.insert(next.clone()) {
                open.push(next);
            }
        }
    }
    seen.len()
}

/// What must hold of every set in every history.
fn hold_invariants((care, truth): &Place) {
    let in_service = matches!(care.stage(), Stage::Ready | Stage::Issued);
    let words = format!("{care:?} {truth:?}");
    assert!(!(in_service && truth.out), "in service while out of it: {words}");
    assert!(!(in_service && truth.retired), "in service and retired: {words}");
    assert_eq!(care.stage() == Stage::Retired, truth.retired, "{words}");
    if care.stage() == Stage::Ready && care.kind().keeping != Keeping::OneWearer {
        assert!(truth.users.is_empty(), "ready and not clean: {words}");
    }
    if care.stage() == Stage::Issued {
        let holder = care.holder().unwrap_or_else(|| panic!("issued to nobody: {words}"));
        assert!(truth.users.iter().all(|user| user == holder), "worn by another: {words}");
    }
    if truth.out && !truth.retired {
        assert!(care.is_out_of_service(), "the machine forgot the fault: {words}");
    }
}

fn check(forbidden: bool) -> usize {
    visit(forbidden, |place, event, next| {
        hold_invariants(place);
        let Some((next, _)) = next else { return };
        let (care, truth) = place;
        match event {
            Event::Issued { to } => {
                assert!(truth.may_be_issued(care.kind(), *to), "{place:?} issued to {to}");
            }
            Event::Worn { by } | Event::EmergencyUse { by } => {
                let others = truth.users.iter().any(|user| user != by);
                assert!(!truth.out && !others, "{place:?} worn by {by}");
            }
            Event::Released { by_trained } => {
                assert!(*by_trained && care.stage() == Stage::Tested, "{place:?} released");
                assert!(!matches!(next.stage(), Stage::Ready | Stage::Issued), "{place:?}");
            }
            Event::Inspected { passed: false } => assert_eq!(next.stage(), Stage::Held),
            _ if care.kind().filtering_facepiece => {
                let cleaning = next.stage().is_in_parts() || next.stage() == Stage::Reassembled;
                assert!(!cleaning || next.stage() == care.stage(), "{place:?} {event:?}");
            }
            _ => {}
        }
    })
}

#[test]
fn no_allowed_path_issues_a_set_that_is_not_clean_inspected_and_in_service() {
    let reached = check(false);
    assert!(reached > 300, "only {reached} places were reached");
}

#[test]
fn no_history_with_forbidden_steps_brings_a_set_nearer_to_use() {
    let reached = check(true);
    assert!(reached > 600, "only {reached} places were reached");
}

#[test]
fn a_filtering_facepiece_is_never_in_the_bath() {
    visit(false, |(care, _), event, next| {
        if care.kind().filtering_facepiece {
            assert!(!care.stage().is_in_parts(), "{care:?}");
            let cleans = matches!(
                event,
                Event::TakenApart
                    | Event::Washed { .. }
                    | Event::Disinfected { .. }
                    | Event::Rinsed
                    | Event::Dried
                    | Event::Reassembled
            );
            assert!(!cleans || next.is_none(), "{care:?} {event:?}");
        }
    });
}

#[test]
fn every_stage_can_be_reached_and_only_retirement_is_an_end() {
    let mut reached = BTreeSet::new();
    let mut left = BTreeSet::new();
    visit(false, |(care, _), _, next| {
        reached.insert(care.stage());
        if next.is_some_and(|(next, _)| next.stage() != care.stage()) {
            left.insert(care.stage());
        }
    });
    assert_eq!(reached, Stage::ALL.into_iter().collect());
    let ends: Vec<Stage> = reached.difference(&left).copied().collect();
    assert_eq!(ends, [Stage::Retired]);
}

#[test]
fn every_refusal_says_what_is_wrong_and_what_puts_it_right() {
    visit(true, |(care, _), event, next| {
        if next.is_some() {
            return;
        }
        let (kept, finding) = care.record(event);
        let finding = finding.unwrap_or_else(|| panic!("{care:?} {event:?} was refused silently"));
        assert_eq!(kept.kind(), care.kind());
        let said = format!("{} / {} / {}", finding.text(), finding.remedy(), finding.citation());
        assert!(!said.contains(['{', '}']), "{said}");
    });
}
