//! The highest level that a respirator may be used in.

use quantity::{Concentration, FibresPerCm3, MgPerM3, Ppm};

use super::cartridge_maximum;
use super::case::{Case, Hazard, round};
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is each level within the maximum use concentration?
/// # Why
/// Beyond it the class, the cartridge or the time to get out is not enough.
/// # Citation
/// 29 CFR 1910.134(d)(3)(i)(B)(1) and (3).
/// # Example that passes
/// Toluene at 80 ppm with a half mask: ten times its limit is more.
/// # Example that stops
/// A level above factor times limit, above the immediately dangerous level, or above what the cartridge is certified for.
/// # Remedy
/// Lower the level or choose a higher class.
/// # Limits
/// Does not apply to units for immediately dangerous air beyond their factor.
pub static MAXIMUM_USE: Rule = Rule {
    id: "level.maximum-use",
    asks: "Is each level within the maximum use concentration?",
    why: "Beyond it the class, the cartridge or the time to get out is not enough.",
    citation: "29 CFR 1910.134(d)(3)(i)(B)(1) and (3)",
    authority: Authority::Read,
    says: "{substance} at {level} is above the maximum use concentration of {maximum} for this class",
    remedy: "lower the level, or choose a class with a higher maximum use concentration",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    if case.for_escape() {
        return Vec::new();
    }
    let above = case.hazards.iter().filter_map(|hazard| {
        let maximum = maximum(case, hazard)?;
        let level = hazard.level.known()?;
        (maximum.number() < level.number()).then_some((hazard, maximum))
    });
    above
        .map(|(hazard, maximum)| {
            Finding::stop(&MAXIMUM_USE)
                .with("substance", &hazard.name)
                .with("level", hazard.level_text())
                .with("maximum", round(maximum))
        })
        .collect()
}

/// Factor times limit, in the unit of the level; at most the immediately dangerous level for a unit
/// that is not made for it, and at most what the cartridge is certified for.
pub(crate) fn maximum(case: &Case<'_>, hazard: &Hazard<'_>) -> Option<Concentration> {
    let unit = hazard.air.unit()?;
    let by_factor = case.factor? / hazard.per_limit?;
    let by_danger = hazard.per_dangerous.filter(|_| !case.ready_for_danger()).map(f64::recip);
    let by_cartridge = cartridge_maximum::of(case, hazard).and_then(|row| {
        let ppm_per_unit = hazard.air.ppm_of(unit)?.as_ppm();
        Some(row.ppm.as_ppm() / ppm_per_unit)
    });
    let caps = [Some(by_factor), by_danger, by_cartridge];
    let lowest = caps.into_iter().flatten().fold(f64::INFINITY, f64::min);
    match unit {
        Concentration::Ppm(_) => Ppm::from_ppm(lowest.min(1e6)).ok().map(Concentration::Ppm),
        Concentration::Mass(_) => {
            MgPerM3::from_mg_per_m3(lowest.min(1e7)).ok().map(Concentration::Mass)
        }
        Concentration::Fibres(_) => {
            FibresPerCm3::from_f_per_cm3(lowest.min(1e6)).ok().map(Concentration::Fibres)
        }
    }
}
