//! Rule `unit.disinfected-between-wearers`: was the set cleaned and then disinfected since somebody
//! else used it?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the set cleaned and then disinfected since somebody else used it?
/// # Why
/// What one wearer breathed out, the next must not breathe in.
/// # Citation
/// 29 CFR 1910.134(h)(1)(ii), App. B-2.
/// # Example that passes
/// Somebody else wore it, then it was washed and disinfected.
/// # Example that stops
/// Somebody else wore it, then it was washed only.
/// # Remedy
/// Clean and disinfect the set, then inspect it.
/// # Limits
/// Worn, its seal tried, given back, or something sensed inside it: each counts as used. A disinfection counts
/// after the cleaning, or at the same time with a cleaner that disinfects.
pub static RULE: Rule = Rule {
    id: "unit.disinfected-between-wearers",
    asks: "Was the set cleaned and then disinfected since somebody else used it?",
    why: "What one wearer breathed out, the next must not breathe in.",
    citation: "29 CFR 1910.134(h)(1)(ii), App. B-2",
    authority: Authority::Read,
    says: "{other} used this set and it was not cleaned and disinfected since",
    remedy: "clean and disinfect the set, then inspect it",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let other = facts.used_since_disinfected.iter().find(|one| one.person != facts.wearer)?;
    Some(Finding::stop(&RULE).with("other", other.name).resting_on(other.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::Use;
    use crate::unit::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                facts.used_since_disinfected =
                    vec![Use { person: facts.wearer, name: facts.wearer_name, entry: "e9" }]
            },
            check,
            None,
        );
        sample::check(
            |facts| {
                facts.used_since_disinfected = vec![Use { person: "p2", name: "Bo", entry: "e9" }]
            },
            check,
            Some("unit.disinfected-between-wearers"),
        );
    }
}
