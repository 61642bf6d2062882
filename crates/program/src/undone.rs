//! What took a set out of service and was corrected to say something else.

use crate::entry::{Entry, Fact, PointResult, TrainingTopic};
use crate::ids::{EntryId, UnitId};
use crate::state::{State, Unit};

/// An entry that took a set out of service and no longer counts, and the correction that took it back.
pub(crate) struct Undone<'s> {
    /// The entry.
    pub(crate) entry: &'s Entry,
    /// The correction.
    pub(crate) correction: &'s Entry,
    /// Whether a person with training in repair corrected it.
    pub(crate) by_trained: bool,
}

/// Everything that took `unit` out of service, was corrected, and would no longer take it out as it
/// counts now; in the order of time.
///
/// It is a function of the entries alone, whichever came first.
pub(crate) fn undone<'s>(state: &'s State, (id, unit): (&UnitId, &Unit)) -> Vec<Undone<'s>> {
    let taken_out = state.history_of_unit(id).filter(|entry| takes_out(&entry.fact, id));
    let undone = |entry: &'s Entry| {
        let counted = state.counted_instead_of(&entry.id)?;
        let still = |one: &Entry| takes_out(&one.fact, id) && entry.happened <= one.happened;
        if still(counted) {
            return None;
        }
        let trained = |one: &&Entry| {
            let topic = TrainingTopic::Repair;
            state.training_in_force(&one.by, topic, (&unit.site, one.entered)).is_some()
        };
        let steps: Vec<&Entry> =
            steps(state, &entry.id, counted).into_iter().filter(|one| !still(one)).collect();
        let correction = steps.iter().copied().find(trained);
        let by_trained = correction.is_some();
        Some(Undone { entry, correction: correction.unwrap_or(counted), by_trained })
    };
    taken_out.filter_map(undone).collect()
}

/// The corrections that lead from an entry to the one that counts; that one alone where it corrects
/// another branch.
fn steps<'s>(state: &'s State, from: &EntryId, counted: &'s Entry) -> Vec<&'s Entry> {
    let mut steps = vec![counted];
    let mut here = counted;
    while let Some(target) = &here.corrects {
        if target == from {
            return steps;
        }
        match state.entry(target).filter(|next| steps.iter().all(|seen| seen.id != next.id)) {
            Some(next) => here = next,
            None => break,
        }
        steps.push(here);
    }
    vec![counted]
}

/// Whether `fact` in place of `before` would undo that a set was taken out of service, which a correction
/// alone does not, unless somebody with training in repair enters it.
#[must_use]
pub fn undoes(before: &Fact, fact: &Fact) -> bool {
    taken_out(before).is_some_and(|unit| !takes_out(fact, unit))
}

/// The set that a fact takes out of service: held, failed, repaired, or taken off the books.
pub(crate) fn taken_out(fact: &Fact) -> Option<&UnitId> {
    match fact {
        Fact::Held { unit, .. }
        | Fact::Retired { unit, .. }
        | Fact::Repaired { unit, .. }
        | Fact::Inspected { unit, passed: false, .. }
        | Fact::RepairTested { unit, passed: false, .. } => Some(unit),
        Fact::InspectedByPoints { unit, points, .. } => {
            points.iter().any(|point| point.result == PointResult::Fail).then_some(unit)
        }
        _ => None,
    }
}

fn takes_out(fact: &Fact, id: &UnitId) -> bool {
    taken_out(fact) == Some(id)
}
