//! A unit that purifies air, with nobody saying by what.

use super::case::Case;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is it known what the unit purifies the air with?
/// # Why
/// Without the right element such a unit is a mask with holes.
/// # Citation
/// 29 CFR 1910.134(d)(1)(ii) and (d)(3)(ii).
/// # Example that passes
/// A half mask with organic vapour cartridges.
/// # Example that stops
/// A half mask without elements.
/// # Remedy
/// Enter the elements.
/// # Limits
/// Whether they are the right ones is asked by other rules.
pub static ELEMENTS_NOT_STATED: Rule = Rule {
    id: "element.not-stated",
    asks: "Is it known what the unit purifies the air with?",
    why: "Without the right element such a unit is a mask with holes.",
    citation: "29 CFR 1910.134(d)(1)(ii) and (d)(3)(ii)",
    authority: Authority::Read,
    says: "what this unit purifies the air with is not stated",
    remedy: "enter its cartridges, canister or filters",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    let bare =
        |elements: &crate::Elements| elements.against.is_empty() && elements.filter.is_none();
    let missing = case.purifies() && case.elements.is_none_or(bare);
    missing.then(|| Finding::stop(&ELEMENTS_NOT_STATED)).into_iter().collect()
}
