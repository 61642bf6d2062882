//! Rule `cleaning.cleaner-known`: is it recorded what the set was washed with?

use super::WashFacts;
use crate::{Authority, Finding, Rule, is_blank};

/// # What it asks
/// Is it recorded what the set was washed with?
/// # Why
/// Whether it harms the set or its wearer can be judged by its name only.
/// # Citation
/// 29 CFR 1910.134 App. B-2 I.B.
/// # Example that passes
/// Mild detergent.
/// # Example that stops
/// Nothing named.
/// # Remedy
/// Record the cleaner.
/// # Limits
/// None.
pub static RULE: Rule = Rule {
    id: "cleaning.cleaner-known",
    asks: "Is it recorded what the set was washed with?",
    why: "Whether it harms the set or its wearer can be judged by its name only.",
    citation: "29 CFR 1910.134 App. B-2 I.B",
    authority: Authority::Read,
    says: "it is not recorded what the set was washed with",
    remedy: "record the cleaner",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WashFacts<'_>) -> Option<Finding> {
    let named = !is_blank(facts.cleaner);
    (!named).then(|| Finding::stop(&RULE).resting_on(facts.entry))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::cleaning::sample::check(
            |facts| facts.cleaner = "",
            check,
            Some("cleaning.cleaner-known"),
        );
    }
}
