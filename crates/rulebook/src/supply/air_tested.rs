//! Rule `supply.air-tested`: was the air of the supply tested and found to be at least Grade D?

use super::SupplyFacts;
use crate::unit::breathing_air::state_of_test;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the air of the supply tested and found to be at least Grade D?
/// # Why
/// Supplied air is breathed as it is; nothing cleans it at the mask.
/// # Citation
/// 29 CFR 1910.134(i)(1)(ii).
/// # Example that passes
/// Tested in March, every figure within its limit.
/// # Example that stops
/// Never tested, or failed.
/// # Remedy
/// Have the air tested, and use another supply until it meets Grade D.
/// # Limits
/// The paragraph gives no interval; the site's own is taken, and half a year where it has none.
pub static RULE: Rule = Rule {
    id: "supply.air-tested",
    asks: "Was the air of the supply tested and found to be at least Grade D?",
    why: "Supplied air is breathed as it is; nothing cleans it at the mask.",
    citation: "29 CFR 1910.134(i)(1)(ii)",
    authority: Authority::Read,
    says: "{supply}: {state}",
    remedy: "have the air tested, and use another supply until it meets Grade D",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &SupplyFacts<'_>) -> Option<Finding> {
    let finding = Finding::stop(&RULE).with("supply", facts.supply);
    let Some(test) = facts.air_test else {
        return Some(finding.with("state", "the air was never tested"));
    };
    let finding = finding.resting_on(test.entry);
    if !test.meets {
        return Some(finding.with("state", state_of_test(test.only_incomplete)));
    }
    let until = facts.air_test_counts.last_day(test.day);
    if facts.day <= until {
        return None;
    }
    let state = format!("the air was last tested on {}, which holds until {until}", test.day);
    Some(finding.with("state", state).after(until))
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::supply::sample::check(
            |facts| facts.air_test = None,
            check,
            Some("supply.air-tested"),
        );
        crate::supply::sample::check(
            |facts| facts.air_test.as_mut().unwrap().meets = false,
            check,
            Some("supply.air-tested"),
        );
        crate::supply::sample::check(|facts| facts.day = date(2026, 9, 1), check, None);
        crate::supply::sample::check(
            |facts| facts.day = date(2026, 9, 2),
            check,
            Some("supply.air-tested"),
        );
    }
}
