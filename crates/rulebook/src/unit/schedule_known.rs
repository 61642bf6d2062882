//! Rule `elements.schedule-known`: is there a change schedule for these elements in this air?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is there a change schedule for these elements in this air?
/// # Why
/// Without a schedule or an indicator nobody knows when they let the vapour through.
/// # Citation
/// 29 CFR 1910.134(d)(3)(iii)(B)(2).
/// # Example that passes
/// A schedule was computed from readings and bed.
/// # Example that stops
/// A concentration is unknown, so no schedule can be computed.
/// # Remedy
/// Give what the schedule needs (see the other reasons), or use supplied air.
/// # Limits
/// How the schedule is computed, and why it may be refused, is told by the findings of the schedule
/// itself.
pub static RULE: Rule = Rule {
    id: "elements.schedule-known",
    asks: "Is there a change schedule for these elements in this air?",
    why: "Without a schedule or an indicator nobody knows when they let the vapour through.",
    citation: "29 CFR 1910.134(d)(3)(iii)(B)(2)",
    authority: Authority::Read,
    says: "there is no change schedule for these elements in this task",
    remedy: "give what the schedule needs (see the other reasons), or use supplied air",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let elements = facts.elements_in_use()?;
    if facts.device.is_none() || facts.life.is_some() {
        return None;
    }
    Some(Finding::stop(&RULE).resting_on(elements.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                let _ = &facts;
            },
            check,
            None,
        );
        sample::check(|facts| facts.life = None, check, Some("elements.schedule-known"));
    }
}
