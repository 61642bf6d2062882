//! Rule `donning.seal-check`: was the seal checked at this donning, and did it hold?

use super::DonningFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the seal checked at this donning, and did it hold?
/// # Why
/// A facepiece that fitted at its test leaks when it sits askew or on hair.
/// # Citation
/// 29 CFR 1910.134(g)(1)(iii) and App. B-1.
/// # Example that passes
/// Positive and negative check passed.
/// # Example that stops
/// Not checked, or it leaked.
/// # Remedy
/// Settle the facepiece and check its seal again; take another where it leaks.
/// # Limits
/// Tight-fitting facepieces only. A maker's own check counts where the employer shows that it is
/// as good. It never stands for a fit test.
pub static RULE: Rule = Rule {
    id: "donning.seal-check",
    asks: "Was the seal checked at this donning, and did it hold?",
    why: "A facepiece that fitted at its test leaks when it sits askew or on hair.",
    citation: "29 CFR 1910.134(g)(1)(iii) and App. B-1",
    authority: Authority::Read,
    says: "{state}",
    remedy: "settle the facepiece and check its seal again; take another where it leaks",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &DonningFacts<'_>) -> Option<Finding> {
    if !facts.tight_fitting {
        return None;
    }
    let finding = Finding::stop(&RULE);
    let Some(check) = facts.seal_check else {
        return Some(finding.with("state", "the seal was not checked at this donning"));
    };
    let finding = finding.resting_on(check.entry);
    if !check.passed {
        return Some(finding.with("state", "the seal check failed"));
    }
    let state = "the maker's own seal check is not shown to be as good as the printed ones";
    (check.makers_own && !check.shown_equal).then(|| finding.with("state", state))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::donning::sample::check(
            |facts| facts.seal_check = None,
            check,
            Some("donning.seal-check"),
        );
        crate::donning::sample::check(
            |facts| facts.seal_check.as_mut().unwrap().passed = false,
            check,
            Some("donning.seal-check"),
        );
        crate::donning::sample::check(
            |facts| facts.seal_check.as_mut().unwrap().makers_own = true,
            check,
            Some("donning.seal-check"),
        );
        crate::donning::sample::check(
            |facts| {
                facts.tight_fitting = false;
                facts.seal_check = None;
            },
            check,
            None,
        );
    }
}
