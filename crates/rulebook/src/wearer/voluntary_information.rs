//! Rule `voluntary.information`: was a wearer by choice given the advice that the rules print?

use super::WearerFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was a wearer by choice given the advice that the rules print?
/// # Why
/// A respirator worn by choice can itself do harm when it is dirty or wrong for the air.
/// # Citation
/// 29 CFR 1910.134(c)(2)(i), (k)(6), App. D.
/// # Example that passes
/// Worn by choice; the advice was given.
/// # Example that stops
/// Worn by choice; no advice is on record.
/// # Remedy
/// Give the wearer the advice of Appendix D and record it.
/// # Limits
/// Required use is not asked: its training says more.
pub static RULE: Rule = Rule {
    id: "voluntary.information",
    asks: "Was a wearer by choice given the advice that the rules print?",
    why: "A respirator worn by choice can itself do harm when it is dirty or wrong for the air.",
    citation: "29 CFR 1910.134(c)(2)(i), (k)(6), App. D",
    authority: Authority::Read,
    says: "{wearer} wears by choice and was not given the printed advice",
    remedy: "give {wearer} the advice of Appendix D and record it",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    if !facts.voluntary || facts.information.is_some() {
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
                facts.voluntary = true;
                facts.information = Some("e8");
            },
            check,
            None,
        );
        sample::check(
            |facts| {
                facts.voluntary = true;
                facts.information = None;
            },
            check,
            Some("voluntary.information"),
        );
        sample::check(
            |facts| {
                facts.voluntary = false;
                facts.information = None;
            },
            check,
            None,
        );
    }
}
