//! Rule `standby.trained`: are those outside trained and equipped for rescue?

use super::StandbyFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Are those outside trained and equipped for rescue?
/// # Why
/// A rescuer without training becomes the next to be rescued.
/// # Citation
/// 29 CFR 1910.134(g)(3)(iii).
/// # Example that passes
/// All trained in rescue.
/// # Example that stops
/// One who is not.
/// # Remedy
/// Station people who are trained and equipped for rescue.
/// # Limits
/// What the training held is not judged.
pub static RULE: Rule = Rule {
    id: "standby.trained",
    asks: "Are those outside trained and equipped for rescue?",
    why: "A rescuer without training becomes the next to be rescued.",
    citation: "29 CFR 1910.134(g)(3)(iii)",
    authority: Authority::Read,
    says: "those standing by are not all shown to be trained and equipped for rescue",
    remedy: "station people who are trained and equipped for rescue",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &StandbyFacts<'_>) -> Option<Finding> {
    (!facts.trained).then(|| Finding::stop(&RULE))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::standby::sample::check(
            |facts| facts.trained = false,
            check,
            Some("standby.trained"),
        );
    }
}
