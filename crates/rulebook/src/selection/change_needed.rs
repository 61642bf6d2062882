//! An indicator or a change schedule for every element.

use super::case::Case;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is there an end-of-life indicator or a change schedule?
/// # Why
/// A spent element looks like a fresh one.
/// # Citation
/// 29 CFR 1910.134(d)(3)(iii)(B).
/// # Example that passes
/// An element with an approved indicator, or a schedule based on data.
/// # Example that stops
/// None here: the schedule is checked when the unit is worn.
/// # Remedy
/// Set a change schedule.
/// # Limits
/// Whether the schedule is kept is asked when the unit is worn.
pub static CHANGE_NEEDED: Rule = Rule {
    id: "element.change-schedule",
    asks: "Is there an end-of-life indicator or a change schedule?",
    why: "A spent element looks like a fresh one.",
    citation: "29 CFR 1910.134(d)(3)(iii)(B)",
    authority: Authority::Read,
    says: "{what}",
    remedy: "{how}",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    // A filter alone holds no gas: other rules stop it, and no schedule could serve.
    let filter_alone = case.elements.is_some_and(|elements| elements.against.is_empty());
    if filter_alone || case.gases().next().is_none() || case.for_escape() {
        return Vec::new();
    }
    let indicator = case.elements.is_some_and(|elements| elements.end_of_service_indicator);
    let finding = if indicator {
        Finding::note(&CHANGE_NEEDED)
            .with("what", "the element has an approved end-of-life indicator")
            .with("how", "change it when the indicator says so")
    } else {
        Finding::caution(&CHANGE_NEEDED)
            .with("what", "a change schedule based on data must exist before this element is used")
            .with("how", "work out a change schedule and write its basis into the program")
    };
    vec![finding]
}
