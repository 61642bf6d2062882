//! Rule `storage.emergency-marked`: is a set for emergencies kept in a compartment or cover
//! plainly marked as such?

use super::StorageFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is a set for emergencies kept in a compartment or cover plainly marked as such?
/// # Why
/// It must be found at a glance, and left alone until then.
/// # Citation
/// 29 CFR 1910.134(h)(2)(ii)(B).
/// # Example that passes
/// A marked cabinet.
/// # Example that stops
/// An unmarked drawer.
/// # Remedy
/// Mark the compartment or cover.
/// # Limits
/// As the place was described.
pub static RULE: Rule = Rule {
    id: "storage.emergency-marked",
    asks: "Is a set for emergencies kept in a compartment or cover plainly marked as such?",
    why: "It must be found at a glance, and left alone until then.",
    citation: "29 CFR 1910.134(h)(2)(ii)(B)",
    authority: Authority::Read,
    says: "the set for emergencies is kept at {place}, which is not plainly marked",
    remedy: "mark the compartment or cover",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &StorageFacts<'_>) -> Option<Finding> {
    let place = facts.place.as_ref().filter(|_| facts.emergency)?;
    let finding = Finding::stop(&RULE).with("place", place.name).resting_on(place.entry);
    (!place.marked).then_some(finding)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::storage::sample::check(
            |facts| facts.place.as_mut().unwrap().marked = false,
            check,
            Some("storage.emergency-marked"),
        );
        crate::storage::sample::check(
            |facts| {
                facts.emergency = false;
                facts.place.as_mut().unwrap().marked = false;
            },
            check,
            None,
        );
    }
}
