//! Rule `supply.cylinder-life`: is the cylinder within its life?

use super::CylinderFacts;
use super::cylinder_terms::UNCONFIRMED;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the cylinder within its life?
/// # Why
/// Fibre and resin age; at the end of its life a cylinder is condemned, whatever it looks like.
/// # Citation
/// special permit terms and 49 CFR 180 subpart C (`data/cylinders.csv`, some rows from memory).
/// # Example that passes
/// Made in March 2012, life 15 years, used in March 2027.
/// # Example that stops
/// Used a day later.
/// # Remedy
/// Take it out of use for good and make it unfit to hold pressure.
/// # Limits
/// The life is that of its kind or permit, as entered; steel and aluminium cylinders have none.
pub static RULE: Rule = Rule {
    id: "supply.cylinder-life",
    asks: "Is the cylinder within its life?",
    why: "Fibre and resin age; at the end of its life a cylinder is condemned, whatever it looks \
          like.",
    citation: "special permit terms and 49 CFR 180 subpart C (`data/cylinders.csv`, some rows from memory, unconfirmed)",
    authority: Authority::Memory,
    says: "cylinder {cylinder} was made on {made}; its life{basis} ended on {until}",
    remedy: "take it out of use for good and make it unfit to hold pressure",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &CylinderFacts<'_>) -> Option<Finding> {
    let until = facts.life_ends?;
    if facts.day <= until {
        return None;
    }
    let finding = Finding::stop(&RULE).with("cylinder", facts.cylinder).with("made", facts.made);
    let basis = if facts.life_unconfirmed { UNCONFIRMED } else { "" };
    let finding = finding.with("basis", basis).with("until", until);
    Some(finding.resting_on(facts.entry).after(until))
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn the_examples_of_the_doc_hold() {
        let ends = |facts: &mut CylinderFacts<'static>, day| {
            (facts.made, facts.day, facts.life_ends) =
                (date(2012, 3, 1), day, Some(date(2027, 3, 1)));
        };
        crate::supply::sample::check(|facts| ends(facts, date(2027, 3, 1)), check, None);
        crate::supply::sample::check(
            |facts| ends(facts, date(2027, 3, 2)),
            check,
            Some("supply.cylinder-life"),
        );
        crate::supply::sample::check(
            |facts| {
                facts.made = date(1980, 3, 1);
                facts.life_ends = None;
            },
            check,
            None,
        );
    }
}
