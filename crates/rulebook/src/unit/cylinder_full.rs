//! Rule `unit.cylinder-full`: is the cylinder above 90 % of its rated pressure, and was it read
//! since the last wear and within a month?

use super::UnitFacts;
use crate::breathing_air::Charge;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the cylinder above 90 % of its rated pressure, and was it read since the last wear and within
/// a month?
/// # Why
/// The minutes of air in a cylinder are its pressure.
/// # Citation
/// 29 CFR 1910.134(h)(3)(iii).
/// # Example that passes
/// 285 bar read, 300 bar rated.
/// # Example that stops
/// 270 bar read, 300 bar rated.
/// # Remedy
/// Fill the cylinder and record its pressure.
/// # Limits
/// At exactly 90 % the paragraph asks for a refill ("when the pressure falls to 90%"), so that stops, also
/// where a practice fills below 90 % only. More than it is rated for is asked by a
/// rule of its own. Sets with carried air only; how long it lasts at this work is not asked here.
pub static RULE: Rule = Rule {
    id: "unit.cylinder-full",
    asks: "Is the cylinder above 90 % of its rated pressure, and was it read since the last wear \
           and within a month?",
    why: "The minutes of air in a cylinder are its pressure.",
    citation: "29 CFR 1910.134(h)(3)(iii)",
    authority: Authority::Read,
    says: "{state}",
    remedy: "fill the cylinder and record its pressure",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    if !facts.device.as_ref()?.carries_cylinder() {
        return None;
    }
    let finding = Finding::stop(&RULE);
    let Some(cylinder) = facts.cylinder.as_ref() else {
        return Some(finding.with("state", "the pressure of the cylinder was never read"));
    };
    let finding = finding.resting_on(cylinder.entry);
    if let Some(since) = cylinder.overtaken_by {
        let state = format!("the cylinder was not read since the set was {}", since.words);
        return Some(finding.with("state", state).resting_on(since.entry));
    }
    let until = facts.reading_counts.last_day(cylinder.day);
    if until < facts.day {
        let state = format!("the reading of the cylinder of {} holds until {until}", cylinder.day);
        return Some(finding.with("state", state).after(until));
    }
    if cylinder.charge() != Charge::ToFill {
        return None;
    }
    let state = format!(
        "the cylinder holds {} of {}, not above 90 %: one that has fallen to 90 % is to be filled",
        cylinder.read, cylinder.rated
    );
    Some(finding.with("state", state))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ask::Noted;
    use crate::unit::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(|facts| sample::cylinder(facts, 28_500.0, 30_000.0), check, None);
        sample::check(
            |facts| sample::cylinder(facts, 27_000.0, 30_000.0),
            check,
            Some("unit.cylinder-full"),
        );
        sample::check(|facts| sample::cylinder(facts, 0.0, 0.0), check, Some("unit.cylinder-full"));
        sample::check(
            |facts| {
                sample::cylinder(facts, 30_000.0, 30_000.0);
                facts.cylinder = None;
            },
            check,
            Some("unit.cylinder-full"),
        );
        sample::check(
            |facts| {
                sample::cylinder(facts, 30_000.0, 30_000.0);
                if let Some(read) = facts.cylinder.as_mut() {
                    read.overtaken_by = Some(Noted { words: "worn", entry: "e9" });
                }
            },
            check,
            Some("unit.cylinder-full"),
        );
    }
}
