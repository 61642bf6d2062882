//! Rule `standby.ready`: could who stands by go in with that set now?

use super::PostedFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Could who stands by go in with that set now?
/// # Why
/// A rescuer whose mask leaks, or whose cylinder is half empty, cannot help.
/// # Citation
/// 29 CFR 1910.134(g)(3)(iii), with what each finding cites.
/// # Example that passes
/// Cleared, fit tested and trained, with a set that is inspected and full.
/// # Example that stops
/// A cylinder below 90 % of its rating; a set that is held; a fit test that is out of date.
/// # Remedy
/// Put it right, or post another.
/// # Limits
/// Asks of this person and this set what it would ask of a wearer, but for how long the air lasts, and
/// nothing of who stands by for them.
pub static RULE: Rule = Rule {
    id: "standby.ready",
    asks: "Could who stands by go in with that set now?",
    why: "A rescuer whose mask leaks, or whose cylinder is half empty, cannot help.",
    citation: "29 CFR 1910.134(g)(3)(iii), with what each finding cites",
    authority: Authority::Read,
    says: "{who} could not go in with {set}: {against}",
    remedy: "post another person or another set, or put right what keeps {who} from wearing \
          {set}, and record it",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &PostedFacts<'_>) -> Option<Finding> {
    let set = facts.set.filter(|_| !facts.against.is_empty())?;
    let words: Vec<&str> = facts.against.iter().map(|one| one.words.as_str()).collect();
    let finding = Finding::stop(&RULE).with("who", facts.who).with("set", set);
    let finding = finding.with("against", words.join("; ")).resting_on(facts.entry);
    let mut entries: Vec<&String> = facts.against.iter().flat_map(|one| &one.entries).collect();
    entries.sort();
    entries.dedup();
    Some(entries.into_iter().fold(finding, Finding::resting_on))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standby::{Against, sample};

    #[test]
    fn the_examples_of_the_doc_hold() {
        let words = "the cylinder is at 80 % of its rating".to_owned();
        let against = vec![Against { words, entries: vec!["e5".into()] }];
        sample::of_posted(|facts| facts.against = against, check, Some(RULE.id));
    }
}
