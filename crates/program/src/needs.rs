//! Which things an answer looks at, so that a state of the entries about these alone gives the same
//! answer as a state of every entry.
//!
//! One thing leads to others: a set to its model, its users, the tasks it was worn for. Whoever
//! keeps the entries asks again after each step, until nothing new is needed.

use std::collections::BTreeSet;

use jiff::Timestamp;

use crate::alike;
use crate::entry::{Entry, Fact};
use crate::ids::UnitId;
use crate::standby;
use crate::state::{Part, State, Subject, earliest_of_the_same_seal, were_open};
use crate::verdict::{Ask, latest_by_any_clock};

/// The things whose entries a verdict looks at, as far as the entries in `state` tell.
///
/// Of each, the entries that are [`Part::Folded`] into it are needed, with all that correct them.
/// Of those that only name the wearer or the task of one of the [`questions`], [`named_after`] says which.
#[must_use]
pub fn for_verdict(ask: &Ask, state: &State, now: Timestamp) -> BTreeSet<Subject> {
    let mut needed: BTreeSet<Subject> =
        standby::days(now).into_iter().map(Subject::Watch).collect();
    for question in questions(ask, state, now) {
        needed.append(&mut for_question(&question, state));
    }
    needed
}

/// What is asked and, where people were posted outside for the task, whether each of them could go in.
#[must_use]
pub fn questions(ask: &Ask, state: &State, now: Timestamp) -> Vec<Ask> {
    let mut all = standby::questions(state, ask, now);
    all.insert(0, ask.clone());
    all
}

/// The things by which one wearer with one set is judged for a task.
fn for_question(ask: &Ask, state: &State) -> BTreeSet<Subject> {
    let mut needed = BTreeSet::from([
        Subject::Unit(ask.unit.clone()),
        Subject::Wearer(ask.wearer.clone()),
        Subject::Task(ask.task.clone()),
    ]);
    // The users of a set are told by name; wear in other tasks counts by their schedules. So it is of
    // the sets on which its elements may have been.
    let others = had_the_lot(state, &ask.unit);
    for unit in others.iter().chain([&ask.unit]) {
        let of_unit = state.history_of_unit(unit).flat_map(Entry::subjects);
        needed.extend(of_unit.map(|(_, thing)| thing));
    }
    needed.extend(others.into_iter().map(Subject::Unit));
    let of_wearer = state.history_of_wearer(&ask.wearer).flat_map(Entry::subjects);
    needed.extend(of_wearer.filter(|(part, _)| *part == Part::RestsOn).map(|(_, thing)| thing));
    // Who accepted that elements are worn again.
    let accepted = state.entries().filter(|e| matches!(e.fact, Fact::ReuseAccepted { .. }));
    needed.extend(accepted.flat_map(Entry::subjects).map(|(_, thing)| thing));
    // Who took back what took a set out of service, whatever the correction is about.
    let corrections = state.entries().filter(|entry| entry.corrects.is_some());
    needed.extend(corrections.flat_map(Entry::leans_on).map(|(_, thing)| thing));
    // What a group was measured for stands for its tasks.
    needed.extend(state.groups().map(|(id, _)| Subject::Group(id.clone())));
    // A facepiece is made of the filter that its model names, and a fit test may need one of its class.
    let named = state.entries().filter_map(|entry| match &entry.fact {
        Fact::ModelListed { approved_elements, .. } => Some(approved_elements),
        _ => None,
    });
    needed.extend(named.flatten().cloned().map(Subject::ElementType));
    // The air of a cylinder is that of its supply.
    let of_cylinders = state.entries().filter_map(|entry| match &entry.fact {
        Fact::CylinderFilled { supply, .. } => supply.clone(),
        _ => None,
    });
    needed.extend(of_cylinders.map(Subject::Supply));
    // The days of a task are days of its site.
    needed.extend(state.entries().map(|entry| Subject::Site(entry.site.clone())));
    needed
}

/// The lots of elements that were opened some time before they were fitted to a set: a verdict looks at the
/// entries that rest on them and happened after this, for they may have been on another set.
#[must_use]
pub fn lots(state: &State, unit: &UnitId) -> Vec<(Subject, Timestamp)> {
    opened_before(state, unit)
}

/// Other sets to which elements of such a lot were fitted at any time.
pub(crate) fn had_the_lot(state: &State, unit: &UnitId) -> BTreeSet<UnitId> {
    let lots = opened_before(state, unit);
    if lots.is_empty() {
        return BTreeSet::new();
    }
    let fitted = state.entries().filter_map(|entry| match &entry.fact {
        Fact::ElementsFitted { unit, element_type, lot, .. } => {
            Some((unit, Subject::lot(element_type, lot), entry.happened))
        }
        _ => None,
    });
    let others = fitted.filter(|(other, lot, when)| {
        let of_lot = |(own, after): &(Subject, Timestamp)| {
            alike(own.id()) == alike(lot.id()) && after < when
        };
        *other != unit && lots.iter().any(of_lot)
    });
    others.map(|(other, ..)| other.clone()).collect()
}

