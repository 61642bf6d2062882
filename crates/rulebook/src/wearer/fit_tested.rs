//! Rule `fit.tested`: was the wearer fit tested with this model and size?

use super::WearerFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the wearer fit tested with this model and size?
/// # Why
/// Faces differ; a facepiece that was not tried on this face may leak.
/// # Citation
/// 29 CFR 1910.134(f)(1)-(2).
/// # Example that passes
/// A test with the same model and size is on record.
/// # Example that stops
/// The only test was with another size.
/// # Remedy
/// Fit test the same model and size for the wearer.
/// # Limits
/// Tight-fitting facepieces only; loose-fitting ones need no fit test. A change of the face since
/// the test is not seen.
pub static RULE: Rule = Rule {
    id: "fit.tested",
    asks: "Was the wearer fit tested with this model and size?",
    why: "Faces differ; a facepiece that was not tried on this face may leak.",
    citation: "29 CFR 1910.134(f)(1)-(2)",
    authority: Authority::Read,
    says: "{wearer} has no fit test with {model} size {size}",
    remedy: "fit test {model} size {size} for {wearer}",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    if !facts.is_tight_fitting() || facts.fit_test.is_some() {
        return None;
    }
    let finding = Finding::stop(&RULE).with("wearer", facts.wearer);
    Some(finding.with("model", facts.model).with("size", facts.size))
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
        sample::check(
            |facts| {
                facts.fit_test = None;
            },
            check,
            Some("fit.tested"),
        );
        sample::check(
            |facts| {
                sample::device(facts).facepiece = crate::Facepiece::LooseFitting;
                facts.fit_test = None;
            },
            check,
            None,
        );
    }
}
