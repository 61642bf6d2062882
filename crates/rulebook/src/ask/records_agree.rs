//! Rule `records.agree`: do the records of this wearer, set and task agree with each other?

use super::AskFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Do the records of this wearer, set and task agree with each other?
/// # Why
/// An answer that rests on records that contradict each other is a guess.
/// # Citation
/// none: no answer can rest on a contradiction.
/// # Example that passes
/// One correction of one entry.
/// # Example that stops
/// Two corrections of the same entry, and nobody has said which one holds.
/// # Remedy
/// Find out what is true and enter one more correction that says so.
/// # Limits
/// Sees only contradictions within the records. The latest correction counts meanwhile in all other
/// rules.
pub static RULE: Rule = Rule {
    id: "records.agree",
    asks: "Do the records of this wearer, set and task agree with each other?",
    why: "An answer that rests on records that contradict each other is a guess.",
    citation: "none: no answer can rest on a contradiction",
    authority: Authority::Necessity,
    says: "the records contradict each other: {what}",
    remedy: "find out what is true and enter one more correction that says so",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &AskFacts<'_>) -> Option<Finding> {
    if facts.doubts.is_empty() {
        return None;
    }
    let what: Vec<&str> = facts.doubts.iter().map(|doubt| doubt.words).collect();
    let finding = Finding::stop(&RULE).with("what", what.join("; "));
    let entries = facts.doubts.iter().flat_map(|doubt| &doubt.entries);
    Some(entries.fold(finding, |finding, entry| finding.resting_on(entry)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ask::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                let _ = &facts;
            },
            check,
            None,
        );
        sample::check(
            |facts| {
                facts.doubts =
                    vec![crate::ask::Doubt { words: "two corrections", entries: vec!["e1", "e2"] }]
            },
            check,
            Some("records.agree"),
        );
    }
}
