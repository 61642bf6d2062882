//! Rule `fit-test.tester`: was the person who tests fit shown to be able to do so?

use super::TesterFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the person who tests fit shown to be able to do so?
/// # Why
/// A test done wrongly passes a mask that leaks.
/// # Citation
/// 29 CFR 1910.134 App. A Part I.B.1(a) and I.C.1(a).
/// # Example that passes
/// Shown able for quantitative tests, in date.
/// # Example that stops
/// Not shown for this kind of test.
/// # Remedy
/// Have the test repeated by a person who is shown able to prepare, calibrate, run and judge this
/// kind of test.
/// # Limits
/// How it was shown is not judged. The appendix gives no time; the date is the site's.
pub static RULE: Rule = Rule {
    id: "fit-test.tester",
    asks: "Was the person who tests fit shown to be able to do so?",
    why: "A test done wrongly passes a mask that leaks.",
    citation: "29 CFR 1910.134 App. A Part I.B.1(a) and I.C.1(a)",
    authority: Authority::Read,
    says: "{tester} {state}",
    remedy: "have the test repeated by a person who is shown able to prepare, calibrate, run and \
             judge this kind of test",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &TesterFacts<'_>) -> Option<Finding> {
    let finding = Finding::stop(&RULE).with("tester", facts.tester).resting_on(facts.entry);
    let Some(shown) = facts.shown else {
        return Some(finding.with("state", "was not shown able to test fit"));
    };
    let finding = finding.resting_on(shown.entry);
    if facts.day < shown.from {
        return Some(finding.with("state", format!("was shown able on {} only", shown.from)));
    }
    let until = shown.until.filter(|until| *until < facts.day)?;
    Some(finding.with("state", format!("was shown able to test fit until {until}")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::tester::sample::check(|facts| facts.shown = None, check, Some("fit-test.tester"));
        crate::tester::sample::check(
            |facts| facts.day = date(2027, 1, 1),
            check,
            Some("fit-test.tester"),
        );
        crate::tester::sample::check(
            |facts| facts.day = date(2024, 1, 1),
            check,
            Some("fit-test.tester"),
        );
        crate::tester::sample::check(
            |facts| facts.shown.as_mut().unwrap().until = None,
            check,
            None,
        );
    }
}
