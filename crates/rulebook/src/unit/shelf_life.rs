//! Rule `elements.shelf-life`: are the elements in their shelf life on the last day of the planned
//! wear?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Are the elements in their shelf life on the last day of the planned wear?
/// # Why
/// Past that day the maker does not stand for what they hold.
/// # Citation
/// 29 CFR 1910.134(d)(1)(ii): used within the conditions of the certification.
/// # Example that passes
/// Shelf life ends today.
/// # Example that stops
/// Shelf life ended yesterday.
/// # Remedy
/// Fit elements in their shelf life.
/// # Limits
/// The day itself still counts. The date is the maker's, as entered.
pub static RULE: Rule = Rule {
    id: "elements.shelf-life",
    asks: "Are the elements in their shelf life on the last day of the planned wear?",
    why: "Past that day the maker does not stand for what they hold.",
    citation: "29 CFR 1910.134(d)(1)(ii)",
    authority: Authority::Read,
    says: "the last day of the shelf life of the elements (lot {lot}) is {until}",
    remedy: "fit elements in their shelf life",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let elements = facts.elements_in_use()?;
    if facts.day <= elements.shelf_life_until {
        return None;
    }
    let until = elements.shelf_life_until;
    let finding = Finding::stop(&RULE).with("lot", elements.lot).with("until", until);
    Some(finding.resting_on(elements.entry).after(until))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(|facts| sample::elements(facts).shelf_life_until = facts.day, check, None);
        sample::check(
            |facts| sample::elements(facts).shelf_life_until = facts.day.yesterday().unwrap(),
            check,
            Some("elements.shelf-life"),
        );
    }
}
