//! What a correction does not lift.
//!
//! INVARIANT (a correction lifts nothing): whatever stood in the way before a correction stays in the way
//! until what puts it right is recorded as an entry of its own, or until the administrator of the
//! program corrects. So each question is asked of the records as they are and, where somebody else
//! corrected them, of the records as they would be without that correction and those after it: all else
//! that was entered stands in them too, and with it the new test, the renewal, the disinfection that puts right what was wrong. What
//! is found in any of them stands in the way.
//!
//! It is a function of the entries alone, whichever came first. A correction alone puts right what only a
//! correction can: records that contradict each other, and entries dated ahead.

use std::collections::BTreeSet;

use jiff::Timestamp;
use rulebook::ask::{Corrected, corrected, records_agree, records_not_ahead};
use rulebook::{Finding, Severity};

use crate::entry::{Entry, TrainingTopic};
use crate::ids::EntryId;
use crate::state::{State, Subject};
use crate::undone::taken_out;
use crate::upkeep::name;

/// The records as they would be without a correction by somebody who does not run the program, and
/// without those that came after it.
pub(crate) struct Before {
    /// The correction.
    correction: Entry,
    /// The name of who made it.
    who: String,
    /// The records.
    pub(crate) state: State,
}

impl Before {
    /// Whether `finding` of these records is one that the correction does not lift, where `told` stands
    /// in the way anyhow.
    pub(crate) fn stays(&self, finding: &Finding, told: &[&Finding]) -> bool {
        let by_any = [records_agree::RULE.id, records_not_ahead::RULE.id];
        let covers = |one: &&Finding| {
            let rests_on = |entry| one.evidence.contains(entry);
            let says_it = one.rule.id == finding.rule.id && one.text() == finding.text();
            let of_it = !finding.evidence.is_empty() && finding.evidence.iter().all(rests_on);
            one.severity == Severity::Stop && (says_it || of_it)
        };
        finding.severity == Severity::Stop
            && !by_any.contains(&finding.rule.id)
            && !told.iter().any(covers)
    }

    /// A finding that rests on the correction too.
    pub(crate) fn resting_on(&self, finding: Finding) -> Finding {
        finding.resting_on(&self.correction.id)
    }

    /// That the correction lifts nothing of what was `found`; none where nothing was.
    pub(crate) fn told(&self, found: &[Finding]) -> Option<Finding> {
        let corrects = self.correction.corrects.iter().map(EntryId::as_str);
        corrected::check(&Corrected {
            who: &self.who,
            entries: corrects.chain([self.correction.id.as_str()]).collect(),
            stood_in_the_way: found.iter().map(Finding::text).collect(),
        })
    }
}

/// The records about some things as they would be without the corrections that lift nothing: without
/// the last of them first, without any of them last. What the things are judged by is what `more` adds to
/// them, step by step.
pub(crate) fn before(
    state: &State,
    things: BTreeSet<Subject>,
    more: impl Fn(&State) -> BTreeSet<Subject>,
) -> Vec<Before> {
    let part = part(state, things, more);
    let mut without = BTreeSet::new();
    let mut all = Vec::new();
    for correction in unsettled(&part).into_iter().rev() {
        without.insert(&correction.id);
        let left = part.entries().filter(|entry| !without.contains(&entry.id));
        let who = name(&part, &correction.by).to_owned();
        let state = State::from_entries(left);
        all.push(Before { correction: correction.clone(), who, state });
    }
    all
}

/// The state of the entries about `wanted` and about what `more` adds to it, with all that correct them.
fn part(
    state: &State,
    mut wanted: BTreeSet<Subject>,
    more: impl Fn(&State) -> BTreeSet<Subject>,
) -> State {
    let (mut part, mut read) = (State::default(), BTreeSet::new());
    while !wanted.is_empty() {
        for entry in wanted.iter().flat_map(|thing| state.history(thing)) {
            part.apply(entry);
            state.correcting(entry).into_iter().for_each(|other| part.apply(other));
        }
        read.append(&mut wanted);
        wanted = more(&part).difference(&read).cloned().collect();
    }
    part
}

/// The corrections that lift nothing and that nobody settled who may, in the order in which they were
/// entered.
fn unsettled(state: &State) -> Vec<&Entry> {
    let mut all = Vec::new();
    for mut tree in state.corrections() {
        tree.sort_by_key(|entry| place(state, entry));
        let (mut open, mut stood) = (Vec::new(), Vec::new());
        for entry in tree {
            if entry.corrects.is_some() && !may_lift(state, entry, &stood) {
                open.push(entry);
            } else if entry.corrects.is_some() {
                open.clear();
                stood.clear();
            }
            stood.push(entry);
        }
        all.append(&mut open);
    }
    all.sort_by_key(|entry| place(state, entry));
    all
}

/// Where an entry stands in the order of entering: after what it corrects, whatever the clocks said.
fn place<'s>(state: &'s State, entry: &'s Entry) -> (Timestamp, usize, &'s EntryId) {
    let (mut entered, mut path) = (entry.entered, vec![&entry.id]);
    let mut here = entry;
    while let Some(next) = here.corrects.as_ref().and_then(|id| state.entry(id)) {
        // In a ring nothing is the first.
        if path.contains(&&next.id) {
            break;
        }
        path.push(&next.id);
        entered = entered.max(next.entered);
        here = next;
    }
    (entered, path.len(), &entry.id)
}

/// Whether a correction lifts what stood before it: by who ran the program of the site then; and that a
/// set was taken out of service by who may release it.
fn may_lift(state: &State, entry: &Entry, stood: &[&Entry]) -> bool {
    let site = stood.first().map_or(&entry.site, |first| &first.site);
    let trained = |one: &&Entry| {
        taken_out(&one.fact).is_some_and(|id| {
            let site = state.unit(id).map_or(site, |set| &set.site);
            let topic = TrainingTopic::Repair;
            state.training_in_force(&entry.by, topic, (site, entry.entered)).is_some()
        })
    };
    state.ran_the_program(&entry.by, (site, entry.entered))
        || (!stood.is_empty() && stood.iter().all(trained))
}
