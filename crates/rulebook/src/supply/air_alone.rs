//! Rule `supply.air-alone`: is nothing but breathing air ever put into the lines?

use super::SupplyFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is nothing but breathing air ever put into the lines?
/// # Why
/// What purges or tests a line, such as nitrogen, takes the breath of whoever is on it.
/// # Citation
/// 29 CFR 1910.134(i)(8).
/// # Example that passes
/// Somebody has looked: the lines are purged and tested with breathing air.
/// # Example that stops
/// Nitrogen is let into the lines. Where nobody is on record to have looked, it cautions.
/// # Remedy
/// Take the other gas off the lines for good, blow them out with breathing air, sample it, and record what
/// was found.
/// # Limits
/// As somebody saw it; what is done later on is not seen. It only cautions where nobody looked: the
/// couplings and the samples of the air are asked beside it.
pub static RULE: Rule = Rule {
    id: "supply.air-alone",
    asks: "Is nothing but breathing air ever put into the lines?",
    why: "What purges or tests a line, such as nitrogen, takes the breath of whoever is on it.",
    citation: "29 CFR 1910.134(i)(8)",
    authority: Authority::Read,
    says: "{supply}: {state}",
    remedy: "take any other gas off the lines for good, blow them out with breathing air, sample it, \
             and record what was found",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &SupplyFacts<'_>) -> Option<Finding> {
    let Some(look) = facts.look else {
        let state = "nobody is on record to have looked whether another gas is put into its lines";
        let finding = Finding::caution(&RULE).with("supply", facts.supply);
        return Some(finding.with("state", state).resting_on(facts.entry));
    };
    if look.air_alone {
        return None;
    }
    let finding = Finding::stop(&RULE).with("supply", facts.supply);
    Some(finding.with("state", "another gas is put into its lines").resting_on(look.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Severity;
    use crate::supply::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        let found = Some("supply.air-alone");
        sample::check(|facts| sample::look(facts).air_alone = false, check, found);
        sample::check(|facts| facts.look = None, check, found);
        let mut facts = <SupplyFacts<'static> as sample::Good>::good();
        facts.look = None;
        assert_eq!(check(&facts).map(|found| found.severity), Some(Severity::Caution));
    }
}
