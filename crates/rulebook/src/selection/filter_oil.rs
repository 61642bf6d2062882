//! Oil in the air, and filters that it spoils.

use super::case::{Case, Hazard};
use crate::{Authority, FilterSeries, Finding, Rule};

/// # What it asks
/// Is a filter for oil-free air kept out of oil?
/// # Why
/// Oil takes the charge off such a filter and particles pass.
/// # Citation
/// 42 CFR 84.170(a)(2).
/// # Example that passes
/// N95 against wood dust, with no oil stated.
/// # Example that stops
/// N95 where oil is present, or where nobody said.
/// # Remedy
/// Fit R or P, or state that there is no oil.
/// # Limits
/// Oil not stated is taken for oil present.
pub static FILTER_OIL: Rule = Rule {
    id: "filter.oil",
    asks: "Is a filter for oil-free air kept out of oil?",
    why: "Oil takes the charge off such a filter and particles pass.",
    citation: "42 CFR 84.170(a)(2)",
    authority: Authority::Read,
    says: "{oil}; an N filter is for oil-free air only",
    remedy: "fit an R or P filter, or show that there is no oil in the air and enter that",
};

/// # What it asks
/// Is an R filter in oil changed after a shift?
/// # Why
/// It resists oil for a limited time only.
/// # Citation
/// none: usual in the trade (from memory, unconfirmed).
/// # Example that passes
/// A new R95 each shift.
/// # Example that stops
/// None: this is a caution.
/// # Remedy
/// Change it each shift.
/// # Limits
/// The maker may allow longer on tests of loading.
pub static FILTER_R_SHIFT: Rule = Rule {
    id: "filter.r-one-shift",
    asks: "Is an R filter in oil changed after a shift?",
    why: "It resists oil for a limited time only.",
    citation: "none: usual in the trade (from memory, unconfirmed)",
    authority: Authority::Memory,
    says: "an R filter where there is oil, or may be, is for one shift at most (from memory, unconfirmed)",
    remedy: "change it after the shift, or fit a P filter",
};

/// Mineral oil mist is oil in the air, whatever else is said of the place.
const MINERAL_OIL: &str = "8012-95-1";

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    let is_oil = case.hazards.iter().any(|hazard| hazard.cas.as_deref() == Some(MINERAL_OIL));
    let oil = match case.place.oil_aerosol.filter(|_| !is_oil) {
        None if is_oil => "the contaminant is itself an oil",
        Some(false) => return Vec::new(),
        Some(true) => "there is oil in the air",
        None => "whether there is oil in the air is not stated, so it counts as there",
    };
    let asked = case.needs_filter() || case.hazards.iter().any(Hazard::needs_filter);
    let series = case.elements.and_then(|elements| elements.filter).map(|filter| filter.series);
    match series.filter(|_| asked && case.purifies()) {
        Some(FilterSeries::N | FilterSeries::PoweredN) => {
            vec![Finding::stop(&FILTER_OIL).with("oil", oil)]
        }
        Some(FilterSeries::R) => vec![Finding::caution(&FILTER_R_SHIFT)],
        _ => Vec::new(),
    }
}
