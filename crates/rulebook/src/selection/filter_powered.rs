//! Filters of powered units, and of those without a blower.

use super::case::Case;
use crate::{AirSource, Authority, FilterLevel, Finding, Rule};

/// # What it asks
/// Is the filter of a class certified for units with a blower, or for units without one?
/// # Why
/// Filters of powered units and of others pass different tests: one class does not stand for the other.
/// # Citation
/// 42 CFR 84.175, 84.181.
/// # Example that passes
/// HE on a powered unit, P100 on a half mask.
/// # Example that stops
/// P100 on a powered unit.
/// # Remedy
/// Fit HE, PAPR100-N or PAPR100-P on a powered unit, an N, R or P filter on another.
/// # Limits
/// Knows the class that was listed; whether this very filter is approved for the unit is asked of its
/// model.
pub static FILTER_POWERED: Rule = Rule {
    id: "filter.powered-class",
    asks: "Is the filter of a class certified for units with a blower, or for units without one?",
    why: "Filters of powered units and of others pass different tests: one class does not stand for \
           the other.",
    citation: "42 CFR 84.175, 84.181",
    authority: Authority::Read,
    says: "a {filter} filter is of no class certified for {units}",
    remedy: "fit a filter of the class {wanted} that is approved for this unit",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    let Some(filter) = case.elements.and_then(|elements| elements.filter) else {
        return Vec::new();
    };
    let (right, units, wanted) = match case.device.air_source {
        AirSource::PoweredAirPurifying => {
            let right = filter.series.is_for_powered_units() && filter.level == FilterLevel::L100;
            (right, "powered units", "HE, PAPR100-N or PAPR100-P")
        }
        AirSource::AirPurifying => {
            (!filter.series.is_for_powered_units(), "units without a blower", "N, R or P")
        }
        _ => return Vec::new(),
    };
    if right {
        return Vec::new();
    }
    let finding = Finding::stop(&FILTER_POWERED).with("filter", filter);
    vec![finding.with("units", units).with("wanted", wanted)]
}
