//! Rule `training.understood`: did the wearer show understanding at the latest training?

use super::WearerFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Did the wearer show understanding at the latest training?
/// # Why
/// Each wearer must be able to show what was learned.
/// # Citation
/// 29 CFR 1910.134(k)(1)-(2), (k)(5)(ii).
/// # Example that passes
/// Understanding was shown.
/// # Example that stops
/// The latest training ended without it.
/// # Remedy
/// Train the wearer again, in a way the wearer understands.
/// # Limits
/// Asks the latest training only, though an earlier one went well.
pub static RULE: Rule = Rule {
    id: "training.understood",
    asks: "Did the wearer show understanding at the latest training?",
    why: "Each wearer must be able to show what was learned.",
    citation: "29 CFR 1910.134(k)(1)-(2), (k)(5)(ii)",
    authority: Authority::Read,
    says: "{wearer} did not show understanding at the latest training",
    remedy: "train {wearer} again, in a way {wearer} understands",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    let training = facts.training.as_ref()?;
    if training.understood {
        return None;
    }
    Some(Finding::stop(&RULE).with("wearer", facts.wearer).resting_on(training.entry))
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
            |facts| sample::training(facts).understood = false,
            check,
            Some("training.understood"),
        );
    }
}
