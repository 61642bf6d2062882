//! What is due at a task.

use jiff::civil::Date;
use quantity::Concentration;
use rulebook::ask::Interval;
use rulebook::{AirborneForm, Authority, Finding, Rule};
use substance::Cas;

use super::days::Calendar;
use super::{About, DueKind, Duty};
use crate::ids::TaskId;
use crate::state::{Measured, Reading, State, Task};

/// # What it asks
/// Was every contaminant of the task measured or soundly estimated?
/// # Why
/// What is not known cannot be guarded against.
/// # Citation
/// 29 CFR 1910.134(d)(1)(iii).
/// # Remedy
/// Measure and record the reading.
/// # Limits
/// Tasks where respirators are worn by choice are not asked.
pub static READING: Rule = Rule {
    id: "due.reading",
    asks: "Was every contaminant of the task measured or soundly estimated?",
    why: "What is not known cannot be guarded against.",
    citation: "29 CFR 1910.134(d)(1)(iii)",
    authority: Authority::Read,
    says: "{what}",
    remedy: "measure or soundly estimate it and record the reading; until then the air counts as \
             immediately dangerous",
};

/// # What it asks
/// Was a change schedule adopted for a task with gas or vapour?
/// # Why
/// Nobody can see how far a cartridge is used up, and smell comes late or never.
/// # Citation
/// 29 CFR 1910.134(d)(3)(iii)(B)(2).
/// # Remedy
/// Look at the computed schedule and adopt it or a stricter one.
/// # Limits
/// A task for which supplied air alone is used needs none and is named here all the same.
pub static SCHEDULE: Rule = Rule {
    id: "due.schedule",
    asks: "Was a change schedule adopted for a task with gas or vapour?",
    why: "Nobody can see how far a cartridge is used up, and smell comes late or never.",
    citation: "29 CFR 1910.134(d)(3)(iii)(B)(2)",
    authority: Authority::Read,
    says: "no change schedule was adopted",
    remedy: "look at the computed schedules of the task and adopt one, or a stricter one",
};

pub(super) fn duties(
    state: &State,
    (id, task): (&TaskId, &Task),
    calendar: &Calendar,
    all: &mut Vec<Duty>,
) {
    if task.spec.voluntary {
        return;
    }
    let mut add = |kind, finding: Finding| {
        let about = (kind, About::Task(id.clone()));
        all.extend(Duty::of(about, Some(task.site.clone()), vec![finding]));
    };
    let of_groups: Vec<&Measured> =
        state.groups_of(id).into_iter().flat_map(|group| &group.measured).collect();
    if task.readings.is_empty() && of_groups.is_empty() {
        let finding = Finding::stop(&READING).resting_on(&task.described.entry);
        add(DueKind::Reading, finding.with("what", "nothing was measured"));
    }
    let mut asked = Vec::new();
    // The latest reading of each contaminant decides whether its level is known.
    for reading in task.readings.iter().rev() {
        if asked.contains(&reading.cas) {
            continue;
        }
        asked.push(reading.cas);
        let name = name_of(reading.cas);
        let finding = Finding::stop(&READING).resting_on(&reading.at.entry);
        if reading.concentration.is_none() {
            let what = format!("the level of {name} is not known");
            add(DueKind::Reading, finding.with("what", what));
        } else {
            add(DueKind::Reading, aged(finding, &name, calendar.day(reading.at.when)));
        }
    }
    for one in of_groups.iter().rev() {
        if asked.contains(&one.cas) {
            continue;
        }
        asked.push(one.cas);
        let finding = Finding::stop(&READING).resting_on(&one.at.entry);
        add(DueKind::Reading, aged(finding, &name_of(one.cas), calendar.day(one.at.when)));
    }
    let vapour = |reading: &Reading| reading.form != AirborneForm::Particle;
    let measured_as_gas = |one: &&Measured| matches!(one.level, Concentration::Ppm(_));
    let gas = task.readings.iter().any(vapour) || of_groups.iter().any(measured_as_gas);
    if gas && task.schedules.is_empty() {
        add(DueKind::Schedule, Finding::stop(&SCHEDULE).resting_on(&task.described.entry));
    }
}

/// A level counts for a year: what was measured longer ago is unknown to a verdict.
fn aged(finding: Finding, name: &str, measured: Date) -> Finding {
    let until = Interval::Year.last_day(measured);
    let what =
        format!("the level of {name} was last measured on {measured}, which holds until {until}");
    finding.with("what", what).after(until)
}

fn name_of(cas: Cas) -> String {
    let substance = substance::Catalogue::builtin().get(cas);
    substance.map_or_else(|| cas.to_string(), |known| known.name().to_owned())
}
