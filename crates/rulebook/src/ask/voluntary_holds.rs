//! Rule `voluntary.holds`: where a task is marked as worn by choice, may it be?

use super::AskFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Where a task is marked as worn by choice, may it be?
/// # Why
/// Wearing is by choice only where the air needs no respirator.
/// # Citation
/// 29 CFR 1910.134(c)(2)(i), (d)(1)(iii).
/// # Example that passes
/// Nuisance dust under its limit.
/// # Example that stops
/// Never stops by itself: every duty of required use is asked instead.
/// # Remedy
/// Mark the task as required use, or show by readings that the air needs no respirator.
/// # Limits
/// Looks at what was entered of the air; air of which nothing is entered, an unknown level, unknown oxygen or an air declared
/// dangerous always means required.
pub static RULE: Rule = Rule {
    id: "voluntary.holds",
    asks: "Where a task is marked as worn by choice, may it be?",
    why: "Wearing is by choice only where the air needs no respirator.",
    citation: "29 CFR 1910.134(c)(2)(i), (d)(1)(iii)",
    authority: Authority::Read,
    says: "this task is marked as worn by choice, but {why}; it is judged as required use",
    remedy: "mark the task as required use, or show by readings that the air needs no respirator",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &AskFacts<'_>) -> Option<Finding> {
    let why = facts.voluntary_refused?;
    Some(Finding::caution(&RULE).with("why", why))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ask::sample;

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
            |facts| facts.voluntary_refused = Some("toluene is above its limit"),
            check,
            Some("voluntary.holds"),
        );
    }
}
