//! Rule `unit.known`: was a respirator with this tag received?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was a respirator with this tag received?
/// # Why
/// Nothing can be said of a set that nobody received.
/// # Citation
/// 29 CFR 1910.134(d)(1)(ii), (h)(1).
/// # Example that passes
/// The tag belongs to a half mask received in March.
/// # Example that stops
/// The tag belongs to nothing.
/// # Remedy
/// Read the tag again; if the set is new, record that it was received.
/// # Limits
/// Knows only what was entered.
pub static RULE: Rule = Rule {
    id: "unit.known",
    asks: "Was a respirator with this tag received?",
    why: "Nothing can be said of a set that nobody received.",
    citation: "29 CFR 1910.134(d)(1)(ii), (h)(1)",
    authority: Authority::Read,
    says: "no respirator has the tag `{unit}`",
    remedy: "read the tag again; if the set is new, record that it was received",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    if facts.received {
        return None;
    }
    Some(Finding::stop(&RULE).with("unit", facts.unit))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                facts.received = true;
            },
            check,
            None,
        );
        sample::check(
            |facts| {
                facts.received = false;
            },
            check,
            Some("unit.known"),
        );
    }
}
