//! Rule `standby.one-place`: is who stands by at one place only, with the set at hand?

use super::PostedFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is who stands by at one place only, with the set at hand?
/// # Why
/// Nobody watches two entries, nor does another task beside, and a set serves one person.
/// # Citation
/// 29 CFR 1910.134(g)(3)(i)-(iii).
/// # Example that passes
/// Bo stands outside the tank, and nowhere else.
/// # Example that stops
/// Bo stands outside two tanks, or goes into another; Ada would wear the set that Bo has at hand.
/// # Remedy
/// Post another person or name another set.
/// # Limits
/// Knows of postings alone. Work that is not in immediately dangerous air is asked about when the
/// person asks to wear for it.
pub static RULE: Rule = Rule {
    id: "standby.one-place",
    asks: "Is who stands by at one place only, with the set at hand?",
    why: "Nobody watches two entries, nor does another task beside, and a set serves one person.",
    citation: "29 CFR 1910.134(g)(3)(i)-(iii)",
    authority: Authority::Read,
    says: "{who} is recorded for {task} at the same time",
    remedy: "name another for one of them, or record that standby for {task} ended",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &PostedFacts<'_>) -> Option<Finding> {
    let set = || Some((facts.set?, facts.set_elsewhere?));
    let person = facts.elsewhere.map(|elsewhere| (facts.who, elsewhere));
    let (who, (task, entry)) = person.or_else(set)?;
    let finding = Finding::stop(&RULE).with("who", who).with("task", task);
    Some(finding.resting_on(facts.entry).resting_on(entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standby::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::of_posted(|facts| facts.elsewhere = Some(("pit", "e7")), check, Some(RULE.id));
        let set = |facts: &mut PostedFacts<'_>| facts.set_elsewhere = Some(("pit", "e7"));
        sample::of_posted(set, check, Some(RULE.id));
    }
}
