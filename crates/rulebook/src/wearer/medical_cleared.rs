//! Rule `medical.cleared`: does the latest recommendation let the person wear a respirator?

use super::Allows;
use super::WearerFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Does the latest recommendation let the person wear a respirator?
/// # Why
/// A person found unable to wear one would be harmed by wearing it.
/// # Citation
/// 29 CFR 1910.134(e)(6)(i)(A).
/// # Example that passes
/// Cleared for any respirator.
/// # Example that stops
/// The latest recommendation says no respirator.
/// # Remedy
/// Keep the wearer out of this task; ask the health professional for a new evaluation.
/// # Limits
/// Asks the latest recommendation only; an earlier one no longer counts.
pub static RULE: Rule = Rule {
    id: "medical.cleared",
    asks: "Does the latest recommendation let the person wear a respirator?",
    why: "A person found unable to wear one would be harmed by wearing it.",
    citation: "29 CFR 1910.134(e)(6)(i)(A)",
    authority: Authority::Read,
    says: "{wearer} is not cleared to wear a respirator",
    remedy: "keep {wearer} out of this task, take back any respirator issued to {wearer}, and ask the \
             health professional for a new evaluation",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    let clearance = facts.clearance.as_ref()?;
    if clearance.allows != Allows::Nothing {
        return None;
    }
    Some(Finding::stop(&RULE).with("wearer", facts.wearer).resting_on(clearance.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wearer::sample;

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
            |facts| sample::clearance(facts).allows = Allows::Nothing,
            check,
            Some("medical.cleared"),
        );
    }
}
