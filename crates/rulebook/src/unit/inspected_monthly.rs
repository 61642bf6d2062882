//! Rule `unit.inspected-monthly`: was a set for emergencies, or a self-contained set, on the
//! monthly round within a month?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was a set for emergencies, or a self-contained set, on the monthly round within a month?
/// # Why
/// A set that hangs unused decays unseen, and is needed in a hurry.
/// # Citation
/// 29 CFR 1910.134(h)(3)(i)(B), (h)(3)(iii).
/// # Example that passes
/// Round on 31 January; used on 28 February.
/// # Example that stops
/// Round on 31 January; used on 1 March.
/// # Remedy
/// Do the monthly round of this set: function, valves, regulator and warning devices; record it.
/// # Limits
/// A calendar month; the round of 31 January holds until the last day of February. Only an
/// inspection recorded as the monthly round counts.
pub static RULE: Rule = Rule {
    id: "unit.inspected-monthly",
    asks: "Was a set for emergencies, or a self-contained set, on the monthly round within a \
           month?",
    why: "A set that hangs unused decays unseen, and is needed in a hurry.",
    citation: "29 CFR 1910.134(h)(3)(i)(B), (h)(3)(iii)",
    authority: Authority::Read,
    says: "{state}",
    remedy: "do the monthly round of this set: function, valves, regulator and warning devices; \
           record it",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let self_contained = facts.device.as_ref().is_some_and(|device| {
        device.air_source.is_self_contained() || device.auxiliary_self_contained
    });
    if !(facts.emergency || self_contained) || !facts.received {
        return None;
    }
    let finding = Finding::stop(&RULE);
    let Some(round) = facts.monthly_round else {
        return Some(finding.with("state", "no monthly round that this set passed is on record"));
    };
    let until = facts.round_counts.last_day(round.day);
    if facts.day <= until {
        return None;
    }
    let state = format!("the monthly round of {} holds until {until}", round.day);
    Some(finding.with("state", state).resting_on(round.entry).after(until))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::sample;
    use {crate::unit::Round, jiff::civil::date};

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                facts.emergency = true;
                facts.monthly_round = Some(Round { day: date(2026, 1, 31), entry: "e9" });
                facts.day = date(2026, 2, 28);
            },
            check,
            None,
        );
        sample::check(
            |facts| {
                facts.emergency = true;
                facts.monthly_round = Some(Round { day: date(2026, 1, 31), entry: "e9" });
                facts.day = date(2026, 3, 1);
            },
            check,
            Some("unit.inspected-monthly"),
        );
        sample::check(
            |facts| {
                facts.emergency = true;
                facts.monthly_round = None;
            },
            check,
            Some("unit.inspected-monthly"),
        );
        sample::check(
            |facts| {
                sample::device(facts).air_source = crate::AirSource::SelfContainedDemand;
                facts.monthly_round = None;
            },
            check,
            Some("unit.inspected-monthly"),
        );
        sample::check(
            |facts| {
                facts.shared = true;
                facts.monthly_round = None;
            },
            check,
            None,
        );
    }
}
