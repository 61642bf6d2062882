//! Rule `elements.listed`: is the kind of element on the set on the list of the site?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the kind of element on the set on the list of the site?
/// # Why
/// Without its kind nobody knows what it is certified against.
/// # Citation
/// 29 CFR 1910.134(d)(1)(ii), (j).
/// # Example that passes
/// Its kind is listed with what it is certified against.
/// # Example that stops
/// A kind was entered that was never listed.
/// # Remedy
/// List `the kind` with what it is certified against.
/// # Limits
/// Knows only what was entered.
pub static RULE: Rule = Rule {
    id: "elements.listed",
    asks: "Is the kind of element on the set on the list of the site?",
    why: "Without its kind nobody knows what it is certified against.",
    citation: "29 CFR 1910.134(d)(1)(ii), (j)",
    authority: Authority::Read,
    says: "the elements `{kind}` on this set are not listed",
    remedy: "list `{kind}` with what it is certified against",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let elements = facts.elements_in_use()?;
    if elements.listed {
        return None;
    }
    Some(Finding::stop(&RULE).with("kind", elements.kind).resting_on(elements.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::sample;

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
            |facts| sample::elements(facts).listed = false,
            check,
            Some("elements.listed"),
        );
    }
}
