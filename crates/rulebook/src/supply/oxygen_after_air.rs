//! Rule `supply.oxygen-after-air`: is there no oxygen where compressed air was before?

use super::CylinderFacts;
use crate::{Authority, Finding, Rule, Severity};

/// # What it asks
/// Is there no oxygen in a cylinder or a set that has held compressed air?
/// # Why
/// Compressed air leaves traces of oil behind, and compressed oxygen sets them on fire.
/// # Citation
/// 29 CFR 1910.134(i)(2).
/// # Example that passes
/// A cylinder that was never filled with anything but air.
/// # Example that stops
/// A cylinder filled with air in March and with oxygen in May; one filled with oxygen alone, on a set that
/// was fed from a compressor.
/// # Remedy
/// Take it out of use with its valve shut. Unless its maker and its labels show that cylinder and set are
/// made for oxygen and never held compressed air, have the oxygen let down by a trained person.
/// # Limits
/// Knows of air that was recorded. Oxygen where no air is recorded is a caution: nothing shows that there
/// was none, nor that the set is made for oxygen (29 CFR 1910.134(i)(3)).
pub static RULE: Rule = Rule {
    id: "supply.oxygen-after-air",
    asks: "Is there no oxygen in a cylinder or a set that has held compressed air?",
    why: "Compressed air leaves traces of oil behind, and compressed oxygen sets them on fire.",
    citation: "29 CFR 1910.134(i)(2)",
    authority: Authority::Read,
    says: "cylinder {cylinder} is filled with oxygen, and {state}",
    remedy: "take it out of use and leave its valve shut; unless its maker and its labels show that \
             cylinder and set are made for oxygen and never held compressed air, have the oxygen let \
             down by a trained person",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &CylinderFacts<'_>) -> Option<Finding> {
    let oxygen = facts.oxygen?;
    let (severity, state) = match (oxygen.after_air, oxygen.set) {
        (Some(_), None) => (Severity::Stop, "it has held compressed air".to_owned()),
        (Some(_), Some(set)) => (Severity::Stop, format!("the set {set} has held compressed air")),
        (None, _) => {
            let state =
                "nothing here shows that it and its set are made for that and never held air";
            (Severity::Caution, state.to_owned())
        }
    };
    let finding = Finding::new(&RULE, severity).with("cylinder", facts.cylinder);
    let finding = finding.with("state", state);
    Some([oxygen.filled, oxygen.after_air].into_iter().flatten().fold(finding, Finding::resting_on))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::supply::{OxygenFill, sample};

    // Source: 29 CFR 1910.134(i)(2).
    #[test]
    fn the_examples_of_the_doc_hold() {
        for (after_air, set, severity) in [
            (Some("e1"), None, Severity::Stop),
            (Some("e1"), Some("u1"), Severity::Stop),
            (None, None, Severity::Caution),
        ] {
            let oxygen = Some(OxygenFill { after_air, set, filled: Some("e2"), certificate: None });
            let change = |facts: &mut CylinderFacts<'static>| facts.oxygen = oxygen;
            sample::check(change, check, Some("supply.oxygen-after-air"));
            let facts = CylinderFacts { oxygen, ..sample::Good::good() };
            assert_eq!(check(&facts).map(|found| found.severity), Some(severity));
        }
        sample::check(|facts: &mut CylinderFacts<'static>| facts.oxygen = None, check, None);
    }
}
