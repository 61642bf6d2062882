//! Rule `standby.notified`: who is told before anybody goes in for a rescue, and what help does that
//! bring?

use super::StandbyFacts;
use crate::{Authority, Finding, Rule, is_blank};

/// # What it asks
/// Who is told before anybody goes in for a rescue, and what help does that bring?
/// # Why
/// Most who die in such air went in to help.
/// # Citation
/// 29 CFR 1910.134(g)(3)(iv)-(v).
/// # Example that passes
/// Shift lead on radio 2, who sends the site rescue team.
/// # Example that stops
/// Nobody is named.
/// # Remedy
/// Name who is told and what help comes.
/// # Limits
/// Knows what was agreed, not what is done. It keeps nobody from a rescue.
pub static RULE: Rule = Rule {
    id: "standby.notified",
    asks: "Who is told before anybody goes in for a rescue, and what help does that bring?",
    why: "Most who die in such air went in to help.",
    citation: "29 CFR 1910.134(g)(3)(iv)-(v)",
    authority: Authority::Read,
    says: "it is not recorded {what}",
    remedy: "agree who of the employer is told before anybody goes in for a rescue, how, and what \
          help comes then, and record the posting anew",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &StandbyFacts<'_>) -> Option<Finding> {
    let posting = facts.posting.as_ref()?;
    let what = match (is_blank(posting.notify), is_blank(posting.help)) {
        (true, _) => "who is told before anybody goes in for a rescue",
        (_, true) => "what help comes once the employer was told of a rescue",
        _ => return None,
    };
    Some(Finding::stop(&RULE).with("what", what).resting_on(posting.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standby::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::of_posting(|posting| posting.notify = "", check, Some(RULE.id));
        sample::of_posting(|posting| posting.help = " ", check, Some(RULE.id));
        sample::of_posting(|posting| posting.help = "\u{2800}", check, Some(RULE.id));
    }
}
