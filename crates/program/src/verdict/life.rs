use std::collections::BTreeMap;

use jiff::SignedDuration;
use rulebook::unit::LifeFacts;
use rulebook::{Finding, service_life};

use super::shift::Shift;
use super::{Schedules, Subject};
use crate::check::MOST_SHIFTS;
use crate::ids::TaskId;
use crate::life::LONGEST_SHIFT_MIN;
use crate::state::{Carried, Elsewhere, Stint};

/// What a schedule allows, the stricter of the computed and the adopted one.
struct Allowed {
    wear: f64,
    shifts: u32,
    limited_by: String,
    findings: Vec<Finding>,
}

/// How far elements are through the schedule of a task.
#[derive(Default)]
pub(super) struct Life<'s> {
    /// None where there is no schedule.
    pub(super) facts: Option<LifeFacts<'s>>,
    /// What the schedule has to tell, or why there is none.
    pub(super) told: Vec<Finding>,
}

impl<'s> Life<'s> {
    /// Wear in another task counts by the share it took of that task's own schedule, scaled to
    /// this one: an hour where a set lasts two hours takes half of it. Where that other schedule
    /// cannot be had, nothing is left.
    pub(super) fn of(
        subject: &Subject<'s>,
        fitted: &Carried<'s>,
        schedules: &Schedules<'_>,
    ) -> Self {
        let mut here = match allowed(subject, &subject.ask.task, fitted, schedules) {
            Ok(here) => here,
            Err(told) => return Self { facts: None, told },
        };
        // A filter without a bed takes up nothing where it lies.
        let has_no_bed = subject.elements().is_some_and(|kind| kind.against.is_empty());
        let open_for = subject.instant.now.duration_since(fitted.opened);
        // As many days as the shifts they may ever serve. Common practice, no source.
        let longest_open = SignedDuration::from_hours(24 * i64::from(MOST_SHIFTS));
        if here.shifts > 1 && !has_no_bed && longest_open < open_for {
            here.shifts = 1;
            here.limited_by = "a month since they were opened".to_owned();
        }
        if LONGEST_SHIFT_MIN < subject.planned && LONGEST_SHIFT_MIN < here.wear {
            here.wear = LONGEST_SHIFT_MIN;
            here.limited_by = "the longest shift that elements are planned for".to_owned();
        }
        let elsewhere = subject.elsewhere();
        let moved = elsewhere.iter().filter(|at| at.counts);
        let mut worn: Vec<&Stint> = moved.clone().flat_map(|at| at.worn.iter().copied()).collect();
        worn.extend(fitted.worn());
        worn.sort_by_key(|stint| stint.at.when);
        let mut by_task: BTreeMap<&TaskId, f64> = BTreeMap::new();
        for stint in &worn {
            *by_task.entry(&stint.task).or_default() += stint.time.as_min();
        }
        let share = |(task, worn): (&TaskId, f64)| {
            if *task == subject.ask.task || worn <= 0.0 {
                return worn;
            }
            let there = allowed(subject, task, fitted, schedules);
            there.map_or(f64::INFINITY, |there| worn * here.wear / there.wear)
        };
        let sensed = if moved.clone().any(|at| at.sensed) { f64::INFINITY } else { 0.0 };
        here.findings.extend(elsewhere.iter().filter_map(|at| worn_elsewhere(at, fitted)));
        let shift = Shift::coming(worn.iter().copied(), &subject.ask.wearer, &subject.instant);
        let facts = LifeFacts {
            used_min: by_task.into_iter().map(share).sum::<f64>() + sensed,
            planned_min: subject.planned,
            allowed_min: here.wear,
            shift: shift.number,
            shifts_allowed: here.shifts,
            opened_this_shift: has_no_bed || shift.saw_opening(fitted.opened, &subject.instant),
            limited_by: here.limited_by,
            worn: worn.iter().map(|stint| stint.at.entry.as_str()).collect(),
        };
        Self { facts: Some(facts), told: here.findings }
    }
}

/// What was worn on another set of what may be these elements.
fn worn_elsewhere(at: &Elsewhere<'_>, here: &Carried<'_>) -> Option<Finding> {
    let minutes: f64 = at.worn.iter().map(|stint| stint.time.as_min()).sum();
    if minutes <= 0.0 && !at.sensed {
        return None;
    }
    let sensed = if at.sensed { ", and something was sensed through them" } else { "" };
    let counted = match (at.counts, at.sensed) {
        (false, _) => "they are told to be on it still, and are not counted as these",
        (true, _) if at.still_there && at.sensed => {
            "they are told to be on it still, but opened at the same instant they count as these, and \
             nothing is left"
        }
        (true, _) if at.still_there => {
            "they are told to be on it still, but opened at the same instant they count as these"
        }
        (true, true) => "they count as these, and nothing is left",
        (true, false) => "they count as these",
    };
    let worn = at.worn.iter().map(|stint| stint.at.entry.as_str());
    let entries = [here.at.entry.as_str(), at.pieces.at.entry.as_str()].into_iter().chain(worn);
    let finding = Finding::caution(&service_life::WORN_ELSEWHERE)
        .with("lot", &at.pieces.lot)
        .with("set", at.unit.id.as_str())
        .with("worn", minutes)
        .with("sensed", sensed)
        .with("counted", counted);
    Some(entries.fold(finding, Finding::resting_on))
}

fn allowed(
    subject: &Subject<'_>,
    task: &TaskId,
    fitted: &Carried<'_>,
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
    if let Some(adopted) = known.and_then(|task| task.schedules.get(fitted.element_type)) {
        let (wear, shifts) = (adopted.max_wear.as_min(), u32::from(adopted.shifts));
        if wear < allowed.wear || shifts < allowed.shifts {
            allowed.limited_by = "the schedule adopted for the task".to_owned();
        }
        allowed.wear = allowed.wear.min(wear);
        allowed.shifts = allowed.shifts.min(shifts);
    }
    Ok(allowed)
}
