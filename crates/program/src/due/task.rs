//! What is due at a task.

use rulebook::{AirborneForm, Authority, Finding, Rule};

use super::{About, DueKind, Duty};
use crate::ids::TaskId;
use crate::state::Task;

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

pub(super) fn duties((id, task): (&TaskId, &Task), all: &mut Vec<Duty>) {
    if task.spec.voluntary {
        return;
    }
    let mut add = |kind, finding: Finding| {
        let about = (kind, About::Task(id.clone()));
        all.extend(Duty::of(about, Some(task.site.clone()), vec![finding]));
    };
    if task.readings.is_empty() {
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
        if reading.concentration.is_none() {
            let substance = substance::Catalogue::builtin().get(reading.cas);
            let name = substance.map_or_else(|| reading.cas.to_string(), |s| s.name().to_owned());
            let finding = Finding::stop(&READING).resting_on(&reading.at.entry);
            add(
                DueKind::Reading,
                finding.with("what", format!("the level of {name} is not known")),
            );
        }
    }
    let gas = task.readings.iter().any(|reading| reading.form != AirborneForm::Particle);
    if gas && task.schedules.is_empty() {
        add(DueKind::Schedule, Finding::stop(&SCHEDULE).resting_on(&task.described.entry));
    }
}
