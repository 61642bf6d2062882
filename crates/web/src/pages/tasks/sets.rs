//! The sets that are used at a site, as kinds: model with elements, and their change schedules.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use jiff::Timestamp;
use ledger::SetsInUse;
use program::schedule::{TaskSchedule, for_task};
use program::state::State;
use program::{Subject, TaskId};
use rulebook::{Finding, Severity, assess};

use crate::wording;

/// One kind of set and when its elements are changed in the task.
pub(super) struct SetRow {
    pub(super) key: String,
    pub(super) name: String,
    pub(super) text: String,
    pub(super) max_wear: String,
    pub(super) basis: &'static str,
    /// Whether a set of this kind is allowed for the task and its elements last.
    pub(super) usable: bool,
    /// The first reason why it is not allowed, where there is one.
    pub(super) why_not: String,
    /// How many there are of it at the site.
    pub(super) units: usize,
    pub(super) chosen: bool,
}

/// The schedule of each kind of air-purifying set in service at the site of the task, those that
/// are allowed there first, the most frequent before the others; and the one chosen, or the first.
pub(super) fn sets(
    state: &State,
    (id, in_use): (&TaskId, Vec<SetsInUse>),
    now: Timestamp,
    asked: &str,
) -> (Vec<SetRow>, Option<TaskSchedule>) {
    let Some(place) = state.place_at(id, now) else { return (Vec::new(), None) };
    let judged = in_use.into_iter().filter_map(|SetsInUse { model, element_type: kind, units }| {
        let listed = state.model(&model)?;
        let elements = state.element_type(&kind)?;
        if elements.elements.against.is_empty() {
            return None;
        }
        let schedule = for_task(state, id, &kind, &listed.device, now)?;
        let assessment = assess(&place, &listed.device, Some(&elements.elements));
        let stop = assessment.findings.iter().find(|found| found.severity == Severity::Stop);
        let lasts = schedule.schedule.max_wear.as_min() > 0.0;
        let row = SetRow {
            key: format!("{model}~{kind}"),
            name: format!("{} with {}", listed.name, elements.name),
            text: schedule.schedule.text.clone(),
            max_wear: wording::minutes(schedule.schedule.max_wear.as_min()),
            basis: if schedule.adopted.is_some() { "adopted by the site" } else { "computed" },
            usable: assessment.allowed && lasts,
            why_not: stop.map(Finding::text).unwrap_or_default(),
            units,
            chosen: false,
        };
        Some((row, schedule))
    });
    let mut found: Vec<(SetRow, TaskSchedule)> = judged.collect();
    found.sort_by(|(a, _), (b, _)| {
        (!a.usable, Reverse(a.units), &a.name).cmp(&(!b.usable, Reverse(b.units), &b.name))
    });
    let place = found.iter().position(|(row, _)| row.key == asked).unwrap_or(0);
    let mut chosen = None;
    let mut rows = Vec::with_capacity(found.len());
    for (index, (mut row, schedule)) in found.into_iter().enumerate() {
        if index == place {
            row.chosen = true;
            chosen = Some(schedule);
        }
        rows.push(row);
    }
    (rows, chosen)
}

/// The models and elements of some sets.
pub(super) fn kinds(in_use: &[SetsInUse]) -> BTreeSet<Subject> {
    let of = |set: &SetsInUse| {
        [Subject::Model(set.model.clone()), Subject::ElementType(set.element_type.clone())]
    };
    in_use.iter().flat_map(of).collect()
}
