//! Rule `unit.breathing-air`: was the air that the set supplies tested and found fit to breathe?

use super::UnitFacts;
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
/// Air never tested, or tested and failed, of an airline or of a cylinder; an airline with a cylinder beside
/// it that is connected to no supply.
/// # Remedy
/// Have the air tested and record its figures; of purchased cylinders, those of the certificate of
/// analysis that came with them. Air that failed is let out of its cylinder until the gauge reads nothing.
/// # Limits
/// The rules set no fixed interval for the test, so its age is not judged. A certificate counts as a
/// sample of the supply from which the cylinder was filled. Air that failed in a cylinder, or that it was
/// filled with, fails until its air passes or it is read empty and filled anew: what is filled on top mixes
/// with it.
pub static RULE: Rule = Rule {
    id: "unit.breathing-air",
    asks: "Was the air that the set supplies tested and found fit to breathe?",
    why: "Supplied air is breathed as it is; nothing cleans it at the mask.",
    citation: "29 CFR 1910.134(i)(1)(ii)",
    authority: Authority::Read,
    says: "{state}",
    remedy: "have the air tested and record that it is at least Grade D; the certificate of \
             analysis of purchased cylinders counts as a sample of their supply, from which the \
             cylinder is recorded as filled; let air that failed out of a cylinder and record that it \
             reads nothing before it is filled again",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let device = facts.device.as_ref()?;
    if device.air_source.purifies_air() {
        return None;
    }
    let beside = device.air_source.comes_by_line() && device.auxiliary_self_contained;
    let finding = Finding::stop(&RULE);
    match facts.air_test {
        Some(test) if test.meets => None,
        Some(test) => {
            let state = state_of_test(test.only_incomplete);
            Some(finding.with("state", state).resting_on(test.entry))
        }
        None if beside && !facts.on_line => {
            let state =
                "its line is connected to no supply, and the cylinder beside it is for the way out";
            Some(finding.with("state", state))
        }
        None => Some(finding.with("state", "no test of the air of this set is on record")),
    }
}

/// What is said of a test that does not show the air to be at least Grade D.
pub(crate) const fn state_of_test(only_incomplete: bool) -> &'static str {
    if only_incomplete {
        "the latest test of the air was not complete"
    } else {
        "the latest test of the air, or look at where it is drawn, failed"
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::sample;
    use {crate::AirSource, crate::unit::AirTest};

    fn test(meets: bool, only_incomplete: bool) -> AirTest<'static> {
        AirTest { meets, only_incomplete, entry: "e9" }
    }

    #[test]
    fn no_test_and_one_that_is_not_complete_stop_a_self_contained_set_and_are_told_apart() {
        for (tested, said) in [
            (None, "no test of the air"),
            (Some(test(false, true)), "was not complete"),
            (Some(test(false, false)), "failed"),
        ] {
            let mut found = None;
            let ask = |facts: &mut UnitFacts<'static>| {
                sample::device(facts).air_source = AirSource::SelfContainedDemand;
                facts.air_test = tested;
                found = check(facts);
            };
            sample::check(ask, |_| None, None);
            let found = found.unwrap();
            assert_eq!(found.severity, crate::Severity::Stop);
            assert!(found.text().contains(said), "{}", found.text());
        }
    }

    #[test]
    fn an_airline_with_a_cylinder_beside_it_is_told_that_it_hangs_on_no_supply() {
        for (on_line, said) in [(false, "connected to no supply"), (true, "no test of the air")] {
            let mut found = None;
            let ask = |facts: &mut UnitFacts<'static>| {
                sample::device(facts).air_source = AirSource::SuppliedAirPressureDemand;
                sample::device(facts).auxiliary_self_contained = true;
                (facts.on_line, facts.air_test) = (on_line, None);
                found = check(facts);
            };
            sample::check(ask, |_| None, None);
            let text = found.unwrap().text();
            assert!(text.contains(said), "{text}");
        }
    }

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                sample::device(facts).air_source = AirSource::SuppliedAirDemand;
                facts.air_test = Some(test(true, false));
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
                facts.air_test = Some(test(false, false));
            },
            check,
            Some("unit.breathing-air"),
        );
        sample::check(
            |facts| {
                sample::device(facts).air_source = AirSource::SelfContainedDemand;
                facts.air_test = None;
            },
            check,
            Some("unit.breathing-air"),
        );
    }
}
