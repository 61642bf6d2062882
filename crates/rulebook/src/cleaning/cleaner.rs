//! Rule `cleaning.cleaner`: is the cleaner one that the maker of the respirator does not forbid?

use super::WashFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the cleaner one that the maker of the respirator does not forbid?
/// # Why
/// Solvents and strong cleaners attack rubber, lenses and valves.
/// # Citation
/// 29 CFR 1910.134 App. B-2 I.B and intro.
/// # Example that passes
/// A mild detergent.
/// # Example that stops
/// A cleaner on the maker's list of those forbidden.
/// # Remedy
/// Take the set out of service, have a person with current repair training look for damage, test and
/// release it, and wash with a mild detergent or a cleaner the maker recommends.
/// # Limits
/// Stands until a complete release: an inspection before use does not show what a solvent did. The
/// maker's list is as it was entered. Names are compared without regard to case.
pub static RULE: Rule = Rule {
    id: "cleaning.cleaner",
    asks: "Is the cleaner one that the maker of the respirator does not forbid?",
    why: "Solvents and strong cleaners attack rubber, lenses and valves.",
    citation: "29 CFR 1910.134 App. B-2 I.B and intro",
    authority: Authority::Read,
    says: "the maker forbids {cleaner} for this respirator, and it was cleaned with it",
    remedy: "take the set out of service, have a person with current repair training look for \
             damage, test and release it, and wash with a mild detergent or a cleaner the maker \
             recommends",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WashFacts<'_>) -> Option<Finding> {
    let used = facts.cleaner.trim().to_lowercase();
    let forbidden = facts.forbidden.iter().any(|name| name.trim().to_lowercase() == used);
    forbidden.then(|| Finding::stop(&RULE).with("cleaner", facts.cleaner).resting_on(facts.entry))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::cleaning::sample::check(|facts| facts.cleaner = "soap", check, None);
        crate::cleaning::sample::check(
            |facts| facts.cleaner = " Acetone",
            check,
            Some("cleaning.cleaner"),
        );
    }
}
