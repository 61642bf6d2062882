//! Rule `storage.protected`: is the set stored where nothing harms it?

use super::{Harm, StorageFacts};
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the set stored where nothing harms it?
/// # Why
/// Sun, heat, cold, damp, dust and chemicals spoil rubber and fill elements before they are worn.
/// # Citation
/// 29 CFR 1910.134(h)(2)(i).
/// # Example that passes
/// A closed cabinet in a cool, dry room.
/// # Example that stops
/// A shelf in the sun.
/// # Remedy
/// Store it protected from damage, contamination, dust, sun, extreme heat and cold, damp and
/// harmful chemicals.
/// # Limits
/// As the place was described; nobody measures it here. A wear stops until the set passed an inspection
/// after it was put away there.
pub static RULE: Rule = Rule {
    id: "storage.protected",
    asks: "Is the set stored where nothing harms it?",
    why: "Sun, heat, cold, damp, dust and chemicals spoil rubber and fill elements before they are \
          worn.",
    citation: "29 CFR 1910.134(h)(2)(i)",
    authority: Authority::Read,
    says: "{state}",
    remedy: "inspect it before it is worn; store it protected from damage, contamination, dust, sun, extreme heat and cold, damp \
             and harmful chemicals",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &StorageFacts<'_>) -> Option<Finding> {
    let finding = Finding::stop(&RULE);
    let Some(place) = facts.place.as_ref() else {
        return Some(finding.with("state", "it is not recorded where the set is stored"));
    };
    let lacks: Vec<&str> = place.lacks.iter().map(Harm::words).collect();
    if lacks.is_empty() {
        return None;
    }
    let state = format!("{} does not protect from {}", place.name, lacks.join(", "));
    Some(finding.with("state", state).resting_on(place.entry))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::storage::sample::check(|facts| facts.place = None, check, Some("storage.protected"));
        crate::storage::sample::check(
            |facts| facts.place.as_mut().unwrap().lacks = vec![Harm::Sun, Harm::Damp],
            check,
            Some("storage.protected"),
        );
    }
}
