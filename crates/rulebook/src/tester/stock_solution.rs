//! Rule `fit-test.stock-solution`: was the stock solution of isoamyl acetate made within the
//! week?

use super::TesterFacts;
use crate::interval::Every;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the stock solution of isoamyl acetate made within the week?
/// # Why
/// An old solution smells weaker, and a leak is not noticed.
/// # Citation
/// 29 CFR 1910.134 App. A Part I.B.2(a)(3).
/// # Example that passes
/// Made seven days ago.
/// # Example that stops
/// Made eight days ago.
/// # Remedy
/// Make a fresh stock solution and repeat the test.
/// # Limits
/// Tests with isoamyl acetate only.
pub static RULE: Rule = Rule {
    id: "fit-test.stock-solution",
    asks: "Was the stock solution of isoamyl acetate made within the week?",
    why: "An old solution smells weaker, and a leak is not noticed.",
    citation: "29 CFR 1910.134 App. A Part I.B.2(a)(3)",
    authority: Authority::Read,
    says: "the stock solution was made on {made}; it served until {until}",
    remedy: "make a fresh stock solution and repeat the test",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &TesterFacts<'_>) -> Option<Finding> {
    let made = facts.stock_solution_made?;
    let until = WEEK.last_day(made);
    if made <= facts.day && facts.day <= until {
        return None;
    }
    let finding = Finding::stop(&RULE).with("made", made).with("until", until);
    Some(finding.resting_on(facts.entry))
}

/// Source: 29 CFR 1910.134 App. A Part I.B.2(a)(3).
const WEEK: Every = Every::Days(7);

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::tester::sample::check(|facts| facts.day = date(2026, 5, 11), check, None);
        crate::tester::sample::check(
            |facts| facts.day = date(2026, 5, 12),
            check,
            Some("fit-test.stock-solution"),
        );
        crate::tester::sample::check(|facts| facts.stock_solution_made = None, check, None);
    }
}
