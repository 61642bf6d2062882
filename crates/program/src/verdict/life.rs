use std::collections::BTreeMap;

use rulebook::Finding;
use rulebook::unit::LifeFacts;

use super::shift::Shift;
use super::{Schedules, Subject};
use crate::ids::TaskId;
use crate::state::FittedElements;

/// What a schedule allows, the stricter of the computed and the adopted one.
struct Allowed {
    wear: f64,
    shifts: u32,
    limited_by: String,
    findings: Vec<Finding>,
}

/// How far `fitted` is through the schedule of the task, with what the schedule has to tell; or
/// why there is no schedule.
///
/// Wear in another task counts by the share it took of that task's own schedule, scaled to this
/// one: an hour where a set lasts two hours takes half of it. Where that other schedule cannot be
/// had, nothing is left.
pub(super) fn facts<'s>(
    subject: &Subject<'s>,
    fitted: &'s FittedElements,
    schedules: &Schedules<'_>,
) -> Result<(LifeFacts<'s>, Vec<Finding>), Vec<Finding>> {
    let allowed = allowed(subject, &subject.ask.task, fitted, schedules)?;
    let mut by_task: BTreeMap<&TaskId, f64> = BTreeMap::new();
    for stint in &fitted.worn {
        *by_task.entry(&stint.task).or_default() += stint.time.as_min();
    }
    let mut used = 0.0;
    for (task, worn) in by_task {
        used += if *task == subject.ask.task || worn <= 0.0 {
            worn
        } else {
            let there = self::allowed(subject, task, fitted, schedules);
            there.map_or(f64::INFINITY, |there| worn * allowed.wear / there.wear)
        };
    }
    let shift = Shift::coming(&fitted.worn, &subject.ask.wearer, &subject.instant);
    let life = LifeFacts {
        used_min: used,
        planned_min: subject.planned,
        allowed_min: allowed.wear,
        shift: shift.number,
        shifts_allowed: allowed.shifts,
        // A filter without a bed takes up nothing where it lies.
        opened_this_shift: subject.elements().is_some_and(|kind| kind.against.is_empty())
            || shift.saw_opening(fitted.opened, &subject.instant),
        limited_by: allowed.limited_by,
        worn: fitted.worn.iter().map(|stint| stint.at.entry.as_str()).collect(),
    };
    Ok((life, allowed.findings))
}

fn allowed(
    subject: &Subject<'_>,
    task: &TaskId,
    fitted: &FittedElements,
    schedules: &Schedules<'_>,
) -> Result<Allowed, Vec<Finding>> {
    let bound = schedules(subject.state, task, &subject.ask.unit)?;
    let mut allowed = Allowed {
        wear: bound.max_wear.as_min(),
        shifts: u32::from(bound.shifts),
        limited_by: bound.limited_by,
        findings: bound.findings,
    };
    let known = subject.state.task(task);
    if let Some(adopted) = known.and_then(|task| task.schedules.get(&fitted.element_type)) {
        let (wear, shifts) = (adopted.max_wear.as_min(), u32::from(adopted.shifts));
        if wear < allowed.wear || shifts < allowed.shifts {
            allowed.limited_by = "the schedule adopted for the task".to_owned();
        }
        allowed.wear = allowed.wear.min(wear);
        allowed.shifts = allowed.shifts.min(shifts);
    }
    Ok(allowed)
}
