//! Rule `elements.suit-model`: can elements of this kind be on a set of this model?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Can elements of this kind be on a set of this model?
/// # Why
/// A mask made of filter has nowhere to screw a cartridge on; a record that says so is of another
/// set.
/// # Citation
/// 29 CFR 1910.134(d)(1)(ii).
/// # Example that passes
/// A filtering facepiece recorded with its own filter.
/// # Example that stops
/// A filtering facepiece recorded with organic vapour cartridges.
/// # Remedy
/// Record the filter that the mask is made of; against gas or vapour take a set with cartridges.
/// # Limits
/// Sees filtering facepieces only; whether the maker approved this element for this model is not
/// known here.
pub static RULE: Rule = Rule {
    id: "elements.suit-model",
    asks: "Can elements of this kind be on a set of this model?",
    why: "A mask made of filter has nowhere to screw a cartridge on; a record that says so is of \
           another set.",
    citation: "29 CFR 1910.134(d)(1)(ii)",
    authority: Authority::Read,
    says: "the elements `{kind}` cannot be on a filtering facepiece",
    remedy: "record the filter that the mask is made of; against gas or vapour take a set with \
           cartridges",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let elements = facts.elements_in_use()?;
    if !facts.device.as_ref()?.filtering_facepiece || !elements.against_gas {
        return None;
    }
    Some(Finding::stop(&RULE).with("kind", elements.kind).resting_on(elements.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                sample::device(facts).filtering_facepiece = true;
                sample::elements(facts).against_gas = false;
            },
            check,
            None,
        );
        sample::check(
            |facts| sample::device(facts).filtering_facepiece = true,
            check,
            Some("elements.suit-model"),
        );
    }
}
