//! Rule `standby.inside`: is the wearer one of those for whom others stand outside?

use super::StandbyFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the wearer one of those for whom others stand outside?
/// # Why
/// Nobody stands by for himself, and who is not expected inside is not missed.
/// # Citation
/// 29 CFR 1910.134(g)(3)(i)-(ii).
/// # Example that passes
/// Ada goes in, Bo stands outside.
/// # Example that stops
/// Bo, who stands outside, wants to go in himself.
/// # Remedy
/// Post somebody else, or name the wearer among those who go in.
/// # Limits
/// Where nobody is named, whoever does the task may go in.
pub static RULE: Rule = Rule {
    id: "standby.inside",
    asks: "Is the wearer one of those for whom others stand outside?",
    why: "Nobody stands by for himself, and who is not expected inside is not missed.",
    citation: "29 CFR 1910.134(g)(3)(i)-(ii)",
    authority: Authority::Read,
    says: "{state}",
    remedy: "have somebody else stand outside, name who goes in, and record the posting anew. Who \
          stands outside and must go in for a rescue tells the employer first and asks no \
          record",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &StandbyFacts<'_>) -> Option<Finding> {
    let posting = facts.posting.as_ref()?;
    let finding = Finding::stop(&RULE).resting_on(posting.entry);
    if posting.wearer_outside {
        let state = format!("{} stands by outside and cannot go in", facts.wearer);
        return Some(finding.with("state", state));
    }
    if 0 < posting.inside && !posting.wearer_inside {
        let state = format!("{} is not named among those who go in", facts.wearer);
        return Some(finding.with("state", state));
    }
    let both = posting.in_both.first()?;
    Some(finding.with("state", format!("{both} is named outside and inside at once")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standby::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::of_posting(|posting| posting.wearer_outside = true, check, Some(RULE.id));
        sample::of_posting(|posting| posting.wearer_inside = false, check, Some(RULE.id));
        sample::of_posting(|posting| posting.in_both = vec!["Bo"], check, Some(RULE.id));
        let nobody = |posting: &mut crate::standby::PostingFacts<'_>| {
            (posting.inside, posting.wearer_inside) = (0, false);
        };
        sample::of_posting(nobody, check, None);
    }
}
