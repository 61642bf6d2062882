//! Rule `standby.notice`: is it known whom to tell before those outside go in, and will that
//! person send help?

use super::StandbyFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is it known whom to tell before those outside go in, and will that person send help?
/// # Why
/// A rescue that nobody knows of is one more accident.
/// # Citation
/// 29 CFR 1910.134(g)(3)(iv)-(v).
/// # Example that passes
/// A named person, to be reached during the whole entry.
/// # Example that stops
/// Nobody named.
/// # Remedy
/// Name the person who is told first and sends help.
/// # Limits
/// None.
pub static RULE: Rule = Rule {
    id: "standby.notice",
    asks: "Is it known whom to tell before those outside go in, and will that person send help?",
    why: "A rescue that nobody knows of is one more accident.",
    citation: "29 CFR 1910.134(g)(3)(iv)-(v)",
    authority: Authority::Read,
    says: "nobody is named who is told before a rescue and sends help",
    remedy: "name the person who is told first and sends help",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &StandbyFacts<'_>) -> Option<Finding> {
    facts.told_first.trim().is_empty().then(|| Finding::stop(&RULE))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::standby::sample::check(|facts| facts.told_first = "", check, Some("standby.notice"));
    }
}
