//! The sets that are used at a site, as kinds: model with elements, and their change schedules.

use std::collections::BTreeMap;

use jiff::Timestamp;
use program::schedule::{TaskSchedule, for_task};
use program::state::{State, Task};
use program::{ElementTypeId, ModelId, TaskId};

use crate::wording;

/// One kind of set and when its elements are changed in the task.
pub(super) struct SetRow {
    pub(super) key: String,
    pub(super) name: String,
    pub(super) text: String,
    pub(super) max_wear: String,
    pub(super) basis: &'static str,
    pub(super) usable: bool,
    pub(super) chosen: bool,
}

/// The schedule of each kind of air-purifying set in service at the site of the task, those with a
/// usable schedule first; and the one chosen, or the first.
pub(super) fn sets(
    state: &State,
    (id, task): (&TaskId, &Task),
    now: Timestamp,
    asked: &str,
) -> (Vec<SetRow>, Option<TaskSchedule>) {
    let mut found: Vec<(SetRow, TaskSchedule)> = kinds(state, task)
        .into_iter()
        .filter_map(|(model, kind)| {
            let listed = state.model(&model)?;
            let elements = state.element_type(&kind)?;
            let schedule = for_task(state, id, &kind, &listed.device, now)?;
            let usable = schedule.schedule.max_wear.as_min() > 0.0;
            let row = SetRow {
                key: format!("{model}~{kind}"),
                name: format!("{} with {}", listed.name, elements.name),
                text: schedule.schedule.text.clone(),
                max_wear: wording::minutes(schedule.schedule.max_wear.as_min()),
                basis: if schedule.adopted.is_some() { "adopted by the site" } else { "computed" },
                usable,
                chosen: false,
            };
            Some((row, schedule))
        })
        .collect();
    found.sort_by(|(a, _), (b, _)| (!a.usable, &a.name).cmp(&(!b.usable, &b.name)));
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

/// Models with the gas or vapour elements fitted to them somewhere at the site.
fn kinds(state: &State, task: &Task) -> Vec<(ModelId, ElementTypeId)> {
    let mut kinds = BTreeMap::new();
    for (_, unit) in state.units() {
        let Some(on) = unit.elements.as_ref().filter(|_| unit.retired.is_none()) else { continue };
        let gas = state
            .element_type(&on.element_type)
            .is_some_and(|kind| !kind.elements.against.is_empty());
        if unit.site == task.site && gas {
            kinds.insert((unit.model.clone(), on.element_type.clone()), ());
        }
    }
    kinds.into_keys().collect()
}
