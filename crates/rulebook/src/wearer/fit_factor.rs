//! Rule `fit.factor`: does the measured fit factor reach the pass mark of the facepiece?

use super::{FitGave, WearerFacts};
use crate::Facepiece;
use crate::{Authority, Finding, Rule, shown_beside};

/// # What it asks
/// Does the measured fit factor reach the pass mark of the facepiece?
/// # Why
/// Below the pass mark the facepiece leaks more than its protection factor allows.
/// # Citation
/// 29 CFR 1910.134(f)(7).
/// # Example that passes
/// Half mask, fit factor 100.
/// # Example that stops
/// Full facepiece, fit factor 499.
/// # Remedy
/// Try another model or size for the wearer and fit test it.
/// # Limits
/// Asks the overall factor as entered; how it was computed is not seen. A quarter mask is held to
/// the mark of a half mask.
pub static RULE: Rule = Rule {
    id: "fit.factor",
    asks: "Does the measured fit factor reach the pass mark of the facepiece?",
    why: "Below the pass mark the facepiece leaks more than its protection factor allows.",
    citation: "29 CFR 1910.134(f)(7)",
    authority: Authority::Read,
    says: "the fit factor of {wearer} with {model} size {size} is {found}; a {facepiece} needs at \
           least {least}",
    remedy: "try another model or size for {wearer} and fit test it",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    let test = facts.tight_fit_test()?;
    let facepiece = facts.device.as_ref()?.facepiece;
    let FitGave::Factor(found) = test.gave else { return None };
    let least = least(facepiece);
    // A factor that is not a number is not above anything, and stops.
    if found >= least {
        return None;
    }
    let finding = Finding::stop(&RULE).with("wearer", facts.wearer).with("model", facts.model);
    let found = shown_beside(found, least, 1);
    let finding = finding.with("size", facts.size).with("found", found).with("least", least);
    Some(finding.with("facepiece", facepiece).resting_on(test.entry))
}

/// The pass mark of a facepiece.
#[must_use]
pub fn least(facepiece: Facepiece) -> f64 {
    if facepiece == Facepiece::FullFacepiece { LEAST_FULL } else { LEAST_HALF }
}

/// Pass mark of a half mask. Source: 29 CFR 1910.134(f)(7).
const LEAST_HALF: f64 = 100.0;

/// Pass mark of a full facepiece. Source: 29 CFR 1910.134(f)(7).
const LEAST_FULL: f64 = 500.0;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wearer::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(|facts| sample::fit_test(facts).gave = FitGave::Factor(100.0), check, None);
        sample::check(
            |facts| sample::fit_test(facts).gave = FitGave::Factor(99.9),
            check,
            Some("fit.factor"),
        );
        sample::check(
            |facts| sample::fit_test(facts).gave = FitGave::Factor(f64::NAN),
            check,
            Some("fit.factor"),
        );
        sample::check(
            |facts| {
                sample::device(facts).facepiece = Facepiece::FullFacepiece;
                sample::fit_test(facts).gave = FitGave::Factor(499.0);
            },
            check,
            Some("fit.factor"),
        );
    }
}
