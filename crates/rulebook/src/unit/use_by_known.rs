//! Rule `facepiece.use-by-known`: is the last day of a filtering facepiece known?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the last day of a filtering facepiece known?
/// # Why
/// Past its last day the maker does not stand for it, and nothing on it can be renewed.
/// # Citation
/// 29 CFR 1910.134(d)(1)(ii).
/// # Example that passes
/// Taken from a box that was received with its last day.
/// # Example that stops
/// None: this is a caution.
/// # Remedy
/// Read the day on its box.
/// # Limits
/// A box that was received without a last day is taken to have none.
pub static RULE: Rule = Rule {
    id: "facepiece.use-by-known",
    asks: "Is the last day of a filtering facepiece known?",
    why: "Past its last day the maker does not stand for it, and nothing on it can be renewed.",
    citation: "29 CFR 1910.134(d)(1)(ii)",
    authority: Authority::Read,
    says: "the last day of this filtering facepiece is not known",
    remedy: "read the day on its box before it is worn; the next one, take from a box that was \
           received with its last day",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let facepiece = facts.device.as_ref()?.filtering_facepiece;
    (facepiece && facts.use_by.is_none()).then(|| Finding::caution(&RULE))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::{UseBy, sample};

    #[test]
    fn the_examples_of_the_doc_hold() {
        let facepiece = |known| {
            move |facts: &mut UnitFacts<'static>| {
                sample::device(facts).filtering_facepiece = true;
                facts.use_by = known;
            }
        };
        let boxed = UseBy { until: None, entry: "e9" };
        sample::check(facepiece(Some(boxed)), check, None);
        sample::check(facepiece(None), check, Some("facepiece.use-by-known"));
    }
}
