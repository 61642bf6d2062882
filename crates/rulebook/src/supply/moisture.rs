//! Rule `supply.moisture`: was the air of the supply found dry enough?

use super::SupplyFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the air of the supply found dry enough?
/// # Why
/// Water freezes in valves and rusts cylinders.
/// # Citation
/// 29 CFR 1910.134(i)(4)(iii) and (i)(5)(ii).
/// # Example that passes
/// Dew point of cylinder air at -50 degF.
/// # Example that stops
/// Dew point not reported, or too high.
/// # Remedy
/// Have the dew point at one atmosphere measured; change the drying bed where it is too high.
/// # Limits
/// The figure itself is judged by rule `air.moisture`.
pub static RULE: Rule = Rule {
    id: "supply.moisture",
    asks: "Was the air of the supply found dry enough?",
    why: "Water freezes in valves and rusts cylinders.",
    citation: "29 CFR 1910.134(i)(4)(iii) and (i)(5)(ii)",
    authority: Authority::Read,
    says: "{supply}: {state}",
    remedy: "have the dew point at one atmosphere measured; change the drying bed where it is too \
             high",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &SupplyFacts<'_>) -> Option<Finding> {
    let test = facts.air_test?;
    let state = match test.dry {
        Some(true) => return None,
        Some(false) => "the air is not dry enough",
        None => "the latest test does not tell how dry the air is",
    };
    let finding = Finding::stop(&RULE).with("supply", facts.supply).with("state", state);
    Some(finding.resting_on(test.entry))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::supply::sample::check(
            |facts| facts.air_test.as_mut().unwrap().dry = Some(false),
            check,
            Some("supply.moisture"),
        );
        crate::supply::sample::check(
            |facts| facts.air_test.as_mut().unwrap().dry = None,
            check,
            Some("supply.moisture"),
        );
        crate::supply::sample::check(|facts| facts.air_test = None, check, None);
    }
}
