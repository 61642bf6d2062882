//! Rule `medical.renewal-asked`: was the wearer evaluated since something asked for a new evaluation?

use super::WearerFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the wearer evaluated since something asked for a new evaluation?
/// # Why
/// Signs or symptoms, or heavier work, can mean that the last recommendation no longer holds.
/// # Citation
/// 29 CFR 1910.134(e)(7).
/// # Example that passes
/// Symptoms were reported; a health professional has given a recommendation since.
/// # Example that stops
/// A supervisor asked for a new evaluation; the latest recommendation is older.
/// # Remedy
/// Have the health professional evaluate the wearer again; until then the wearer does other work.
/// # Limits
/// Knows that an evaluation was asked for, not why: no medical data are kept.
pub static RULE: Rule = Rule {
    id: "medical.renewal-asked",
    asks: "Was the wearer evaluated since something asked for a new evaluation?",
    why: "Signs or symptoms, or heavier work, can mean that the last recommendation no longer holds.",
    citation: "29 CFR 1910.134(e)(7)",
    authority: Authority::Read,
    says: "a new medical evaluation of {wearer} was asked for and has not been made",
    remedy: "keep {wearer} out of this task until a health professional has evaluated anew, and record the recommendation",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    let finding = Finding::stop(&RULE).with("wearer", facts.wearer);
    Some(finding.resting_on(facts.medical_renewal?))
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
            |facts| facts.medical_renewal = Some("e7"),
            check,
            Some("medical.renewal-asked"),
        );
    }
}
