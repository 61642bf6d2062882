//! Rule `fit-test.odour-solution`: was the odour test solution made on the day of the test?

use super::TesterFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the odour test solution made on the day of the test?
/// # Why
/// It loses its smell in a day, and the subject seems unable to smell it.
/// # Citation
/// 29 CFR 1910.134 App. A Part I.B.2(a)(5).
/// # Example that passes
/// Made this morning.
/// # Example that stops
/// Made yesterday.
/// # Remedy
/// Make a fresh odour test solution and repeat the test.
/// # Limits
/// Tests with isoamyl acetate only.
pub static RULE: Rule = Rule {
    id: "fit-test.odour-solution",
    asks: "Was the odour test solution made on the day of the test?",
    why: "It loses its smell in a day, and the subject seems unable to smell it.",
    citation: "29 CFR 1910.134 App. A Part I.B.2(a)(5)",
    authority: Authority::Read,
    says: "the odour test solution was made on {made}, not on the day of the test",
    remedy: "make a fresh odour test solution and repeat the test",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &TesterFacts<'_>) -> Option<Finding> {
    let made = facts.odour_solution_made?;
    (made != facts.day).then(|| Finding::stop(&RULE).with("made", made).resting_on(facts.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::tester::sample::check(
            |facts| facts.odour_solution_made = Some(date(2026, 5, 3)),
            check,
            Some("fit-test.odour-solution"),
        );
        crate::tester::sample::check(|facts| facts.odour_solution_made = None, check, None);
    }
}
