//! A filter where there are particles.

use super::case::Case;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is there a particulate filter where there are particles?
/// # Why
/// Sorbent lets dust, mist and fume through.
/// # Citation
/// 29 CFR 1910.134(d)(3)(iv)(B).
/// # Example that passes
/// Lead dust with a P100 filter.
/// # Example that stops
/// Paint mist with an organic vapour cartridge alone.
/// # Remedy
/// Fit a filter.
/// # Limits
/// Which efficiency a substance rule asks is told there.
pub static FILTER_NEEDED: Rule = Rule {
    id: "filter.needed",
    asks: "Is there a particulate filter where there are particles?",
    why: "Sorbent lets dust, mist and fume through.",
    citation: "29 CFR 1910.134(d)(3)(iv)(B)",
    authority: Authority::Read,
    says: "there are particles in the air ({what}) and no particulate filter is fitted",
    remedy: "fit a certified particulate filter",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    let fitted = case.elements.is_some_and(|elements| elements.filter.is_some());
    if fitted || !case.needs_filter() {
        return Vec::new();
    }
    let particles = case.hazards.iter().filter(|hazard| hazard.needs_filter());
    let mut names: Vec<&str> = particles.map(|hazard| hazard.name.as_str()).collect();
    if case.place.oil_aerosol == Some(true) {
        names.push("oil");
    }
    vec![Finding::stop(&FILTER_NEEDED).with("what", names.join(", "))]
}
