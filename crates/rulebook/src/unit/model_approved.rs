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
/// A model listed with `none`, `n/a`, `pending 2026` or nothing.
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

/// Words that tell of no approval, whatever day or number stands beside them.
const NO_APPROVAL: [&str; 14] = [
    "none",
    "not",
    "no",
    "pending",
    "withdrawn",
    "revoked",
    "expired",
    "na",
    "unknown",
    "applied",
    "unapproved",
    "refused",
    "suspended",
    "tbd",
];

/// Whether a text can be an approval number: a digit other than zero stands in it, and no word that tells of
/// none, in any case.
#[must_use]
pub fn is_number(approval: &str) -> bool {
    let lower = approval.to_lowercase();
    let words = lower.split(|sign: char| !sign.is_alphanumeric()).filter(|word| !word.is_empty());
    let words: Vec<&str> = words.collect();
    let denied = words.iter().any(|word| NO_APPROVAL.contains(word))
        || words.windows(2).any(|pair| pair == ["n", "a"]);
    !denied && approval.chars().any(|sign| sign.is_numeric() && sign.to_digit(10) != Some(0))
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

    #[test]
    fn a_day_beside_a_word_that_tells_of_none_makes_no_number() {
        for told in [
            "approval pending 2026",
            "not approved (2026)",
            "none 2024",
            "Withdrawn 2025-01-01",
            "revoked 84A-1",
            "EXPIRED: TC-84A-0001",
            "n/a 1",
            "N.A. 1",
            "NA 1",
            "no. 12",
            "unknown, 3",
            "applied for 2026",
        ] {
            assert!(!is_number(told), "{told}");
        }
        for number in
            ["21-INV-1, invented", "invented 1", "TC-84A-0001", "NA12-3", "nota 7", "N 5 A"]
        {
            assert!(is_number(number), "{number}");
        }
    }
}
