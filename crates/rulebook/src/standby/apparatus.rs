//! Rule `standby.apparatus`: have those outside positive-pressure self-contained apparatus, or
//! airline with an auxiliary self-contained supply?

use super::StandbyFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Have those outside positive-pressure self-contained apparatus, or airline with an auxiliary
/// self-contained supply?
/// # Why
/// They go into the same air.
/// # Citation
/// 29 CFR 1910.134(g)(3)(vi)(A).
/// # Example that passes
/// Positive-pressure self-contained sets at hand.
/// # Example that stops
/// Masks with cartridges.
/// # Remedy
/// Give each of them such a set, ready to don.
/// # Limits
/// Whether each set is in order is asked of the set.
pub static RULE: Rule = Rule {
    id: "standby.apparatus",
    asks: "Have those outside positive-pressure self-contained apparatus, or airline with an \
           auxiliary self-contained supply?",
    why: "They go into the same air.",
    citation: "29 CFR 1910.134(g)(3)(vi)(A)",
    authority: Authority::Read,
    says: "those standing by have no apparatus for immediately dangerous air",
    remedy: "give each of them such a set, ready to don",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &StandbyFacts<'_>) -> Option<Finding> {
    (!facts.apparatus).then(|| Finding::stop(&RULE))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::standby::sample::check(
            |facts| facts.apparatus = false,
            check,
            Some("standby.apparatus"),
        );
    }
}
