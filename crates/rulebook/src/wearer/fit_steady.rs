//! Rule `fit.steady`: did the air outside hold steady while the fit was measured?

use super::WearerFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Did the air outside hold steady while the fit was measured?
/// # Why
/// A fit factor against a moving outside may be too high as well as too low.
/// # Citation
/// common practice, no source.
/// # Example that passes
/// The counts outside lay between 1900 and 2400 during the whole test.
/// # Example that stops
/// Nothing stops; counts of 2000 and 9000 are said.
/// # Remedy
/// Fit test the same model and size for the wearer again in steady air.
/// # Limits
/// Asked of tests that were written down with their counts. In a chamber 29 CFR 1910.134 App. A Part I.C.2
/// asks for less than 10 % during an exercise, which is heeded here too.
pub static RULE: Rule = Rule {
    id: "fit.steady",
    asks: "Did the air outside hold steady while the fit was measured?",
    why: "A fit factor against a moving outside may be too high as well as too low.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "at the fit test of {wearer} with {model} size {size} the air outside was not steady: \
           {unsteady}",
    remedy: "fit test {model} size {size} for {wearer} again in steady air",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    let test = facts.tight_fit_test().filter(|test| !test.unsteady.is_empty())?;
    let finding = Finding::caution(&RULE).with("wearer", facts.wearer).with("model", facts.model);
    let finding = finding.with("size", facts.size).with("unsteady", test.unsteady);
    Some(finding.resting_on(test.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wearer::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(|facts| sample::fit_test(facts).unsteady = "", check, None);
        sample::check(
            |facts| sample::fit_test(facts).unsteady = "from 2000 to 9000",
            check,
            Some("fit.steady"),
        );
    }
}
