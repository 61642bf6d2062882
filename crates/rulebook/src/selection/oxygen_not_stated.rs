//! Oxygen that nobody measured.

use super::case::Case;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the oxygen of the place known?
/// # Why
/// Air short of oxygen gives no warning, and no element can add oxygen.
/// # Citation
/// 29 CFR 1910.134(d)(2)(iii).
/// # Example that passes
/// Oxygen measured at 20.9 %.
/// # Example that stops
/// A task without an oxygen reading.
/// # Remedy
/// Measure it.
/// # Limits
/// A reading tells of its own moment; where oxygen can fall, watch it all the time.
pub static OXYGEN_NOT_STATED: Rule = Rule {
    id: "oxygen.not-stated",
    asks: "Is the oxygen of the place known?",
    why: "Air short of oxygen gives no warning, and no element can add oxygen.",
    citation: "29 CFR 1910.134(d)(2)(iii)",
    authority: Authority::Read,
    says: "the oxygen of the place is not stated, so a lack of it cannot be ruled out",
    remedy: "measure the oxygen and enter it, or use the equipment for immediately dangerous air",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    if case.place.oxygen.is_some() {
        return Vec::new();
    }
    vec![case.stop_unless_ready(&OXYGEN_NOT_STATED)]
}
