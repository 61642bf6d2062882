//! Rule `fit.passed`: did the latest fit test with this model and size pass?

use super::WearerFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Did the latest fit test with this model and size pass?
/// # Why
/// A failed test shows a leak; an earlier pass no longer counts.
/// # Citation
/// 29 CFR 1910.134(f)(1).
/// # Example that passes
/// The latest test passed.
/// # Example that stops
/// A test passed in May and failed in June.
/// # Remedy
/// Try another model or size for the wearer and fit test it.
/// # Limits
/// Takes the result as it was entered, besides the fit factor, which has its own rule.
pub static RULE: Rule = Rule {
    id: "fit.passed",
    asks: "Did the latest fit test with this model and size pass?",
    why: "A failed test shows a leak; an earlier pass no longer counts.",
    citation: "29 CFR 1910.134(f)(1)",
    authority: Authority::Read,
    says: "the latest fit test of {wearer} with {model} size {size} failed",
    remedy: "try another model or size for {wearer} and fit test it",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    let test = facts.tight_fit_test()?;
    // What was only not finished is told by a rule of its own.
    if test.passed || !test.missing.is_empty() {
        return None;
    }
    let finding = Finding::stop(&RULE).with("wearer", facts.wearer).with("model", facts.model);
    Some(finding.with("size", facts.size).resting_on(test.entry))
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
        sample::check(|facts| sample::fit_test(facts).passed = false, check, Some("fit.passed"));
        sample::check(
            |facts| {
                sample::fit_test(facts).passed = false;
                sample::fit_test(facts).missing = "5 (talking aloud)";
            },
            check,
            None,
        );
    }
}
