//! Rule `medical.given`: has a licensed health professional given a written recommendation?

use super::WearerFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Has a licensed health professional given a written recommendation?
/// # Why
/// Breathing through a respirator is a load that not every heart and lung can carry.
/// # Citation
/// 29 CFR 1910.134(e)(1), (e)(6)(i).
/// # Example that passes
/// A recommendation was given last spring.
/// # Example that stops
/// No recommendation is on record.
/// # Remedy
/// Have a licensed health professional evaluate the wearer and record the recommendation.
/// # Limits
/// Nothing medical is kept but the recommendation, so whether it was soundly made is not seen.
pub static RULE: Rule = Rule {
    id: "medical.given",
    asks: "Has a licensed health professional given a written recommendation?",
    why: "Breathing through a respirator is a load that not every heart and lung can carry.",
    citation: "29 CFR 1910.134(e)(1), (e)(6)(i)",
    authority: Authority::Read,
    says: "{wearer} has no medical clearance",
    remedy: "have a licensed health professional evaluate {wearer} and record the recommendation",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    if facts.clearance.is_some() {
        return None;
    }
    Some(Finding::stop(&RULE).with("wearer", facts.wearer))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wearer::sample;

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
            |facts| {
                facts.clearance = None;
            },
            check,
            Some("medical.given"),
        );
    }
}
