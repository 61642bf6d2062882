//! Rule `unit.not-held`: is the set free to use, not held back?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the set free to use, not held back?
/// # Why
/// A set is held back because something is wrong with it or not yet known of it.
/// # Citation
/// 29 CFR 1910.134(h)(4).
/// # Example that passes
/// Held in April, released in May.
/// # Example that stops
/// Held because a strap was torn.
/// # Remedy
/// Take another set; have this one repaired, inspected and released.
/// # Limits
/// Knows only what was entered.
pub static RULE: Rule = Rule {
    id: "unit.not-held",
    asks: "Is the set free to use, not held back?",
    why: "A set is held back because something is wrong with it or not yet known of it.",
    citation: "29 CFR 1910.134(h)(4)",
    authority: Authority::Read,
    says: "this set is held: {why}",
    remedy: "take another set; have this one repaired, inspected and released",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let held = facts.held?;
    Some(Finding::stop(&RULE).with("why", held.words).resting_on(held.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ask::Noted;
    use crate::unit::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                let _ = &facts;
            },
            check,
            None,
        );
        sample::check(
            |facts| facts.held = Some(Noted { words: "strap torn", entry: "e9" }),
            check,
            Some("unit.not-held"),
        );
    }
}
