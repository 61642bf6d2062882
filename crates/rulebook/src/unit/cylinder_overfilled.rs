//! Rule `unit.cylinder-overfilled`: does the cylinder hold no more than it is rated for?

use quantity::Kilopascal;

use super::UnitFacts;
use crate::breathing_air::Charge;
use crate::{Authority, Finding, Rule, Severity};

/// # What it asks
/// Does the cylinder hold no more than it is rated for?
/// # Why
/// A cylinder above its rating may burst.
/// # Citation
/// common practice; 29 CFR 1910.134(i)(4)(i).
/// # Example that passes
/// 310 bar read, 310 bar rated.
/// # Example that stops
/// 330 bar read, 310 bar rated; at 312 bar it is a caution.
/// # Remedy
/// Let it be let down by a trained person; clearly above its rating it is not used until then.
/// # Limits
/// How much warmth explains is common practice, no source. Sets with carried air only.
pub static RULE: Rule = Rule {
    id: "unit.cylinder-overfilled",
    asks: "Does the cylinder hold no more than it is rated for?",
    why: "A cylinder above its rating may burst.",
    citation: "common practice; 29 CFR 1910.134(i)(4)(i)",
    authority: Authority::CommonPractice,
    says: "the cylinder holds {read} and is rated for {rated}{much}",
    remedy: "read it again once it has the temperature of the place; what is above the rating then \
             is let down by a trained person, and clearly above it nobody uses the set until then",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    if !facts.device.as_ref()?.carries_cylinder() {
        return None;
    }
    let reading = facts.cylinder.as_ref()?;
    of_reading(reading.read, reading.rated, reading.entry)
}

/// The same of a pressure `read` on any cylinder that is rated for `rated`, mounted or not, as `entry` says.
#[must_use]
pub fn of_reading(read: Kilopascal, rated: Kilopascal, entry: &str) -> Option<Finding> {
    let (severity, much) = match Charge::of_part_of_rated(read.as_kpa() / rated.as_kpa()) {
        Charge::ToFill | Charge::Full => return None,
        Charge::High => (Severity::Caution, ": a warm cylinder shows a little more"),
        Charge::Overfilled => (Severity::Stop, ", which no warmth explains"),
    };
    let finding = Finding::new(&RULE, severity).with("read", read);
    let finding = finding.with("rated", rated).with("much", much);
    Some(finding.resting_on(entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        let expected = Some("unit.cylinder-overfilled");
        sample::check(|facts| sample::cylinder(facts, 31_000.0, 31_000.0), check, None);
        sample::check(|facts| sample::cylinder(facts, 31_200.0, 31_000.0), check, expected);
        sample::check(|facts| sample::cylinder(facts, 33_000.0, 31_000.0), check, expected);
    }

    #[test]
    fn what_warmth_explains_is_a_caution_and_what_it_does_not_stops() {
        for (read, severity) in [(31_200.0, Severity::Caution), (33_000.0, Severity::Stop)] {
            let mut found = None;
            let ask = |facts: &mut UnitFacts<'static>| {
                sample::cylinder(facts, read, 31_000.0);
                found = check(facts);
            };
            sample::check(ask, |_| None, None);
            let found = found.unwrap();
            assert_eq!(found.severity, severity);
            assert!(!found.remedy().contains("fill the"), "{}", found.remedy());
        }
    }
}
