//! Rule `supply.cylinder-terms`: are the period and the life of the cylinder read where they stand?

use super::CylinderFacts;
use crate::{Authority, Finding, Rule};

/// What is said behind a period or a life that nobody has read.
pub(super) const UNCONFIRMED: &str = " (from memory or as entered, unconfirmed)";

/// # What it asks
/// Are the period and the life of the cylinder read where they stand?
/// # Why
/// A period remembered wrongly lets a cylinder go untested; one of fibre bursts when it is old.
/// # Citation
/// 49 CFR 180.209(a) Table 1; the special permit.
/// # Example that passes
/// Steel of the table as it was read; or a wrapped cylinder whose permit the site has read.
/// # Example that stops
/// A wrapped cylinder whose permit sets the end of its life, which was not entered. A period from memory
/// is a caution.
/// # Remedy
/// Read them on the cylinder or in its permit, and correct its listing with what stands there.
/// # Limits
/// Rests on what the site says it has read.
pub static RULE: Rule = Rule {
    id: "supply.cylinder-terms",
    asks: "Are the period and the life of the cylinder read where they stand?",
    why: "A period remembered wrongly lets a cylinder go untested; one of fibre bursts when it is old.",
    citation: "49 CFR 180.209(a) Table 1; the special permit",
    authority: Authority::Read,
    says: "{what} of cylinder {cylinder} {state}",
    remedy: "read it on the cylinder or in its permit, and correct its listing with what stands \
             there and that it was read",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &CylinderFacts<'_>) -> Option<Finding> {
    let told = |finding: Finding, what, state| {
        let finding = finding.with("what", what).with("cylinder", facts.cylinder);
        Some(finding.with("state", state).resting_on(facts.entry))
    };
    if facts.life_by_permit && facts.life_ends.is_none() {
        let state = "is set by its design or permit and was not entered";
        return told(Finding::stop(&RULE), "the end of the life", state);
    }
    let period = facts.period_unconfirmed && facts.requalified_every.is_some();
    let life = facts.life_unconfirmed && facts.life_ends.is_some();
    let what = match (period, life) {
        (true, true) => "the period of requalification and the life",
        (true, false) => "the period of requalification",
        (false, true) => "the life",
        (false, false) => return None,
    };
    let state = "is from memory, or as entered: not confirmed, or longer than is usual";
    told(Finding::caution(&RULE), what, state)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::supply::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        let expected = Some("supply.cylinder-terms");
        sample::check(
            |facts: &mut CylinderFacts<'static>| facts.period_unconfirmed = true,
            check,
            expected,
        );
        sample::check(
            |facts: &mut CylinderFacts<'static>| facts.life_unconfirmed = true,
            check,
            expected,
        );
        sample::check(
            |facts: &mut CylinderFacts<'static>| {
                facts.life_unconfirmed = true;
                facts.life_ends = None;
                facts.life_by_permit = false;
            },
            check,
            None,
        );
        sample::check(|facts: &mut CylinderFacts<'static>| facts.life_ends = None, check, expected);
    }
}
