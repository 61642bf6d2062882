//! Rule `fit.complete`: was every exercise of its protocol done in the latest fit test with this model
//! and size?

use super::WearerFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was every exercise of its protocol done in the latest fit test with this model and size?
/// # Why
/// Each exercise opens the seal in another way; what was left out shows nothing.
/// # Citation
/// 29 CFR 1910.134 App. A Part I.A.14.
/// # Example that passes
/// All exercises of the protocol.
/// # Example that stops
/// Seven of eight, without talking.
/// # Remedy
/// Do the whole test again, every exercise in its order.
/// # Limits
/// Tests recorded exercise by exercise. One that failed besides is told as failed.
pub static RULE: Rule = Rule {
    id: "fit.complete",
    asks: "Was every exercise of its protocol done in the latest fit test with this model and size?",
    why: "Each exercise opens the seal in another way; what was left out shows nothing.",
    citation: "29 CFR 1910.134 App. A Part I.A.14",
    authority: Authority::Read,
    says: "the latest fit test of {wearer} with {model} size {size} is not complete: {missing} not \
           done or not measured",
    remedy: "fit test {model} size {size} for {wearer} again, every exercise in its order",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    let test = facts.tight_fit_test()?;
    if test.missing.is_empty() {
        return None;
    }
    let finding = Finding::stop(&RULE).with("wearer", facts.wearer).with("model", facts.model);
    let finding = finding.with("size", facts.size).with("missing", test.missing);
    Some(finding.resting_on(test.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wearer::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| sample::fit_test(facts).missing = "5 (talking aloud)",
            check,
            Some("fit.complete"),
        );
    }

    #[test]
    fn a_test_that_did_not_pass_stops_whatever_is_missing() {
        for missing in ["", "5 (talking aloud)"] {
            let mut facts = sample::good();
            sample::fit_test(&mut facts).passed = false;
            sample::fit_test(&mut facts).missing = missing;
            let told = [check(&facts), crate::wearer::fit_passed::check(&facts)];
            assert_eq!(told.iter().flatten().count(), 1, "{missing}");
        }
    }
}
