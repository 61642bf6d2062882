//! Rule `medical.in-date`: does the recommendation still hold on the last day of the planned wear?

use super::WearerFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Does the recommendation still hold on the last day of the planned wear?
/// # Why
/// Where the health professional set an end, an evaluation is due before more wear.
/// # Citation
/// 29 CFR 1910.134(e)(6)(i)(A)-(B), (e)(7)(ii).
/// # Example that passes
/// The recommendation ends today.
/// # Example that stops
/// The recommendation ended yesterday.
/// # Remedy
/// Have the wearer evaluated again.
/// # Limits
/// The rules set no yearly evaluation of their own; without an end the recommendation holds.
pub static RULE: Rule = Rule {
    id: "medical.in-date",
    asks: "Does the recommendation still hold on the last day of the planned wear?",
    why: "Where the health professional set an end, an evaluation is due before more wear.",
    citation: "29 CFR 1910.134(e)(6)(i)(A)-(B), (e)(7)(ii)",
    authority: Authority::Read,
    says: "the last day of the medical clearance of {wearer} is {until}",
    remedy: "have {wearer} evaluated again",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    let clearance = facts.clearance.as_ref()?;
    let until = clearance.until.filter(|until| *until < facts.day)?;
    let finding = Finding::stop(&RULE).with("wearer", facts.wearer).with("until", until);
    Some(finding.resting_on(clearance.entry).after(until))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wearer::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(|facts| sample::clearance(facts).until = Some(facts.day), check, None);
        sample::check(
            |facts| sample::clearance(facts).until = facts.day.yesterday().ok(),
            check,
            Some("medical.in-date"),
        );
    }
}
