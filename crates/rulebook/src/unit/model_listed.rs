//! Rule `unit.model-listed`: is the model of the set on the list of the site?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the model of the set on the list of the site?
/// # Why
/// Without its model nobody knows what the set protects against.
/// # Citation
/// 29 CFR 1910.134(d)(1)(ii).
/// # Example that passes
/// The model is listed with its approval number.
/// # Example that stops
/// A set was received of a model that was never listed.
/// # Remedy
/// List the model `the model` with what it is and its approval number.
/// # Limits
/// Whether the approval number is right is not checked.
pub static RULE: Rule = Rule {
    id: "unit.model-listed",
    asks: "Is the model of the set on the list of the site?",
    why: "Without its model nobody knows what the set protects against.",
    citation: "29 CFR 1910.134(d)(1)(ii)",
    authority: Authority::Read,
    says: "the model `{model}` of this set is not listed",
    remedy: "list the model `{model}` with what it is and its approval number",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    if !facts.received || facts.device.is_some() {
        return None;
    }
    Some(Finding::stop(&RULE).with("model", facts.model))
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
            |facts| {
                facts.device = None;
            },
            check,
            Some("unit.model-listed"),
        );
    }
}
