//! What a health professional is told of the respirator and the work, as far as the records tell it.

use std::collections::BTreeSet;

use quantity::{Celsius, RelHumidity};

use crate::entry::{ProfessionalTold, WorkRate};
use crate::state::{Model, Task};

/// What a person still has to say in a prepared text.
pub const OPEN: char = '?';

impl ProfessionalTold {
    /// The sheet for these respirators and these tasks. What no record tells, such as a weight, is left
    /// [`OPEN`]; the copies are not given yet.
    #[must_use]
    pub fn prepared(models: &[&Model], tasks: &[&Task]) -> Self {
        let sources: BTreeSet<_> = models.iter().map(|model| model.device.air_source).collect();
        let each = |words: fn(&Task) -> String| joined(tasks.iter().map(|task| words(task)));
        Self {
            air_sources: sources.into_iter().collect(),
            respirators: joined(
                models.iter().map(|model| {
                    format!("{} ({}): {OPEN} kg", model.name, model.device.air_source)
                }),
            ),
            wear: match each(wear).as_str() {
                "" => String::new(),
                wear => format!("{wear}; rescue: {OPEN}; escape: {OPEN}"),
            },
            effort: each(effort),
            worn_beside: OPEN.to_string(),
            climate: each(climate),
            program_copy: false,
            standard_copy: false,
        }
    }

    /// The parts in which something is still to be said, by their names.
    #[must_use]
    pub fn open(&self) -> Vec<&'static str> {
        let parts = [
            ("respirators", &self.respirators),
            ("wear", &self.wear),
            ("effort", &self.effort),
            ("worn_beside", &self.worn_beside),
            ("climate", &self.climate),
        ];
        parts.into_iter().filter(|(_, text)| text.contains(OPEN)).map(|(name, _)| name).collect()
    }
}

fn joined(all: impl Iterator<Item = String>) -> String {
    all.collect::<Vec<_>>().join("; ")
}

fn wear(task: &Task) -> String {
    let minutes = task.spec.wear_per_shift.as_min();
    format!("{}: {minutes:.0} min on a shift, on {OPEN} days a week", task.spec.name)
}

/// The hardest work of the task, its segments among it.
fn effort(task: &Task) -> String {
    let of_segments = task.segments.iter().filter_map(|segment| segment.work_rate);
    let hardest: Option<WorkRate> = of_segments.chain([task.spec.work_rate]).max();
    format!("{}: {}", task.spec.name, hardest.unwrap_or(task.spec.work_rate).words())
}

/// What the task is planned with; how far it may go is asked.
fn climate(task: &Task) -> String {
    let warm = |segment: &crate::TaskSegment| segment.temperature.map(Celsius::as_celsius);
    let damp =
        |segment: &crate::TaskSegment| segment.relative_humidity.map(RelHumidity::as_percent);
    let spec = &task.spec;
    let warmth = task.segments.iter().filter_map(warm).chain([spec.temperature.as_celsius()]);
    let damps = task.segments.iter().filter_map(damp).chain([spec.relative_humidity.as_percent()]);
    format!(
        "{}: planned with {} degC and {} % humidity; at most {OPEN}, at least {OPEN}",
        spec.name,
        span(warmth),
        span(damps)
    )
}

/// The lowest and the highest of some figures, or the one.
fn span(figures: impl Iterator<Item = f64> + Clone) -> String {
    let low = figures.clone().fold(f64::INFINITY, f64::min);
    let high = figures.fold(f64::NEG_INFINITY, f64::max);
    if low < high { format!("{low:.0} to {high:.0}") } else { format!("{low:.0}") }
}
