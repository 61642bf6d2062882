//! Rule `elements.shifts`: is this still a shift that the elements may serve?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is this still a shift that the elements may serve?
/// # Why
/// What is held in a bed moves on overnight; some substances allow one shift only.
/// # Citation
/// 29 CFR 1910.134(d)(3)(iii)(B)(2).
/// # Example that passes
/// First of two shifts.
/// # Example that stops
/// Third of two shifts.
/// # Remedy
/// Fit new elements.
/// # Limits
/// A shift is the wear of one person without a long break; how it is told from the records is the
/// caller's.
pub static RULE: Rule = Rule {
    id: "elements.shifts",
    asks: "Is this still a shift that the elements may serve?",
    why: "What is held in a bed moves on overnight; some substances allow one shift only.",
    citation: "29 CFR 1910.134(d)(3)(iii)(B)(2)",
    authority: Authority::Read,
    says: "this would be shift {this} for the elements; their schedule allows {allowed} (limited \
           by {limited_by})",
    remedy: "fit new elements",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let life = facts.life.as_ref()?;
    if life.shift <= life.shifts_allowed {
        return None;
    }
    let finding =
        Finding::stop(&RULE).with("this", life.shift).with("allowed", life.shifts_allowed);
    let finding = finding.with("limited_by", &life.limited_by);
    Some(life.worn.iter().fold(finding, |finding, entry| finding.resting_on(entry)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                sample::wear(facts, 0.0, 60.0, 480.0);
                sample::life(facts).shift = 2;
                sample::life(facts).shifts_allowed = 2;
            },
            check,
            None,
        );
        sample::check(
            |facts| {
                sample::wear(facts, 0.0, 60.0, 480.0);
                sample::life(facts).shift = 3;
                sample::life(facts).shifts_allowed = 2;
            },
            check,
            Some("elements.shifts"),
        );
    }
}
