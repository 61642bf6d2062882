//! Rule `unit.breathing-air`: was the air that the set supplies tested and found fit to breathe?

use super::UnitFacts;
use crate::Severity;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the air that the set supplies tested and found fit to breathe?
/// # Why
/// Supplied air is breathed as it is; nothing cleans it at the mask.
/// # Citation
/// 29 CFR 1910.134(i)(1)(ii).
/// # Example that passes
/// An airline tested, at least Grade D.
/// # Example that stops
/// An airline never tested, or tested and failed.
/// # Remedy
/// Have the air tested and record that it is at least Grade D.
/// # Limits
/// The rules set no fixed interval for the test, so its age is not judged. For a self-contained set
/// without a record it is a caution, for its air comes with the filler's certificate.
pub static RULE: Rule = Rule {
    id: "unit.breathing-air",
    asks: "Was the air that the set supplies tested and found fit to breathe?",
    why: "Supplied air is breathed as it is; nothing cleans it at the mask.",
    citation: "29 CFR 1910.134(i)(1)(ii)",
    authority: Authority::Read,
    says: "{state}",
    remedy: "have the air tested and record that it is at least Grade D",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let source = facts.device.as_ref()?.air_source;
    if source.purifies_air() {
        return None;
    }
    match facts.air_test {
        Some(test) if test.meets => None,
        Some(test) => {
            let finding = Finding::stop(&RULE).with("state", "the latest test of the air failed");
            Some(finding.resting_on(test.entry))
        }
        None => {
            let severity =
                if source.is_self_contained() { Severity::Caution } else { Severity::Stop };
            let state = "no test of the air of this set is on record";
            Some(Finding::new(&RULE, severity).with("state", state))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::sample;
    use {crate::AirSource, crate::unit::AirTest};

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                sample::device(facts).air_source = AirSource::SuppliedAirDemand;
                facts.air_test = Some(AirTest { meets: true, entry: "e9" });
            },
            check,
            None,
        );
        sample::check(
            |facts| {
                sample::device(facts).air_source = AirSource::SuppliedAirDemand;
                facts.air_test = None;
            },
            check,
            Some("unit.breathing-air"),
        );
        sample::check(
            |facts| {
                sample::device(facts).air_source = AirSource::SelfContainedDemand;
                facts.air_test = Some(AirTest { meets: false, entry: "e9" });
            },
            check,
            Some("unit.breathing-air"),
        );
    }
}
