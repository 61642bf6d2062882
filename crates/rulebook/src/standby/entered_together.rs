//! Rule `standby.together`: do at least two go into a fire together, in sight or hearing of each other?

use super::Contact;
use super::StandbyFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Do at least two go into a fire together, in sight or hearing of each other?
/// # Why
/// Alone inside a fire nobody sees who falls.
/// # Citation
/// 29 CFR 1910.134(g)(4)(i).
/// # Example that passes
/// Ada and Dee go in together and hear each other.
/// # Example that stops
/// Ada goes in alone, or the two have a signal line only.
/// # Remedy
/// Send two who stay together.
/// # Limits
/// Asked of fires inside a structure alone. Knows what was named, not how close they stay.
pub static RULE: Rule = Rule {
    id: "standby.together",
    asks: "Do at least two go into a fire together, in sight or hearing of each other?",
    why: "Alone inside a fire nobody sees who falls.",
    citation: "29 CFR 1910.134(g)(4)(i)",
    authority: Authority::Read,
    says: "{state}",
    remedy: "name at least two who go in together and how they see or hear each other throughout, \
          and record the posting anew",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &StandbyFacts<'_>) -> Option<Finding> {
    let posting = facts.posting.as_ref().filter(|_| facts.fire)?;
    let finding = Finding::stop(&RULE).resting_on(posting.entry);
    if posting.inside < 2 {
        let state =
            format!("{} named to go into the fire, and two go together at least", posting.inside);
        return Some(finding.with("state", state));
    }
    let near = posting.together.iter().any(|way| *way != Contact::SignalLine);
    let state = "it is not recorded how those inside see or hear each other";
    (!near).then(|| finding.with("state", state))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standby::{PostingFacts, sample};

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::of_posting(|posting| posting.inside = 1, check, Some(RULE.id));
        for together in [&[][..], &[Contact::SignalLine]] {
            sample::of_posting(|posting| posting.together = together, check, Some(RULE.id));
        }
        let alone = |facts: &mut StandbyFacts<'_>| {
            facts.fire = false;
            let posting = facts.posting.as_mut().unwrap();
            *posting = PostingFacts { inside: 1, together: &[], ..posting.clone() };
        };
        sample::check(alone, check, None);
    }
}
