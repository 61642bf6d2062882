//! Rule `donning.filtering-facepiece-discard`: is a filtering facepiece still within the site's
//! written criteria for keeping it?

use super::{DiscardSign, DonningFacts};
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is a filtering facepiece still within the site's written criteria for keeping it?
/// # Why
/// It cannot be cleaned; soiled, damp, torn or worn too often it protects less than it seems to.
/// # Citation
/// common practice, no source; 29 CFR 1910.134(c)(1)(v) asks for written procedures for
/// discarding.
/// # Example that passes
/// Worn twice where five wears are allowed, unsoiled.
/// # Example that stops
/// Soiled, hard to breathe through, or worn more often than the site allows.
/// # Remedy
/// Throw it away and take a new one.
/// # Limits
/// The site writes how often and how long one may be worn; where it has written nothing, one is
/// for a single shift.
pub static RULE: Rule = Rule {
    id: "donning.filtering-facepiece-discard",
    asks: "Is a filtering facepiece still within the site's written criteria for keeping it?",
    why: "It cannot be cleaned; soiled, damp, torn or worn too often it protects less than it \
          seems to.",
    citation: "common practice, no source; 29 CFR 1910.134(c)(1)(v) asks for written procedures \
               for discarding",
    authority: Authority::CommonPractice,
    says: "{state}",
    remedy: "throw it away and take a new one",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &DonningFacts<'_>) -> Option<Finding> {
    let mask = facts.filtering_facepiece.as_ref()?;
    let finding = Finding::stop(&RULE);
    let seen: Vec<&str> = mask.signs.iter().map(DiscardSign::words).collect();
    if !seen.is_empty() {
        return Some(finding.with("state", format!("it is {}", seen.join(", "))));
    }
    let most = mask.most_wears.unwrap_or(1);
    (most <= mask.wears_so_far).then(|| {
        let wears = mask.wears_so_far;
        finding.with("state", format!("it was worn {wears} times; the site allows {most}"))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::donning::sample::check(
            |facts| facts.filtering_facepiece.as_mut().unwrap().signs = vec![DiscardSign::Soiled],
            check,
            Some("donning.filtering-facepiece-discard"),
        );
        crate::donning::sample::check(
            |facts| facts.filtering_facepiece.as_mut().unwrap().wears_so_far = 5,
            check,
            Some("donning.filtering-facepiece-discard"),
        );
        crate::donning::sample::check(
            |facts| facts.filtering_facepiece.as_mut().unwrap().wears_so_far = 4,
            check,
            None,
        );
        crate::donning::sample::check(
            |facts| {
                let mask = facts.filtering_facepiece.as_mut().unwrap();
                (mask.wears_so_far, mask.most_wears) = (1, None);
            },
            check,
            Some("donning.filtering-facepiece-discard"),
        );
    }
}
