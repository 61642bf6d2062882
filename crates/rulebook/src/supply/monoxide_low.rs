//! Rule `supply.monoxide-low`: was at most 10 ppm of carbon monoxide found when it was last tested alone?

use super::SupplyFacts;
use crate::breathing_air::grade_d;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was at most 10 ppm of carbon monoxide found when it was last tested alone?
/// # Why
/// It has no smell and kills; where it is too high the air is not Grade D, whatever a full test said
/// before.
/// # Citation
/// 29 CFR 1910.134(i)(1)(ii)(C), (i)(6) and (i)(7).
/// # Example that passes
/// 3 ppm found after the alarm had sounded.
/// # Example that stops
/// 12 ppm found in the monthly test.
/// # Remedy
/// Use another supply, find the cause, and test the air again.
/// # Limits
/// A low figure never stands in for a full test of the air, which has a rule of its own; that one also
/// tells of carbon monoxide found in a full test.
pub static RULE: Rule = Rule {
    id: "supply.monoxide-low",
    asks: "Was at most 10 ppm of carbon monoxide found when it was last tested alone?",
    why: "It has no smell and kills; where it is too high the air is not Grade D, whatever a full \
          test said before.",
    citation: "29 CFR 1910.134(i)(1)(ii)(C), (i)(6) and (i)(7)",
    authority: Authority::Read,
    says: "{supply}: {found} of carbon monoxide was found on {day}, more than {most}",
    remedy: "use another supply, find the cause, and test the air for carbon monoxide again",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &SupplyFacts<'_>) -> Option<Finding> {
    let test = facts.monoxide_test?;
    let of_full_test = facts.air_test.is_some_and(|full| full.entry == test.entry);
    let most = grade_d().carbon_monoxide;
    if of_full_test || test.found <= most {
        return None;
    }
    let finding = Finding::stop(&RULE).with("supply", facts.supply).with("found", test.found);
    Some(finding.with("day", test.day).with("most", most).resting_on(test.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::supply::{MonoxideTest, sample};
    use jiff::civil::date;
    use quantity::Ppm;

    #[test]
    fn the_examples_of_the_doc_hold() {
        let expected = Some("supply.monoxide-low");
        for (ppm, entry, expected) in [
            (3.0, "e9", None),
            (10.0, "e9", None),
            (10.1, "e9", expected),
            (12.0, "e9", expected),
            // That of the full test is told by the rule of full tests.
            (12.0, "e1", None),
        ] {
            let found = Ppm::from_ppm(ppm).unwrap();
            let test = MonoxideTest { day: date(2026, 5, 1), found, entry };
            sample::check(
                |facts: &mut SupplyFacts<'static>| facts.monoxide_test = Some(test),
                check,
                expected,
            );
        }
    }
}
