//! Air with more oxygen than usual.

use super::case::{Case, significant};
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is there more oxygen than in clean air?
/// # Why
/// Things burn fiercely in it, the equipment included.
/// # Citation
/// 29 CFR 1910.134(i)(3).
/// # Example that passes
/// 20.9 %.
/// # Example that stops
/// None: 24 % is a caution.
/// # Remedy
/// Find the source.
/// # Limits
/// The figure is that of the paragraph on breathing gas, used here for the air of the place.
pub static OXYGEN_ENRICHED: Rule = Rule {
    id: "oxygen.enriched",
    asks: "Is there more oxygen than in clean air?",
    why: "Things burn fiercely in it, the equipment included.",
    citation: "29 CFR 1910.134(i)(3)",
    authority: Authority::Read,
    says: "oxygen is {oxygen} %, above 23.5 %: danger of fire",
    remedy: "find and stop the source of oxygen; use no equipment that was not made for it",
};

/// Above this much oxygen ordinary equipment is not used. Source: 29 CFR 1910.134(i)(3).
const MOST_PERCENT: f64 = 23.5;

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    let oxygen = case.place.oxygen.map(quantity::OxygenPercent::as_percent);
    let high = oxygen.filter(|oxygen| MOST_PERCENT < *oxygen);
    let said = |oxygen| Finding::caution(&OXYGEN_ENRICHED).with("oxygen", significant(oxygen));
    high.map(said).into_iter().collect()
}
