//! Rule `unit.one-wearer-only`: has a filtering facepiece only ever had this one wearer?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Has a filtering facepiece only ever had this one wearer?
/// # Why
/// A mask made of filter cannot be washed, so it cannot go from face to face.
/// # Citation
/// 29 CFR 1910.134(h)(1)(ii).
/// # Example that passes
/// Worn twice by the same person.
/// # Example that stops
/// Worn yesterday by somebody else.
/// # Remedy
/// Take a new filtering facepiece for the wearer and throw this one away.
/// # Limits
/// Filtering facepieces only. Who wore it unrecorded is not known.
pub static RULE: Rule = Rule {
    id: "unit.one-wearer-only",
    asks: "Has a filtering facepiece only ever had this one wearer?",
    why: "A mask made of filter cannot be washed, so it cannot go from face to face.",
    citation: "29 CFR 1910.134(h)(1)(ii)",
    authority: Authority::Read,
    says: "a filtering facepiece has one wearer only; this one is {how}",
    remedy: "take a new filtering facepiece for {wearer} and throw this one away",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    if !facts.device.as_ref()?.filtering_facepiece {
        return None;
    }
    let finding = Finding::stop(&RULE).with("wearer", facts.wearer_name);
    if let Some(other) = facts.used_ever.iter().find(|one| one.person != facts.wearer) {
        return Some(
            finding.with("how", format!("used by {}", other.name)).resting_on(other.entry),
        );
    }
    facts.shared.then(|| finding.with("how", "kept as a shared set"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::Use;
    use crate::unit::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                sample::device(facts).filtering_facepiece = true;
                facts.used_ever =
                    vec![Use { person: facts.wearer, name: facts.wearer_name, entry: "e9" }];
            },
            check,
            None,
        );
        sample::check(
            |facts| {
                sample::device(facts).filtering_facepiece = true;
                facts.used_ever = vec![Use { person: "p2", name: "Bo", entry: "e9" }];
            },
            check,
            Some("unit.one-wearer-only"),
        );
        sample::check(
            |facts| {
                sample::device(facts).filtering_facepiece = true;
                facts.shared = true;
            },
            check,
            Some("unit.one-wearer-only"),
        );
    }
}
