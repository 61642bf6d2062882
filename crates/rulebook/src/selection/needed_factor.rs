//! Whether the class protects enough.

use super::case::{Case, round, significant};
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the level over the limit within the factor of the class?
/// # Why
/// The factor says by how much the class reduces what is breathed.
/// # Citation
/// 29 CFR 1910.134(d)(3)(i)(A).
/// # Example that passes
/// 8 times the limit with a half mask, factor 10.
/// # Example that stops
/// 11 times the limit with a half mask.
/// # Remedy
/// Lower the level or choose a higher class.
/// # Limits
/// The lowest of the legal, recommended and site limits is used; not asked of a unit that is only for leaving.
pub static NEEDED_FACTOR: Rule = Rule {
    id: "factor.needed",
    asks: "Is the level over the limit within the factor of the class?",
    why: "The factor says by how much the class reduces what is breathed.",
    citation: "29 CFR 1910.134(d)(3)(i)(A)",
    authority: Authority::Read,
    says: "{substance} at {level} is {needed} times its limit of {limit} ({sort}); this class protects by a factor of {factor}",
    remedy: "lower the level, or choose a class with a factor of {needed} or more",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    let Some(factor) = case.factor.filter(|_| !case.for_escape()) else { return Vec::new() };
    let short = case.hazards.iter().filter_map(|hazard| {
        let needed = hazard.needed().filter(|needed| factor < *needed)?;
        Some((hazard, hazard.limit.as_ref()?, needed))
    });
    short
        .map(|(hazard, limit, needed)| {
            Finding::stop(&NEEDED_FACTOR)
                .with("substance", &hazard.name)
                .with("level", hazard.level_text())
                .with("needed", at_least(needed))
                .with("limit", round(limit.value))
                .with("sort", limit.sort)
                .with("factor", significant(factor))
        })
        .collect()
}

/// Rounded up, so that a class with the factor written is truly enough.
fn at_least(needed: f64) -> String {
    let step = if needed < 100.0 { 10.0 } else { 1.0 };
    significant((needed * step).ceil() / step)
}
