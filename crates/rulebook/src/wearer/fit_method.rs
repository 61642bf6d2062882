//! Rule `fit.method`: is the fit test good enough for the protection that this task needs?

use super::{FitGave, WearerFacts};
use crate::Facepiece;
use crate::{Authority, Finding, Rule, shown_beside};

/// # What it asks
/// Is the fit test good enough for the protection that this task needs?
/// # Why
/// A test by taste, smell or irritation shows a fit factor of 100; with the usual margin of ten
/// that is trusted for air up to ten times over the limit.
/// # Citation
/// 29 CFR 1910.134(f)(6): such tests serve units that need a fit factor of 100 or less.
/// # Example that passes
/// Full facepiece, tested by taste, air at 4 times the limit.
/// # Example that stops
/// Full facepiece, tested by taste, air at 20 times the limit.
/// # Remedy
/// Fit test the same model and size for the wearer with a measured fit factor.
/// # Limits
/// Facepieces that fall below room pressure as the wearer breathes in. A demand airline or
/// self-contained unit is held to it too, more strictly than (f)(8) asks. Facepieces kept at
/// positive pressure may be tested either way.
pub static RULE: Rule = Rule {
    id: "fit.method",
    asks: "Is the fit test good enough for the protection that this task needs?",
    why: "A test by taste, smell or irritation shows a fit factor of 100; with the usual margin of \
           ten that is trusted for air up to ten times over the limit.",
    citation: "29 CFR 1910.134(f)(6)",
    authority: Authority::Read,
    says: "the fit test of {wearer} was by taste, smell or irritation: that is enough up to {most} \
           times the limit, this task needs {needed}",
    remedy: "fit test {model} size {size} for {wearer} with a measured fit factor",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    let test = facts.tight_fit_test()?;
    let negative = facts.device.as_ref()?.air_source.is_negative_pressure();
    if test.gave != FitGave::PassOrFail || !negative {
        return None;
    }
    let enough = facts.needed_factor.is_some_and(|needed| needed <= MOST_BY_QUALITATIVE_TEST);
    // A half or quarter mask is never trusted beyond that factor, so selection stops it by itself.
    if enough || facts.device.as_ref()?.facepiece != Facepiece::FullFacepiece {
        return None;
    }
    let needed = facts.needed_factor.map_or_else(
        || "more than is known".to_owned(),
        |needed| shown_beside(needed, MOST_BY_QUALITATIVE_TEST, 1),
    );
    let finding = Finding::stop(&RULE).with("wearer", facts.wearer).with("model", facts.model);
    let finding = finding.with("size", facts.size).with("most", MOST_BY_QUALITATIVE_TEST);
    Some(finding.with("needed", needed).resting_on(test.entry))
}

/// A fit factor of 100 divided by the margin of ten between a test and a workplace.
///
/// Source: 29 CFR 1910.134(f)(6) for the 100; the margin is that between the pass marks of (f)(7)
/// and the factors of (d)(3)(i)(A) Table 1.
const MOST_BY_QUALITATIVE_TEST: f64 = 10.0;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wearer::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                sample::device(facts).facepiece = Facepiece::FullFacepiece;
                sample::fit_test(facts).gave = FitGave::PassOrFail;
                facts.needed_factor = Some(4.0);
            },
            check,
            None,
        );
        sample::check(
            |facts| {
                sample::device(facts).facepiece = Facepiece::FullFacepiece;
                sample::fit_test(facts).gave = FitGave::PassOrFail;
                facts.needed_factor = Some(20.0);
            },
            check,
            Some("fit.method"),
        );
        sample::check(
            |facts| {
                sample::device(facts).facepiece = Facepiece::FullFacepiece;
                sample::fit_test(facts).gave = FitGave::PassOrFail;
                facts.needed_factor = None;
            },
            check,
            Some("fit.method"),
        );
    }
}