/// The lots of elements on a set that were opened some time before they were fitted, and the instant after
/// which those of the same seal were fitted anywhere. After a correction, of all that were ever on it.
fn opened_before(state: &State, unit: &UnitId) -> Vec<(Subject, Timestamp)> {
    let on = state.unit(unit).and_then(|set| set.elements.as_ref()).map(|on| &on.at.entry);
    let all = state.was_corrected(&Subject::Unit(unit.clone()));
    let counts = |entry: &&Entry| all || on == Some(&entry.id);
    let fitted = state.history_of_unit(unit).filter(counts).filter_map(|entry| match &entry.fact {
        Fact::ElementsFitted { element_type, lot, opened, .. } => {
            were_open(*opened, entry.happened)
                .then(|| (Subject::lot(element_type, lot), earliest_of_the_same_seal(*opened)))
        }
        _ => None,
    });
    fitted.collect()
}

/// A verdict looks at the entries that name the wearer or the task where they happened after this.
#[must_use]
pub fn named_after(now: Timestamp) -> Timestamp {
    latest_by_any_clock(now)
}

/// The things by which those in `entries` are judged when it is asked what is due.
///
/// Of each, and of the thing itself, the entries that are [`Part::Folded`] into it are needed, with
/// all that correct them; of a thing that nobody made known, those that name it too.
#[must_use]
pub fn for_due<'e>(entries: impl IntoIterator<Item = &'e Entry>) -> BTreeSet<Subject> {
    let (mut needed, mut sites) = (BTreeSet::new(), BTreeSet::new());
    for entry in entries {
        sites.insert(&entry.site);
        let leans_on = entry.leans_on().into_iter();
        needed.extend(leans_on.filter(|(part, _)| *part == Part::RestsOn).map(|(_, thing)| thing));
    }
    needed.extend(sites.into_iter().cloned().map(Subject::Site));
    needed
}

/// Those by whom the sets among `things` are judged as they stand: who has them in hands, who is told to
/// have used what several wear since a disinfection beyond doubt, and the tasks in which their elements were worn.
/// Needed beside [`for_due`].
pub fn for_due_as_it_stands<'t>(
    state: &State,
    things: impl IntoIterator<Item = &'t Subject>,
) -> BTreeSet<Subject> {
    let of_unit = |thing: &Subject| match thing {
        Subject::Unit(id) => state.unit(id),
        _ => None,
    };
    let mut needed = BTreeSet::new();
    for (thing, unit) in things.into_iter().filter_map(|thing| Some((thing, of_unit(thing)?))) {
        let people = unit.holders.keys().chain(unit.doubtfully_disinfected.keys());
        // Of a set that nobody has and only one wears, that one is not told.
        let others = unit.shared || unit.emergency || !unit.holders.is_empty();
        let told = others || unit.used_since_disinfected.len() > 1;
        let people = people.chain(unit.used_since_disinfected.keys().filter(|_| told));
        needed.extend(people.cloned().map(Subject::Wearer));
        let worn = unit.elements.iter().flat_map(|on| &on.worn);
        needed.extend(worn.map(|stint| Subject::Task(stint.task.clone())));
        // Before a correction it may have stood otherwise.
        if state.was_corrected(thing) {
            let named = state.history(thing).flat_map(Entry::subjects);
            let stands = |thing: &Subject| matches!(thing, Subject::Wearer(_) | Subject::Task(_));
            needed.extend(named.map(|(_, thing)| thing).filter(stands));
        }
    }
    needed
}

/// Whether anything was corrected of a thing or of what it is judged by, so that its duties are to be looked for in
/// the records before that too.
pub(crate) fn is_corrected(state: &State, thing: &Subject) -> bool {
    if state.is_uncorrected() {
        return false;
    }
    let judges = |thing: &Subject| for_due(state.history(thing));
    let mut around = judges(thing);
    around.append(&mut for_due_as_it_stands(state, [thing]));
    // The air of a cylinder is judged by the supply that filled it, a model by the elements that it names.
    let leads_on = |one: &&Subject| matches!(one, Subject::Cylinder(_) | Subject::Model(_));
    let leading: Vec<Subject> = around.iter().filter(leads_on).cloned().collect();
    around.extend(leading.iter().flat_map(judges));
    state.was_corrected(thing) || around.iter().any(|one| state.was_corrected(one))
}
