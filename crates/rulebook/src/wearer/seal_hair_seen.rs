//! Rule `seal.hair-seen`: was hair seen where the mask seals, and not recorded as gone since?

use super::WearerFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was hair seen where the mask seals, and not recorded as gone since?
/// # Why
/// Hair under the seal lets air past it, however well the mask fitted on the day of the test.
/// # Citation
/// 29 CFR 1910.134(g)(1)(i)(A).
/// # Example that passes
/// Stubble was seen on Monday, and on Tuesday that it is gone.
/// # Example that stops
/// A beard was seen at the door.
/// # Remedy
/// Shave where the mask seals and record that it is gone; or use a loose-fitting unit.
/// # Limits
/// Tight-fitting facepieces only. Knows what was recorded, not how the face looks now. A fit test lifts
/// nothing: somebody looks, and records that it is gone.
pub static RULE: Rule = Rule {
    id: "seal.hair-seen",
    asks: "Was hair seen where the mask seals, and not recorded as gone since?",
    why: "Hair under the seal lets air past it, however well the mask fitted on the day of the test.",
    citation: "29 CFR 1910.134(g)(1)(i)(A)",
    authority: Authority::Read,
    says: "hair was seen on {wearer} where the mask seals, and nobody recorded since that it is gone",
    remedy: "shave where the mask seals, have it looked at and record that it is gone; or use a \
             loose-fitting unit",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    found(facts).filter(|_| facts.is_tight_fitting())
}

/// The same, whatever is to be worn.
#[must_use]
pub fn found(facts: &WearerFacts<'_>) -> Option<Finding> {
    Some(Finding::stop(&RULE).with("wearer", facts.wearer).resting_on(facts.hair_seen?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wearer::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(|facts| facts.hair_seen = Some("e7"), check, Some("seal.hair-seen"));
        sample::check(
            |facts| {
                sample::device(facts).facepiece = crate::Facepiece::HelmetOrHood;
                facts.hair_seen = Some("e7");
            },
            check,
            None,
        );
    }
}
