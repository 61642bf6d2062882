//! Rule `fit.renewal-asked`: was the wearer fit tested since something asked for a new test?

use super::WearerFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the wearer fit tested since something asked for a new test?
/// # Why
/// A scar, new teeth, surgery or a change of weight can open the seal that the last test found.
/// # Citation
/// 29 CFR 1910.134(f)(3).
/// # Example that passes
/// A change of weight was reported; this model and size was tested since.
/// # Example that stops
/// New teeth were reported; this model and size was tested before.
/// # Remedy
/// Fit test the wearer with this model and size.
/// # Limits
/// Tight-fitting facepieces only. Knows what was recorded; nobody looks at the face.
pub static RULE: Rule = Rule {
    id: "fit.renewal-asked",
    asks: "Was the wearer fit tested since something asked for a new test?",
    why: "A scar, new teeth, surgery or a change of weight can open the seal that the last test found.",
    citation: "29 CFR 1910.134(f)(3)",
    authority: Authority::Read,
    says: "since the last fit test of {wearer} something was reported that asks for a new one",
    remedy: "fit test {model} size {size} for {wearer} before it is worn",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    if !facts.is_tight_fitting() {
        return None;
    }
    let finding = Finding::stop(&RULE).with("wearer", facts.wearer).with("model", facts.model);
    Some(finding.with("size", facts.size).resting_on(facts.fit_renewal?))
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
        sample::check(|facts| facts.fit_renewal = Some("e7"), check, Some("fit.renewal-asked"));
        sample::check(
            |facts| {
                sample::device(facts).facepiece = crate::Facepiece::HelmetOrHood;
                facts.fit_renewal = Some("e7");
            },
            check,
            None,
        );
    }
}
