//! A contaminant that is there, nobody knows how much.

use super::case::Case;
use crate::place::Level;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the level of each contaminant known?
/// # Why
/// A level that cannot be told or estimated may be immediately dangerous.
/// # Citation
/// 29 CFR 1910.134(d)(1)(iii).
/// # Example that passes
/// Toluene measured at 60 ppm.
/// # Example that stops
/// Toluene present, not measured, with a half mask.
/// # Remedy
/// Measure it.
/// # Limits
/// Whether an estimate is sound is for the hygienist.
pub static LEVEL_UNKNOWN: Rule = Rule {
    id: "level.unknown",
    asks: "Is the level of each contaminant known?",
    why: "A level that cannot be told or estimated may be immediately dangerous.",
    citation: "29 CFR 1910.134(d)(1)(iii)",
    authority: Authority::Read,
    says: "the level of {substance} is not known: the air counts as immediately dangerous",
    remedy: "measure {substance} or estimate it soundly, or use the equipment for immediately dangerous air",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    let unknown = case.hazards.iter().filter(|hazard| hazard.level == Level::Unknown);
    unknown
        .map(|hazard| case.stop_unless_ready(&LEVEL_UNKNOWN).with("substance", &hazard.name))
        .collect()
}
