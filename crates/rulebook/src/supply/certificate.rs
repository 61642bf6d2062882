//! Rule `supply.certificate`: did purchased cylinders of breathing air come with a certificate of
//! analysis?

use super::{Source, SupplyFacts};
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Did purchased cylinders of breathing air come with a certificate of analysis?
/// # Why
/// Who breathes it cannot see what was filled.
/// # Citation
/// 29 CFR 1910.134(i)(4)(ii).
/// # Example that passes
/// A certificate of Grade D air with each purchase.
/// # Example that stops
/// Cylinders without one; a purchase that came without one after others that had it.
/// # Remedy
/// Ask the supplier for the certificate of analysis; do not use the cylinders without it.
/// # Limits
/// Purchased cylinders only. Knows of purchases that were recorded; a sample of the air taken since
/// stands for a certificate.
pub static RULE: Rule = Rule {
    id: "supply.certificate",
    asks: "Did purchased cylinders of breathing air come with a certificate of analysis?",
    why: "Who breathes it cannot see what was filled.",
    citation: "29 CFR 1910.134(i)(4)(ii)",
    authority: Authority::Read,
    says: "{supply}: no certificate of analysis is on record for {what}",
    remedy: "ask the supplier for the certificate of analysis; do not use the cylinders without it",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &SupplyFacts<'_>) -> Option<Finding> {
    if facts.source != Source::PurchasedCylinders || facts.certificate.is_some() {
        return None;
    }
    let finding = Finding::stop(&RULE).with("supply", facts.supply);
    Some(match facts.bought_without {
        Some(bought) => finding.with("what", "the latest purchase of air").resting_on(bought),
        None => finding.with("what", "purchased air"),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::supply::sample::check(
            |facts| facts.source = Source::PurchasedCylinders,
            check,
            Some("supply.certificate"),
        );
        crate::supply::sample::check(
            |facts| {
                facts.source = Source::PurchasedCylinders;
                facts.certificate = Some("e9");
            },
            check,
            None,
        );
        crate::supply::sample::check(
            |facts| {
                facts.source = Source::PurchasedCylinders;
                facts.bought_without = Some("e9");
            },
            check,
            Some("supply.certificate"),
        );
    }
}
