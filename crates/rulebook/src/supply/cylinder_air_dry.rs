//! Rule `supply.cylinder-air-dry`: is the air in the cylinder dry enough for a cylinder?

use super::CylinderFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the air in the cylinder dry enough for a cylinder?
/// # Why
/// Water freezes in the valve and rusts the cylinder from inside.
/// # Citation
/// 29 CFR 1910.134(i)(4)(iii).
/// # Example that passes
/// Filled from a compressor whose air was sampled at -50 degF.
/// # Example that stops
/// Filled from a compressor whose air was sampled at -40 degF, dry enough for a hose.
/// # Remedy
/// Dry the supply, have its dew point measured, and fill the cylinder again.
/// # Limits
/// Asks the sample at the time of the filling, and the latest. Where nobody told from which supply it was
/// filled, this is a caution.
pub static RULE: Rule = Rule {
    id: "supply.cylinder-air-dry",
    asks: "Is the air in the cylinder dry enough for a cylinder?",
    why: "Water freezes in the valve and rusts the cylinder from inside.",
    citation: "29 CFR 1910.134(i)(4)(iii)",
    authority: Authority::Read,
    says: "cylinder {cylinder} {state}",
    remedy: "fill it from a supply whose dew point at one atmosphere was measured at -50 degF \
             (-45.6 degC) or lower",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &CylinderFacts<'_>) -> Option<Finding> {
    let air = facts.air?;
    let finding = |state: String| {
        let finding = Finding::stop(&RULE).with("cylinder", facts.cylinder).with("state", state);
        [air.filled, air.sample].into_iter().flatten().fold(finding, Finding::resting_on)
    };
    let Some(supply) = air.supply else {
        let state = "was filled nobody told from which supply: how dry its air is, is not known";
        let finding = finding(state.to_owned());
        return Some(Finding { severity: crate::Severity::Caution, ..finding });
    };
    let dry = match air.dry {
        Some(true) => return None,
        Some(false) => "whose air was not dry enough for a cylinder",
        None => "of which no test tells how dry its air is",
    };
    Some(finding(format!("was filled from {supply}, {dry}")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Severity;
    use crate::supply::{CylinderAir, sample};

    fn filled(supply: Option<&'static str>, dry: Option<bool>) -> CylinderAir<'static> {
        CylinderAir { supply, dry, sample: supply.and(dry).and(Some("e7")), filled: Some("e8") }
    }

    // Source: 29 CFR 1910.134(i)(4)(iii).
    #[test]
    fn the_examples_of_the_doc_hold() {
        for (supply, dry, expected) in [
            (Some("compressor"), Some(true), None),
            (Some("compressor"), Some(false), Some("supply.cylinder-air-dry")),
            (Some("compressor"), None, Some("supply.cylinder-air-dry")),
            (None, None, Some("supply.cylinder-air-dry")),
        ] {
            let change = |facts: &mut CylinderFacts<'static>| facts.air = Some(filled(supply, dry));
            sample::check(change, check, expected);
        }
        let facts = CylinderFacts { air: Some(filled(None, None)), ..sample::Good::good() };
        assert_eq!(check(&facts).map(|found| found.severity), Some(Severity::Caution));
    }
}
