//! Rule `supply.couplings`: do the couplings of breathing air fit no other line?

use super::SupplyFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Do the couplings of breathing air fit no other line?
/// # Why
/// A mask on a line of nitrogen or plant air kills at the first breath.
/// # Citation
/// 29 CFR 1910.134(i)(8).
/// # Example that passes
/// Couplings of a kind used for breathing air alone.
/// # Example that stops
/// Couplings that fit the plant air.
/// # Remedy
/// Change the couplings so that they fit no outlet of other air or gas.
/// # Limits
/// As the supply was described.
pub static RULE: Rule = Rule {
    id: "supply.couplings",
    asks: "Do the couplings of breathing air fit no other line?",
    why: "A mask on a line of nitrogen or plant air kills at the first breath.",
    citation: "29 CFR 1910.134(i)(8)",
    authority: Authority::Read,
    says: "{supply}: its couplings are not shown to fit breathing air alone",
    remedy: "change the couplings so that they fit no outlet of other air or gas",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &SupplyFacts<'_>) -> Option<Finding> {
    let finding = Finding::stop(&RULE).with("supply", facts.supply).resting_on(facts.entry);
    (!facts.couplings_apart).then_some(finding)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::supply::sample::check(
            |facts| facts.couplings_apart = false,
            check,
            Some("supply.couplings"),
        );
    }
}
