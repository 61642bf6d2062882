//! Rule `elements.opened-this-shift`: where elements may serve one shift only, were they opened for
//! this shift?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Where elements may serve one shift only, were they opened for this shift?
/// # Why
/// An open bed takes up what is in the air where it lies, worn or not.
/// # Citation
/// 29 CFR 1910.134(d)(3)(iii)(B)(2).
/// # Example that passes
/// One shift allowed; opened this morning.
/// # Example that stops
/// One shift allowed; opened yesterday and said to be unworn.
/// # Remedy
/// Fit elements opened for this shift.
/// # Limits
/// Asked only where the schedule allows one shift; how old an opened bed may be otherwise is not
/// known here.
pub static RULE: Rule = Rule {
    id: "elements.opened-this-shift",
    asks: "Where elements may serve one shift only, were they opened for this shift?",
    why: "An open bed takes up what is in the air where it lies, worn or not.",
    citation: "29 CFR 1910.134(d)(3)(iii)(B)(2)",
    authority: Authority::Read,
    says: "these elements may serve one shift only (limited by {limited_by}) and were opened on \
           {opened}",
    remedy: "fit elements opened for this shift",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let life = facts.life.as_ref()?;
    let elements = facts.elements_in_use()?;
    if life.shifts_allowed > 1 || life.opened_this_shift {
        return None;
    }
    let finding = Finding::stop(&RULE).with("limited_by", &life.limited_by);
    Some(finding.with("opened", elements.opened).resting_on(elements.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                sample::life(facts).shifts_allowed = 1;
            },
            check,
            None,
        );
        sample::check(
            |facts| {
                sample::life(facts).shifts_allowed = 1;
                sample::life(facts).opened_this_shift = false;
            },
            check,
            Some("elements.opened-this-shift"),
        );
        sample::check(
            |facts| {
                sample::life(facts).shifts_allowed = 2;
                sample::life(facts).opened_this_shift = false;
            },
            check,
            None,
        );
    }
}
