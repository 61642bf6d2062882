//! Rule `supply.cylinder-in-service`: is the cylinder still in service?

use super::CylinderFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the cylinder still in service?
/// # Why
/// A cylinder is condemned because it may burst or because its air is not fit to breathe.
/// # Citation
/// 29 CFR 1910.134(i)(4)(i).
/// # Example that passes
/// A cylinder that nobody took out of service.
/// # Example that stops
/// A cylinder that was withdrawn for a dent and is mounted on a set.
/// # Remedy
/// Take the cylinder off and mount another one.
/// # Limits
/// Asks the record only; look at the cylinder and its marks.
pub static RULE: Rule = Rule {
    id: "supply.cylinder-in-service",
    asks: "Is the cylinder still in service?",
    why: "A cylinder is condemned because it may burst or because its air is not fit to breathe.",
    citation: "29 CFR 1910.134(i)(4)(i)",
    authority: Authority::Read,
    says: "cylinder {cylinder} was taken out of service: {why}",
    remedy: "take the cylinder off and mount another one",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &CylinderFacts<'_>) -> Option<Finding> {
    let withdrawn = facts.withdrawn?;
    let finding = Finding::stop(&RULE).with("cylinder", facts.cylinder);
    Some(finding.with("why", withdrawn.words).resting_on(withdrawn.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ask::Noted;
    use crate::supply::{CylinderFacts, sample};

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(|_: &mut CylinderFacts<'static>| {}, check, None);
        sample::check(
            |facts: &mut CylinderFacts<'static>| {
                facts.withdrawn = Some(Noted { words: "dented", entry: "e9" })
            },
            check,
            Some("supply.cylinder-in-service"),
        );
    }
}
