//! Rule `training.given`: was the wearer trained to wear a respirator?

use super::WearerFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the wearer trained to wear a respirator?
/// # Why
/// Untrained, a person cannot check the seal or tell when to leave.
/// # Citation
/// 29 CFR 1910.134(k)(3).
/// # Example that passes
/// Training in wearing is on record.
/// # Example that stops
/// Only training in care is on record.
/// # Remedy
/// Train the wearer to wear it, before the task.
/// # Limits
/// Training at another workplace counts once it is entered here.
pub static RULE: Rule = Rule {
    id: "training.given",
    asks: "Was the wearer trained to wear a respirator?",
    why: "Untrained, a person cannot check the seal or tell when to leave.",
    citation: "29 CFR 1910.134(k)(3)",
    authority: Authority::Read,
    says: "{wearer} was not trained to wear a respirator",
    remedy: "train {wearer} to wear it, before the task",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    if facts.training.is_some() {
        return None;
    }
    Some(Finding::stop(&RULE).with("wearer", facts.wearer))
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
        sample::check(|facts| facts.training = None, check, Some("training.given"));
    }
}
