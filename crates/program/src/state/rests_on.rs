//! What an answer about a wear rests on beside the wearer, the set and the task themselves.

use std::collections::BTreeSet;

use jiff::Timestamp;

use super::State;
use super::subjects::{Part, Subject, Subjects};
use crate::entry::{Entry, Fact};
use crate::ids::{GroupId, PersonId, TaskId, UnitId};
use crate::supply::supply_behind;

/// The wearer, the set and the task of a question, and what an answer to it rests on beside them.
pub(super) struct Question<'q> {
    wearer: &'q PersonId,
    unit: &'q UnitId,
    task: &'q TaskId,
    rests_on: BTreeSet<Subject>,
}

impl<'q> Question<'q> {
    pub(super) fn of(
        state: &State,
        (wearer, unit, task): (&'q PersonId, &'q UnitId, &'q TaskId),
    ) -> Self {
        let rests_on = rests_on(state, (wearer, unit, task));
        Self { wearer, unit, task, rests_on }
    }

    /// The wearer, the set and the task, and what the answer rests on beside them.
    pub(super) fn things(&self) -> Vec<Subject> {
        let asked = [
            Subject::Wearer(self.wearer.clone()),
            Subject::Unit(self.unit.clone()),
            Subject::Task(self.task.clone()),
        ];
        asked.into_iter().chain(self.rests_on.iter().cloned()).collect()
    }

    /// Whether an entry speaks of the wearer, the set or the task, or is a part of what the answer
    /// rests on.
    pub(super) fn concerns(&self, entry: &Entry) -> bool {
        let about = Subjects::of(entry);
        about.wearer == Some(self.wearer)
            || about.unit == Some(self.unit)
            || about.task == Some(self.task)
            || entry.subjects().iter().any(|part| self.is_rested_on(entry, part))
    }

    /// Of a site, only its calendar and its policies bear on a wear; of a box, what came in it; of a set that
    /// was on the face in a fit test, what it is and that it was retired.
    fn is_rested_on(&self, entry: &Entry, (part, thing): &(Part, Subject)) -> bool {
        let bears = match thing {
            Subject::Site(_) => entry.changes_the_calendar(),
            Subject::Unit(_) => matches!(
                entry.fact,
                Fact::UnitReceived { .. } | Fact::FacepieceTaken { .. } | Fact::Retired { .. }
            ),
            Subject::Stock(_) => matches!(entry.fact, Fact::StockReceived { .. }),
            _ => true,
        };
        *part == Part::Folded && bears && self.rests_on.contains(thing)
    }

    /// The entries that happened after `instant`, count and concern the question, each once, the
    /// last first.
    pub(super) fn after<'s>(&self, state: &'s State, instant: Timestamp) -> Vec<&'s Entry> {
        let later = |entry: &&Entry| instant < entry.happened;
        let things = self.things();
        let of_thing = |thing| state.history(thing).rev().take_while(later);
        let mut all: Vec<&Entry> = things.iter().flat_map(of_thing).collect();
        all.retain(|entry| state.counts(&entry.id) && self.concerns(entry));
        all.sort_by_key(|entry| (std::cmp::Reverse(entry.happened), &entry.id));
        all.dedup_by_key(|entry| &entry.id);
        all
    }
}

/// The model of the set, its box, what is fitted to it, mounted on it and feeds it, who tested the fit,
/// on which set and with what, who repaired and released the set, who accepted reuse, the readings that speak for the task, the other
/// tasks in which the elements were worn, and the sites of all these.
fn rests_on(
    state: &State,
    (wearer, unit, task): (&PersonId, &UnitId, &TaskId),
) -> BTreeSet<Subject> {
    let mut all = BTreeSet::new();
    let person = |id: &PersonId| [Subject::Person(id.clone()), Subject::Wearer(id.clone())];
    let (known, set) = (state.wearer(wearer), state.unit(unit));
    let carried = set.and_then(|set| state.carried(set));
    let worn = || carried.into_iter().flat_map(|on| on.worn()).map(|stint| &stint.task);
    let tasks: BTreeSet<&TaskId> = worn().chain([task]).collect();
    // A group as it was described at any time: a description dated ahead may have left the task out.
    let speaks = |id: &GroupId| {
        let mut counted = state.history_of_group(id).filter(|entry| state.counts(&entry.id));
        counted.any(|entry| match &entry.fact {
            Fact::ExposureGroupDescribed { tasks: of_group, .. } => {
                of_group.iter().any(|task| tasks.contains(task))
            }
            _ => false,
        })
    };
    let groups = state.groups().map(|(id, _)| id).filter(|id| speaks(id));
    all.extend(groups.cloned().map(Subject::Group));
    all.extend(known.map(|wearer| Subject::Site(wearer.site.clone())));
    all.extend(state.task(task).map(|task| Subject::Site(task.site.clone())));
    let Some(set) = set else { return all };
    all.extend([Subject::Model(set.model.clone()), Subject::Site(set.site.clone())]);
    // What a model takes bears on a fit test that was run by a protocol.
    let measured = known.and_then(|wearer| wearer.fit_test(&set.model, &set.size)?.run_by());
    let model = state.model(&set.model).filter(|_| measured.is_some());
    let takes = model.into_iter().flat_map(|model| &model.approved_elements);
    all.extend(takes.cloned().map(Subject::ElementType));
    all.extend(carried.map(|on| Subject::ElementType(on.element_type.clone())));
    all.extend(worn().cloned().map(Subject::Task));
    all.extend(set.taken_from.clone().map(Subject::Stock));
    all.extend(set.mounted.as_ref().map(|(id, _)| Subject::Cylinder(id.clone())));
    if let Some((id, _, supply)) = supply_behind(state, set) {
        all.insert(Subject::Supply(id.clone()));
        all.extend(supply.map(|supply| Subject::Site(supply.site.clone())));
    }
    let test = known.and_then(|wearer| wearer.fit_test(&set.model, &set.size));
    all.extend(test.and_then(|test| test.tester.as_ref()).into_iter().flat_map(person));
    all.extend(test.and_then(|test| test.unit.clone()).map(Subject::Unit));
    all.extend(test.and_then(|test| test.instrument.clone()).map(Subject::Instrument));
    let of_hands = |(part, thing): (Part, Subject)| {
        let is_person = matches!(thing, Subject::Person(_) | Subject::Wearer(_));
        (part == Part::RestsOn && is_person).then_some(thing)
    };
    all.extend(state.history_of_unit(unit).flat_map(Entry::leans_on).filter_map(of_hands));
    let reuse =
        worn().chain([task]).filter_map(|task| state.task(task)).flat_map(|t| t.reuse.values());
    all.extend(reuse.flat_map(|accepted| person(&accepted.by)));
    all
}
