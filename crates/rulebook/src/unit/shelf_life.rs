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
/// Fit elements in their shelf life; a filtering facepiece, take another.
/// # Limits
/// The day itself still counts. The date is the maker's, as entered. A filtering facepiece has that of
/// its box, and of all that was recorded of it the earliest.
pub static RULE: Rule = Rule {
    id: "elements.shelf-life",
    asks: "Are the elements in their shelf life on the last day of the planned wear?",
    why: "Past that day the maker does not stand for what they hold.",
    citation: "29 CFR 1910.134(d)(1)(ii)",
    authority: Authority::Read,
    says: "the last day of the shelf life of the {what} is {until}",
    remedy: "fit elements in their shelf life; in place of a filtering facepiece take another",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let (until, what, entry) = match facts.device.as_ref().is_some_and(|d| d.filtering_facepiece) {
        true => {
            let own = facts.use_by?;
            (own.until?, "filtering facepiece".to_owned(), own.entry)
        }
        false => {
            let on = facts.elements_in_use()?;
            (on.shelf_life_until?, format!("elements (lot {})", on.lot), on.entry)
        }
    };
    let finding = || Finding::stop(&RULE).with("what", what).with("until", until);
    (until < facts.day).then(|| finding().resting_on(entry).after(until))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::{UseBy, sample};

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| sample::elements(facts).shelf_life_until = Some(facts.day),
            check,
            None,
        );
        sample::check(
            |facts| sample::elements(facts).shelf_life_until = facts.day.yesterday().ok(),
            check,
            Some("elements.shelf-life"),
        );
    }

    #[test]
    fn a_filtering_facepiece_has_its_own_last_day_whatever_was_fitted() {
        let facepiece = |until| {
            move |facts: &mut UnitFacts<'static>| {
                sample::device(facts).filtering_facepiece = true;
                facts.elements = None;
                facts.use_by = Some(UseBy { until, entry: "e9" });
            }
        };
        sample::check(facepiece(None), check, None);
        let yesterday = jiff::civil::date(2026, 5, 3);
        sample::check(facepiece(Some(yesterday)), check, Some("elements.shelf-life"));
    }
}
