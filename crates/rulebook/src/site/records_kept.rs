//! Rule `program.records-kept`: are the records kept that the rules ask for?

use super::ProgramFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Are the records kept that the rules ask for?
/// # Why
/// What is not recorded cannot be shown.
/// # Citation
/// 29 CFR 1910.134(m)(1)-(4).
/// # Example that passes
/// Clearance and fit test of each wearer, and the written program.
/// # Example that stops
/// A wearer of a tight-fitting facepiece without a fit test.
/// # Remedy
/// Find the record and enter it, or have done what is not recorded.
/// # Limits
/// Clearances, fit tests and the program. How long medical and exposure records are kept is for
/// the employer: 29 CFR 1910.1020.
pub static RULE: Rule = Rule {
    id: "program.records-kept",
    asks: "Are the records kept that the rules ask for?",
    why: "What is not recorded cannot be shown.",
    citation: "29 CFR 1910.134(m)(1)-(4)",
    authority: Authority::Read,
    says: "no record of {missing}",
    remedy: "find the record and enter it, or have done what is not recorded",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &ProgramFacts<'_>) -> Option<Finding> {
    if facts.missing_records.is_empty() {
        return None;
    }
    Some(Finding::stop(&RULE).with("missing", facts.missing_records.join("; ")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::site::sample::check(
            |facts| facts.missing_records.push("the fit test of Ada"),
            check,
            Some("program.records-kept"),
        );
    }
}
