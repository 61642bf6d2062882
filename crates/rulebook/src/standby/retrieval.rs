//! Rule `standby.retrieval`: is there retrieval equipment, or another means of rescue where it
//! would not help?

use super::StandbyFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is there retrieval equipment, or another means of rescue where it would not help?
/// # Why
/// One who lies still must be brought out without a second one going in, if that can be.
/// # Citation
/// 29 CFR 1910.134(g)(3)(vi)(B)-(C).
/// # Example that passes
/// Harness and line.
/// # Example that stops
/// Neither line nor another means.
/// # Remedy
/// Set up retrieval equipment, or write down the means of rescue that stands for it.
/// # Limits
/// Whether it would help is for the employer to judge.
pub static RULE: Rule = Rule {
    id: "standby.retrieval",
    asks: "Is there retrieval equipment, or another means of rescue where it would not help?",
    why: "One who lies still must be brought out without a second one going in, if that can be.",
    citation: "29 CFR 1910.134(g)(3)(vi)(B)-(C)",
    authority: Authority::Read,
    says: "there is neither retrieval equipment nor another means of rescue",
    remedy: "set up retrieval equipment, or write down the means of rescue that stands for it",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &StandbyFacts<'_>) -> Option<Finding> {
    (!facts.retrieval_or_equal).then(|| Finding::stop(&RULE))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::standby::sample::check(
            |facts| facts.retrieval_or_equal = false,
            check,
            Some("standby.retrieval"),
        );
    }
}
