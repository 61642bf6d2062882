//! Rule `medical.written`: does the recommendation say who made it, and that the worker has a copy?

use super::WearerFacts;
use crate::{Authority, Finding, Rule, is_blank};

/// # What it asks
/// Does the recommendation say who made it, and that the worker has a copy?
/// # Why
/// A worker who has not read the limits of a clearance cannot keep to them.
/// # Citation
/// 29 CFR 1910.134(e)(2)(i), (e)(6)(i)(C).
/// # Example that passes
/// It names a licensed health professional and states that the worker was given a copy.
/// # Example that stops
/// It cautions: nobody is named, or nothing is said of a copy.
/// # Remedy
/// Have the professional complete the recommendation, and record it as it then stands.
/// # Limits
/// Recommendations that were recorded before this was asked are left as they are. The licence is not
/// seen here.
pub static RULE: Rule = Rule {
    id: "medical.written",
    asks: "Does the recommendation say who made it, and that the worker has a copy?",
    why: "A worker who has not read the limits of a clearance cannot keep to them.",
    citation: "29 CFR 1910.134(e)(2)(i), (e)(6)(i)(C)",
    authority: Authority::Read,
    says: "the recommendation for {wearer} {what}",
    remedy: "have the professional complete the recommendation, and record it as it then stands",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    let clearance = facts.clearance.as_ref()?;
    let nobody = clearance.professional.is_some_and(is_blank);
    let no_copy = clearance.copy_given == Some(false);
    let what = match (nobody, no_copy) {
        (false, false) => return None,
        (true, false) => "names no licensed health professional",
        (false, true) => "does not state that {wearer} was given a copy of it",
        (true, true) => {
            "names no licensed health professional, and does not state that {wearer} was given a copy of it"
        }
    };
    let finding = Finding::caution(&RULE).with("what", what).with("wearer", facts.wearer);
    Some(finding.resting_on(clearance.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wearer::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        let cautions = Some("medical.written");
        sample::check(|facts| sample::clearance(facts).professional = Some(""), check, cautions);
        sample::check(|facts| sample::clearance(facts).copy_given = Some(false), check, cautions);
        sample::check(
            |facts| {
                sample::clearance(facts).professional = Some(" ");
                sample::clearance(facts).copy_given = Some(false);
            },
            check,
            cautions,
        );
    }

    #[test]
    fn what_was_recorded_before_it_was_asked_is_left_as_it_is() {
        sample::check(
            |facts| {
                sample::clearance(facts).professional = None;
                sample::clearance(facts).copy_given = None;
            },
            check,
            None,
        );
    }
}
