//! What is said of a computed service life: refusals, edges and the caution that goes with it.

mod answer;
mod basis;
mod reuse;
mod shift;

use crate::Rule;

pub use answer::*;
pub use basis::*;
pub use reuse::*;
pub use shift::*;

const SCHEDULE: &str = "29 CFR 1910.134(d)(3)(iii)(B)(2)";

/// All of them, in the order of `docs/rules.md`.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    vec![
        &REFUSED,
        &TOO_SHORT,
        &CHANGE_WITHIN_SHIFT,
        &CERTIFICATION_ONLY,
        &EDGE,
        &ESTIMATED_PROPERTY,
        &REUSE,
        &NEVER_REACHED,
        &CARE,
        &END_ABOVE_LIMIT,
        &NOT_SELECTED,
        &PATTERN_OVER,
        &NOT_SHARED,
        &BREATHED,
        &REUSE_COMPUTED,
        &REUSE_ACCEPTED,
        &REUSE_NOT_LIFTED,
        &PLACE_UNTOLD,
        &NIGHT_ASSUMED,
        &OPEN_STORAGE,
        &SEGMENTS_BELOW_READINGS,
        &USUAL_SHIFT,
        &BLOWER,
        &WORN_ELSEWHERE,
        &UNCALIBRATED,
        &BY_RULE_ALONE,
    ]
}
