//! How far the readings of a task stand for the days on which it is done.

use rulebook::exposure::{ENOUGH_READINGS, FEW_OF_TASK, SHORT_SAMPLE, STANDS_FOR_SHIFT_MIN};
use rulebook::{Finding, Rule};

use super::Subject;
use crate::exposure::chance_of_worse;
use crate::state::Samples;

/// The rules that are asked here.
pub(super) const ASKED: [&Rule; 2] = [&SHORT_SAMPLE, &FEW_OF_TASK];

/// What is to be known of the readings that count: how few they are, and how short was sampled.
pub(super) fn of(subject: &Subject<'_>) -> Vec<Finding> {
    let Some(task) = subject.task else { return Vec::new() };
    let wear = subject.planned.max(task.spec.wear_per_shift.as_min());
    let all = subject.state.samples_at(&subject.ask.task, subject.instant.now);
    all.iter().flat_map(|samples| [short(samples, wear), few(samples)]).flatten().collect()
}

fn short(samples: &Samples<'_>, wear: f64) -> Option<Finding> {
    let enough = wear.min(STANDS_FOR_SHIFT_MIN);
    let sampled = match samples.longest {
        Some(longest) if enough <= longest.as_min() => return None,
        Some(longest) => format!("sampled for {longest} at most"),
        None => "sampled for a time that is not written".to_owned(),
    };
    let finding = Finding::caution(&SHORT_SAMPLE).with("substance", samples.name);
    let finding = finding.with("sampled", sampled).with("wear", format!("{wear:.0} min"));
    Some(samples.entries.iter().fold(finding, Finding::resting_on))
}

fn few(samples: &Samples<'_>) -> Option<Finding> {
    let n = samples.entries.len();
    if ENOUGH_READINGS <= n {
        return None;
    }
    let count = if n == 1 { "is 1 reading".to_owned() } else { format!("are {n} readings") };
    let finding = Finding::note(&FEW_OF_TASK).with("substance", samples.name).with("n", count);
    Some(finding.with("chance", format!("{:.0}", chance_of_worse(n))))
}
