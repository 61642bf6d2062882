//! Rule `unit.in-service`: is the set still in service?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the set still in service?
/// # Why
/// A retired set was found unfit for ever.
/// # Citation
/// 29 CFR 1910.134(h)(4).
/// # Example that passes
/// Never retired.
/// # Example that stops
/// Retired in May because the lens was cracked.
/// # Remedy
/// Take another set; put this one away.
/// # Limits
/// There is no way back: a set retired by mistake needs a correcting entry.
pub static RULE: Rule = Rule {
    id: "unit.in-service",
    asks: "Is the set still in service?",
    why: "A retired set was found unfit for ever.",
    citation: "29 CFR 1910.134(h)(4)",
    authority: Authority::Read,
    says: "this set was retired: {why}",
    remedy: "take another set; put this one away",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let retired = facts.retired?;
    Some(Finding::stop(&RULE).with("why", retired.words).resting_on(retired.entry))
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
            |facts| facts.retired = Some(Noted { words: "lens cracked", entry: "e9" }),
            check,
            Some("unit.in-service"),
        );
    }
}
