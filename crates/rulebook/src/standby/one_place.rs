//! Rule `standby.one-place`: is who stands by at one place only?

use super::PostedFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is who stands by at one place only?
/// # Why
/// Nobody watches two entries, nor does another task beside.
/// # Citation
/// 29 CFR 1910.134(g)(3)(i)-(iii).
/// # Example that passes
/// Bo stands outside the tank, and nowhere else.
/// # Example that stops
/// Bo stands outside two tanks, or goes into another.
/// # Remedy
/// Post another person.
/// # Limits
/// Knows of postings alone. Work that is not in immediately dangerous air is asked about when the
/// person asks to wear for it.
pub static RULE: Rule = Rule {
    id: "standby.one-place",
    asks: "Is who stands by at one place only?",
    why: "Nobody watches two entries, nor does another task beside.",
    citation: "29 CFR 1910.134(g)(3)(i)-(iii)",
    authority: Authority::Read,
    says: "{who} is recorded for {task} at the same time",
    remedy: "post somebody else, or record that {who} was stood down from {task}",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &PostedFacts<'_>) -> Option<Finding> {
    let (task, entry) = facts.elsewhere?;
    let finding = Finding::stop(&RULE).with("who", facts.who).with("task", task);
    Some(finding.resting_on(facts.entry).resting_on(entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standby::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::of_posted(|facts| facts.elsewhere = Some(("pit", "e7")), check, Some(RULE.id));
    }
}
