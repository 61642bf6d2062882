//! Smell, which is never a schedule.

use super::case::Case;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Does anyone rely on smell to change an element?
/// # Why
/// Many gases harm below the level at which they are smelled, and the nose tires.
/// # Citation
/// 29 CFR 1910.134(d)(3)(iii)(B).
/// # Example that passes
/// A change schedule.
/// # Example that stops
/// None: this is a note.
/// # Remedy
/// Keep to the schedule.
/// # Limits
/// Smell remains a reason to leave at once.
pub static SMELL: Rule = Rule {
    id: "element.not-by-smell",
    asks: "Does anyone rely on smell to change an element?",
    why: "Many gases harm below the level at which they are smelled, and the nose tires.",
    citation: "29 CFR 1910.134(d)(3)(iii)(B)",
    authority: Authority::Read,
    says: "do not wait for smell, taste or irritation to change an element",
    remedy: "change by the indicator or the schedule; on smell, taste or irritation leave the area and tell the supervisor",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    case.gases().next().map(|_| Finding::note(&SMELL)).into_iter().collect()
}
