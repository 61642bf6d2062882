//! Rule `fit.in-date`: was the fit test done within a year before the last day of the planned wear?

use super::WearerFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the fit test done within a year before the last day of the planned wear?
/// # Why
/// Faces change slowly and unnoticed; the rules ask for a test each year.
/// # Citation
/// 29 CFR 1910.134(f)(2).
/// # Example that passes
/// Tested on 10 March 2025; worn on 10 March 2026.
/// # Example that stops
/// Tested on 10 March 2025; worn on 11 March 2026.
/// # Remedy
/// Fit test the same model and size for the wearer.
/// # Limits
/// A calendar year; a test on 29 February holds until 28 February.
pub static RULE: Rule = Rule {
    id: "fit.in-date",
    asks: "Was the fit test done within a year before the last day of the planned wear?",
    why: "Faces change slowly and unnoticed; the rules ask for a test each year.",
    citation: "29 CFR 1910.134(f)(2)",
    authority: Authority::Read,
    says: "the fit test of {wearer} with {model} size {size} of {tested} holds until {until}",
    remedy: "fit test {model} size {size} for {wearer}",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    let test = facts.tight_fit_test()?;
    let until = facts.test_counts.last_day(test.day);
    if facts.day <= until {
        return None;
    }
    let finding = Finding::stop(&RULE).with("wearer", facts.wearer).with("model", facts.model);
    let finding = finding.with("size", facts.size).with("tested", test.day).with("until", until);
    Some(finding.resting_on(test.entry).after(until))
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
                sample::fit_test(facts).day = date(2025, 3, 10);
                facts.day = date(2026, 3, 10);
            },
            check,
            None,
        );
        sample::check(
            |facts| {
                sample::fit_test(facts).day = date(2025, 3, 10);
                facts.day = date(2026, 3, 11);
            },
            check,
            Some("fit.in-date"),
        );
    }
}
