//! Filters of powered units.

use super::case::Case;
use crate::{AirSource, Authority, FilterLevel, FilterSeries, Finding, Rule};

/// # What it asks
/// Is the filter of a powered unit of a class made for powered units?
/// # Why
/// Powered units are certified with high-efficiency filters only.
/// # Citation
/// 42 CFR 84.175.
/// # Example that passes
/// HE on a powered unit.
/// # Example that stops
/// N95 on a powered unit.
/// # Remedy
/// Fit HE.
/// # Limits
/// Classes 100-N and 100-P of powered units are written N100 and P100.
pub static FILTER_POWERED: Rule = Rule {
    id: "filter.powered-class",
    asks: "Is the filter of a powered unit of a class made for powered units?",
    why: "Powered units are certified with high-efficiency filters only.",
    citation: "42 CFR 84.175",
    authority: Authority::Read,
    says: "a {filter} filter is of no class certified for powered units",
    remedy: "fit a high-efficiency filter approved for this unit",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    let filter = case.elements.and_then(|elements| elements.filter);
    let powered = case.device.air_source == AirSource::PoweredAirPurifying;
    let wrong = filter.filter(|filter| {
        powered && (filter.level != FilterLevel::L100 || filter.series == FilterSeries::R)
    });
    wrong.map(|filter| Finding::stop(&FILTER_POWERED).with("filter", filter)).into_iter().collect()
}
