//! Rule `unit.auxiliary-air`: is the air in the cylinder beside an airline fit to breathe?

use super::UnitFacts;
use super::breathing_air::state_of_test;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the air in the cylinder that is carried beside an airline fit to breathe?
/// # Why
/// It is breathed when the line fails, on the way out of the worst air.
/// # Citation
/// 29 CFR 1910.134(i)(1)(ii).
/// # Example that passes
/// An airline set whose cylinder was filled from a compressor that met Grade D.
/// # Example that stops
/// One whose cylinder nobody tested, or whose air failed.
/// # Remedy
/// Have the air of the cylinder tested and record it with its tag, or fill it from a supply that was tested,
/// after air that failed was let out of it.
/// # Limits
/// How old the test is, is not judged.
pub static RULE: Rule = Rule {
    id: "unit.auxiliary-air",
    asks: "Is the air in the cylinder that is carried beside an airline fit to breathe?",
    why: "It is breathed when the line fails, on the way out of the worst air.",
    citation: "29 CFR 1910.134(i)(1)(ii)",
    authority: Authority::Read,
    says: "of the cylinder beside the airline: {state}",
    remedy: "have the air of the cylinder tested and record that with its tag, or fill it from a supply \
             whose air was found to be at least Grade D, after air that failed was let out of it and it \
             read nothing",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let device = facts.device.as_ref().filter(|device| device.auxiliary_self_contained)?;
    if !device.air_source.comes_by_line() && !facts.on_line {
        return None;
    }
    let finding = Finding::stop(&RULE);
    match facts.auxiliary_air {
        Some(test) if test.meets => None,
        Some(test) => {
            let state = state_of_test(test.only_incomplete);
            Some(finding.with("state", state).resting_on(test.entry))
        }
        None => Some(finding.with("state", "no test of its air is on record")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::AirSource;
    use crate::unit::{AirTest, sample};

    #[test]
    fn the_examples_of_the_doc_hold() {
        let test = |meets| Some(AirTest { meets, only_incomplete: false, entry: "e9" });
        for (on_line, auxiliary, tested, stops) in [
            (true, true, test(true), false),
            (true, true, test(false), true),
            (true, true, None, true),
            // Connected or not, it is for the way out.
            (false, true, None, true),
            (false, true, test(true), false),
            (true, false, None, false),
        ] {
            let change = |facts: &mut UnitFacts<'static>| {
                sample::device(facts).air_source = AirSource::SuppliedAirPressureDemand;
                sample::device(facts).auxiliary_self_contained = auxiliary;
                (facts.on_line, facts.auxiliary_air) = (on_line, tested);
            };
            sample::check(change, check, stops.then_some("unit.auxiliary-air"));
        }
    }
}
