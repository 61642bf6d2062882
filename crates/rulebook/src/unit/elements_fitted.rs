//! Rule `elements.fitted`: are filters, cartridges or a canister on a set that cleans the air of
//! the room?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Are filters, cartridges or a canister on a set that cleans the air of the room?
/// # Why
/// Without them it cleans nothing; without a record nobody knows what is on it.
/// # Citation
/// 29 CFR 1910.134(d)(3)(iii)(B), (d)(3)(iv)(B).
/// # Example that passes
/// Cartridges were fitted this morning.
/// # Example that stops
/// The old cartridges were thrown away and none fitted.
/// # Remedy
/// Fit the right elements for this task and record lot, shelf life and when they were opened; of a
/// filtering facepiece name with its model the filter that it is made of.
/// # Limits
/// Whether the right kind is on is asked by the selection rules. The filter that a filtering facepiece
/// is made of stands in the listing of its model.
pub static RULE: Rule = Rule {
    id: "elements.fitted",
    asks: "Are filters, cartridges or a canister on a set that cleans the air of the room?",
    why: "Without them it cleans nothing; without a record nobody knows what is on it.",
    citation: "29 CFR 1910.134(d)(3)(iii)(B), (d)(3)(iv)(B)",
    authority: Authority::Read,
    says: "no {elements} are recorded on this set",
    remedy: "{do_this}",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let device = facts.device.as_ref()?;
    if !device.air_source.purifies_air() || facts.elements.is_some() {
        return None;
    }
    let (elements, do_this) = match device.filtering_facepiece {
        true => (
            "filter of its own",
            "name with its model the filter that it is made of; where that was thrown away, take \
             another",
        ),
        false => (
            "filters or cartridges",
            "fit the right filters or cartridges for this task and record lot, shelf life and when \
             they were opened",
        ),
    };
    Some(Finding::stop(&RULE).with("elements", elements).with("do_this", do_this))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                let _ = &facts;
            },
            check,
            None,
        );
        sample::check(|facts| facts.elements = None, check, Some("elements.fitted"));
        sample::check(
            |facts| {
                sample::device(facts).air_source = crate::AirSource::SuppliedAirDemand;
                facts.elements = None;
            },
            check,
            None,
        );
    }
}
