//! Rule `storage.not-deformed`: is the set laid so that facepiece and exhalation valve keep their
//! shape?

use super::StorageFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the set laid so that facepiece and exhalation valve keep their shape?
/// # Why
/// A facepiece that was bent does not seal.
/// # Citation
/// 29 CFR 1910.134(h)(2)(i).
/// # Example that passes
/// Laid in its box, nothing on top.
/// # Example that stops
/// Hung by its straps, or under a stack.
/// # Remedy
/// Lay it so that nothing bends facepiece or valve, and inspect it before use.
/// # Limits
/// As it was recorded.
pub static RULE: Rule = Rule {
    id: "storage.not-deformed",
    asks: "Is the set laid so that facepiece and exhalation valve keep their shape?",
    why: "A facepiece that was bent does not seal.",
    citation: "29 CFR 1910.134(h)(2)(i)",
    authority: Authority::Read,
    says: "the set is stored so that its facepiece or valve is bent",
    remedy: "lay it so that nothing bends facepiece or valve, and inspect it before use",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &StorageFacts<'_>) -> Option<Finding> {
    let place = facts.place.as_ref()?;
    place.deforms.then(|| Finding::stop(&RULE).resting_on(place.entry))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::storage::sample::check(
            |facts| facts.place.as_mut().unwrap().deforms = true,
            check,
            Some("storage.not-deformed"),
        );
    }
}
