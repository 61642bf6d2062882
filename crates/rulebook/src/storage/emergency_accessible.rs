//! Rule `storage.emergency-accessible`: is a set for emergencies kept within reach of the work
//! area?

use super::StorageFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is a set for emergencies kept within reach of the work area?
/// # Why
/// In an emergency there is no time to fetch it.
/// # Citation
/// 29 CFR 1910.134(h)(2)(ii)(A).
/// # Example that passes
/// A cabinet at the door of the work area.
/// # Example that stops
/// The store of another building.
/// # Remedy
/// Keep it within reach of the work area.
/// # Limits
/// As the place was described.
pub static RULE: Rule = Rule {
    id: "storage.emergency-accessible",
    asks: "Is a set for emergencies kept within reach of the work area?",
    why: "In an emergency there is no time to fetch it.",
    citation: "29 CFR 1910.134(h)(2)(ii)(A)",
    authority: Authority::Read,
    says: "the set for emergencies is kept at {place}, which is not within reach of the work area",
    remedy: "keep it within reach of the work area",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &StorageFacts<'_>) -> Option<Finding> {
    let place = facts.place.as_ref().filter(|_| facts.emergency)?;
    let finding = Finding::stop(&RULE).with("place", place.name).resting_on(place.entry);
    (!place.within_reach).then_some(finding)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::storage::sample::check(
            |facts| facts.place.as_mut().unwrap().within_reach = false,
            check,
            Some("storage.emergency-accessible"),
        );
        crate::storage::sample::check(
            |facts| {
                facts.emergency = false;
                facts.place.as_mut().unwrap().within_reach = false;
            },
            check,
            None,
        );
    }
}
