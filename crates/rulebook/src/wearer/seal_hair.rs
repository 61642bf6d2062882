//! Rule `seal.hair`: was hair found between the seal and the face at the latest fit test?

use super::WearerFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was hair found between the seal and the face at the latest fit test?
/// # Why
/// Hair under the seal lets air past it.
/// # Citation
/// 29 CFR 1910.134(g)(1)(i)(A).
/// # Example that passes
/// Clean-shaven at the latest test.
/// # Example that stops
/// A beard was noted at the latest test, with whichever facepiece.
/// # Remedy
/// Shave where the mask seals and fit test the same model and size for the wearer; or use a
/// loose-fitting unit.
/// # Limits
/// Tight-fitting facepieces only. Knows what was recorded at the test, not how the face looks
/// today.
pub static RULE: Rule = Rule {
    id: "seal.hair",
    asks: "Was hair found between the seal and the face at the latest fit test?",
    why: "Hair under the seal lets air past it.",
    citation: "29 CFR 1910.134(g)(1)(i)(A)",
    authority: Authority::Read,
    says: "at the latest fit test {wearer} had hair where the mask seals",
    remedy: "shave where the mask seals and fit test {model} size {size} for {wearer}; or use a \
           loose-fitting unit",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    if !facts.is_tight_fitting() {
        return None;
    }
    let finding = Finding::stop(&RULE).with("wearer", facts.wearer).with("model", facts.model);
    Some(finding.with("size", facts.size).resting_on(facts.hair_in_seal?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wearer::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                let _ = &facts;
            },
            check,
            None,
        );
        sample::check(|facts| facts.hair_in_seal = Some("e7"), check, Some("seal.hair"));
        sample::check(
            |facts| {
                sample::device(facts).facepiece = crate::Facepiece::HelmetOrHood;
                facts.hair_in_seal = Some("e7");
            },
            check,
            None,
        );
    }
}
