//! Air of which nobody knows what is in it.

use super::case::Case;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is it known what is in the air?
/// # Why
/// What is not known cannot be judged and may kill.
/// # Citation
/// 29 CFR 1910.134(d)(1)(iii).
/// # Example that passes
/// A task whose contaminants were identified.
/// # Example that stops
/// A spill of something unknown, with any mask that purifies air.
/// # Remedy
/// Identify it, or use equipment for immediately dangerous air.
/// # Limits
/// Whether the list is complete is for the hygienist.
pub static AIR_UNKNOWN: Rule = Rule {
    id: "air.unknown",
    asks: "Is it known what is in the air?",
    why: "What is not known cannot be judged and may kill.",
    citation: "29 CFR 1910.134(d)(1)(iii)",
    authority: Authority::Read,
    says: "what is in the air is not known: it counts as immediately dangerous",
    remedy: "find out what is in the air, or use the equipment for immediately dangerous air",
};

/// # What it asks
/// Is anything listed that the respirator is to protect from?
/// # Why
/// A respirator cannot be chosen for nothing; an empty list may be a forgotten one.
/// # Citation
/// 29 CFR 1910.134(d)(1)(iii).
/// # Example that passes
/// A task with one contaminant.
/// # Example that stops
/// A task without any.
/// # Remedy
/// Enter the contaminants.
/// # Limits
/// Air that is dangerous for lack of oxygen alone needs no list.
pub static NOTHING_LISTED: Rule = Rule {
    id: "air.nothing-listed",
    asks: "Is anything listed that the respirator is to protect from?",
    why: "A respirator cannot be chosen for nothing; an empty list may be a forgotten one.",
    citation: "29 CFR 1910.134(d)(1)(iii)",
    authority: Authority::Read,
    says: "nothing is listed that is in the air",
    remedy: "enter what is in the air",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    if case.place.atmosphere_unknown {
        findings.push(case.stop_unless_ready(&AIR_UNKNOWN));
    }
    if case.hazards.is_empty() {
        findings.push(case.stop_unless_ready(&NOTHING_LISTED));
    }
    findings
}
