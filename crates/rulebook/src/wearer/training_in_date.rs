//! Rule `training.in-date`: was the wearer trained within a year before the last day of the planned
//! wear?

use super::WearerFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the wearer trained within a year before the last day of the planned wear?
/// # Why
/// What is not practised is forgotten; the rules ask for training each year.
/// # Citation
/// 29 CFR 1910.134(k)(5).
/// # Example that passes
/// Trained on 2 June 2025; worn on 2 June 2026.
/// # Example that stops
/// Trained on 2 June 2025; worn on 3 June 2026.
/// # Remedy
/// Train the wearer again.
/// # Limits
/// A calendar year. Earlier retraining because of changed work is not seen.
pub static RULE: Rule = Rule {
    id: "training.in-date",
    asks: "Was the wearer trained within a year before the last day of the planned wear?",
    why: "What is not practised is forgotten; the rules ask for training each year.",
    citation: "29 CFR 1910.134(k)(5)",
    authority: Authority::Read,
    says: "the training of {wearer} of {trained} holds until {until}",
    remedy: "train {wearer} again",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    let training = facts.training.as_ref()?;
    let until = facts.training_counts.last_day(training.day);
    if facts.day <= until {
        return None;
    }
    let finding = Finding::stop(&RULE).with("wearer", facts.wearer).with("trained", training.day);
    Some(finding.with("until", until).resting_on(training.entry).after(until))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wearer::sample;
    use jiff::civil::date;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                sample::training(facts).day = date(2025, 6, 2);
                facts.day = date(2026, 6, 2);
            },
            check,
            None,
        );
        sample::check(
            |facts| {
                sample::training(facts).day = date(2025, 6, 2);
                facts.day = date(2026, 6, 3);
            },
            check,
            Some("training.in-date"),
        );
    }
}
