//! The highest level that a cartridge is certified for.

use super::case::{Case, Hazard, round};
use super::element_kind::kinds_for;
use crate::certification::{MaxUse, max_use};
use crate::{Authority, Finding, Mounting, Rule};

/// # What it asks
/// Is each level within what the cartridge is certified for?
/// # Why
/// Above it a cartridge is spent too soon and may grow hot.
/// # Citation
/// 42 CFR 84.190(a).
/// # Example that passes
/// Sulfur dioxide at 20 ppm with a cartridge for up to 50 ppm.
/// # Example that stops
/// Ammonia at 301 ppm with a cartridge.
/// # Remedy
/// Lower the level or use another class.
/// # Limits
/// Where no figure is printed for a type, none is asked.
pub static CARTRIDGE_MAXIMUM: Rule = Rule {
    id: "element.cartridge-maximum",
    asks: "Is each level within what the cartridge is certified for?",
    why: "Above it a cartridge is spent too soon and may grow hot.",
    citation: "42 CFR 84.190(a)",
    authority: Authority::Read,
    says: "{substance} at {level} is above the {maximum} for which a cartridge of this type is certified",
    remedy: "lower the level, use a gas mask canister certified for it, or supplied air",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    if case.for_escape() {
        return Vec::new();
    }
    let above = case.gases().filter_map(|hazard| {
        let row = of(case, hazard)?;
        let within = hazard.ppm().is_some_and(|ppm| ppm <= row.ppm);
        (hazard.level.known().is_some() && !within).then_some((hazard, row))
    });
    above
        .map(|(hazard, row)| {
            Finding::stop(&CARTRIDGE_MAXIMUM)
                .with("substance", &hazard.name)
                .with("level", hazard.level_text())
                .with("maximum", round(quantity::Concentration::Ppm(row.ppm)))
                .citing(format!("{} ({})", row.citation, row.id))
        })
        .collect()
}

/// The figure for the fitted cartridge against this gas: that of the gas itself where it has one,
/// and the lowest that the cartridge could mean where it does not.
pub(crate) fn of(case: &Case<'_>, hazard: &Hazard<'_>) -> Option<&'static MaxUse> {
    let elements = case.elements.filter(|elements| elements.mounting == Mounting::Cartridge)?;
    if !case.purifies() || !hazard.needs_gas_element() {
        return None;
    }
    let kinds = kinds_for(hazard);
    // The first kind is the gas itself: a cartridge for acid gases used against sulfur dioxide is
    // judged by the figure for sulfur dioxide.
    let own = kinds.first().filter(|_| kinds.iter().any(|kind| elements.against.contains(kind)))?;
    max_use(*own)
}
