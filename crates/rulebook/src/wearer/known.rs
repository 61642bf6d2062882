//! Rule `wearer.known`: is the wearer enrolled?

use super::WearerFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the wearer enrolled?
/// # Why
/// Nothing can be said of a person who is not in the program.
/// # Citation
/// 29 CFR 1910.134(a)(2).
/// # Example that passes
/// The wearer was enrolled last year.
/// # Example that stops
/// A tag was read that belongs to nobody.
/// # Remedy
/// Enrol `the wearer`, or enter the right person.
/// # Limits
/// Knows only what was entered.
pub static RULE: Rule = Rule {
    id: "wearer.known",
    asks: "Is the wearer enrolled?",
    why: "Nothing can be said of a person who is not in the program.",
    citation: "29 CFR 1910.134(a)(2)",
    authority: Authority::Read,
    says: "nobody is enrolled as `{wearer}`",
    remedy: "enrol `{wearer}`, or enter the right person",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    if facts.enrolled {
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
                facts.enrolled = true;
            },
            check,
            None,
        );
        sample::check(
            |facts| {
                facts.enrolled = false;
            },
            check,
            Some("wearer.known"),
        );
    }
}
