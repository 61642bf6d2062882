//! Rule `medical.limits`: did the health professional write limits that the wearer must keep?

use super::Allows;
use super::WearerFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Did the health professional write limits that the wearer must keep?
/// # Why
/// Limits in words cannot be checked here; the wearer and the supervisor must know them.
/// # Citation
/// 29 CFR 1910.134(e)(6)(i)(A).
/// # Example that passes
/// No limits were written.
/// # Example that stops
/// Never stops; `not above 30 minutes at a stretch` is shown as a caution.
/// # Remedy
/// Keep to the limits as written.
/// # Limits
/// Shows the words; does not understand them.
pub static RULE: Rule = Rule {
    id: "medical.limits",
    asks: "Did the health professional write limits that the wearer must keep?",
    why: "Limits in words cannot be checked here; the wearer and the supervisor must know them.",
    citation: "29 CFR 1910.134(e)(6)(i)(A)",
    authority: Authority::Read,
    says: "the medical clearance of {wearer} has limits: {limits}",
    remedy: "keep to the limits as written",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    let clearance = facts.clearance.as_ref()?;
    let Allows::Only { limits, .. } = clearance.allows else { return None };
    if limits.trim().is_empty() {
        return None;
    }
    let finding =
        Finding::caution(&RULE).with("wearer", facts.wearer).with("limits", limits.trim());
    Some(finding.resting_on(clearance.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::AirSource;
    use crate::wearer::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                sample::clearance(facts).allows =
                    Allows::Only { air_sources: &AirSource::ALL, limits: " " }
            },
            check,
            None,
        );
        sample::check(
            |facts| {
                sample::clearance(facts).allows =
                    Allows::Only { air_sources: &AirSource::ALL, limits: "30 minutes at most" }
            },
            check,
            Some("medical.limits"),
        );
    }
}
