//! Rule `unit.model-approved`: is the model of the set listed with an approval number?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the model of the set listed with an approval number?
/// # Why
/// What was never tested and approved protects against nothing that anybody has shown.
/// # Citation
/// 29 CFR 1910.134(d)(1)(ii).
/// # Example that passes
/// A model listed with the number on its approval label, `TC-84A-0001` (the form is value from memory).
/// # Example that stops
/// A model listed with `none`, `n/a` or nothing.
/// # Remedy
/// List the model anew with the number on its approval label, or take an approved respirator.
/// # Limits
/// Whether the number is right is not checked, nor its form: where other law holds, another approval counts.
/// Not asked where it is worn by choice.
pub static RULE: Rule = Rule {
    id: "unit.model-approved",
    asks: "Is the model of the set listed with an approval number?",
    why: "What was never tested and approved protects against nothing that anybody has shown.",
    citation: "29 CFR 1910.134(d)(1)(ii)",
    authority: Authority::Read,
    says: "the model `{model}` is listed with `{approval}` in place of an approval number",
    remedy: "list the model `{model}` anew with the number on its approval label, or take an approved respirator",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let approval = facts.approval.filter(|approval| !is_number(approval))?;
    Some(Finding::stop(&RULE).with("model", facts.model).with("approval", approval))
}

/// Whether a text can be an approval number: a digit other than zero stands in it.
#[must_use]
pub fn is_number(approval: &str) -> bool {
    approval.chars().any(|sign| sign.is_numeric() && sign.to_digit(10) != Some(0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(|facts| facts.approval = Some("TC-84A-0001"), check, None);
        sample::check(|facts| facts.approval = None, check, None);
        for nothing in ["none", "n/a", "N/A", "", " ", "-", "pending", "not approved", "0", "000"] {
            let expected = Some("unit.model-approved");
            sample::check(|facts| facts.approval = Some(nothing), check, expected);
        }
    }
}
