//! Rule `standby.contact`: how do those outside keep in touch with those inside?

use super::StandbyFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// How do those outside keep in touch with those inside?
/// # Why
/// Who is neither seen nor heard is found too late.
/// # Citation
/// 29 CFR 1910.134(g)(3)(ii).
/// # Example that passes
/// By voice.
/// # Example that stops
/// Not recorded.
/// # Remedy
/// Keep sight, voice or a signal line.
/// # Limits
/// Knows the way that was named, not whether it holds.
pub static RULE: Rule = Rule {
    id: "standby.contact",
    asks: "How do those outside keep in touch with those inside?",
    why: "Who is neither seen nor heard is found too late.",
    citation: "29 CFR 1910.134(g)(3)(ii)",
    authority: Authority::Read,
    says: "it is not recorded how those outside keep in touch with those inside",
    remedy: "keep sight, voice or a signal line between them throughout, and record the posting anew",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &StandbyFacts<'_>) -> Option<Finding> {
    let posting = facts.posting.as_ref().filter(|posting| posting.contact.is_empty())?;
    Some(Finding::stop(&RULE).resting_on(posting.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standby::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::of_posting(|posting| posting.contact = &[], check, Some(RULE.id));
    }
}
