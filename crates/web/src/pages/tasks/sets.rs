//! The sets that are used at a site, as kinds: model with elements, and their change schedules.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use jiff::Timestamp;
use program::schedule::{TaskSchedule, for_task};
use program::state::{State, Task};
use program::{ElementTypeId, ModelId, TaskId};

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
    (id, task): (&TaskId, &Task),
    now: Timestamp,
    asked: &str,
) -> (Vec<SetRow>, Option<TaskSchedule>) {
    let Some(place) = state.place_at(id, now) else { return (Vec::new(), None) };
    let judged = kinds(state, task).into_iter().filter_map(|((model, kind), units)| {
        let listed = state.model(&model)?;
        let elements = state.element_type(&kind)?;
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

/// Models with the gas or vapour elements fitted to them somewhere at the site, and how many of
/// each there are.
fn kinds(state: &State, task: &Task) -> BTreeMap<(ModelId, ElementTypeId), usize> {
    let mut kinds = BTreeMap::new();
    for (_, unit) in state.units() {
        let Some(on) = unit.elements.as_ref().filter(|_| unit.retired.is_none()) else { continue };
        let gas = state
            .element_type(&on.element_type)
            .is_some_and(|kind| !kind.elements.against.is_empty());
        if unit.site == task.site && gas {
            *kinds.entry((unit.model.clone(), on.element_type.clone())).or_insert(0) += 1;
        }
    }
    kinds
}
