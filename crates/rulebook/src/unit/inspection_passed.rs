//! Rule `unit.inspection-passed`: did the latest inspection find every point in order?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Did the latest inspection find every point in order?
/// # Why
/// A set that fails an inspection is out of service until it is put right and passes one.
/// # Citation
/// 29 CFR 1910.134(h)(4).
/// # Example that passes
/// Failed in May, repaired, passed in June.
/// # Example that stops
/// The latest inspection failed.
/// # Remedy
/// Take another set; have this one repaired, released and inspected again.
/// # Limits
/// A release without a new inspection does not lift it.
pub static RULE: Rule = Rule {
    id: "unit.inspection-passed",
    asks: "Did the latest inspection find every point in order?",
    why: "A set that fails an inspection is out of service until it is put right and passes one.",
    citation: "29 CFR 1910.134(h)(4)",
    authority: Authority::Read,
    says: "the latest inspection failed: {found}",
    remedy: "take another set; have this one repaired, released and inspected again",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let inspection = facts.inspection.as_ref()?;
    if inspection.passed {
        return None;
    }
    Some(Finding::stop(&RULE).with("found", &inspection.found).resting_on(inspection.entry))
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
        sample::check(
            |facts| sample::inspection(facts).passed = false,
            check,
            Some("unit.inspection-passed"),
        );
    }
}
