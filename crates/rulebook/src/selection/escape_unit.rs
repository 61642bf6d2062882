//! Units for leaving.

use super::case::{Case, Hazard};
use crate::{AirSource, Authority, Facepiece, Finding, Mounting, Rule};

/// # What it asks
/// Is the unit of a kind that is certified for escape from this air?
/// # Why
/// On the way out there is no second try.
/// # Citation
/// 29 CFR 1910.134(d)(2)(ii).
/// # Example that passes
/// An escape canister certified for the gas of the place.
/// # Example that stops
/// A half mask with cartridges, kept for escape.
/// # Remedy
/// Use a unit certified for escape.
/// # Limits
/// Cartridges pass where a substance rule names them for escape.
pub static ESCAPE_UNIT: Rule = Rule {
    id: "escape.unit",
    asks: "Is the unit of a kind that is certified for escape from this air?",
    why: "On the way out there is no second try.",
    citation: "29 CFR 1910.134(d)(2)(ii)",
    authority: Authority::Read,
    says: "for leaving the area: {what}",
    remedy: "use a self-contained unit, or a canister unit certified for escape from this air",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    if !case.for_escape() || case.ready_for_danger() {
        return Vec::new();
    }
    let named = |hazard: &Hazard<'_>| case.named_for_escape(hazard);
    let all_named = !case.hazards.is_empty() && case.hazards.iter().all(named);
    let what = match case.device.air_source {
        _ if case.purifies() && all_named => return Vec::new(),
        AirSource::AirPurifying if is_canister_unit(case) => return Vec::new(),
        AirSource::AirPurifying => {
            "this unit has no canister of a kind that is certified for escape"
        }
        AirSource::PoweredAirPurifying => "a powered unit is not certified for escape",
        _ => "the air hose does not go along and there is no supply to carry",
    };
    vec![Finding::stop(&ESCAPE_UNIT).with("what", what)]
}

fn is_canister_unit(case: &Case<'_>) -> bool {
    let canister = case.elements.is_some_and(|elements| elements.mounting != Mounting::Cartridge);
    let covers = matches!(
        case.device.facepiece,
        Facepiece::HalfMask | Facepiece::FullFacepiece | Facepiece::HelmetOrHood
    );
    canister && covers && !case.device.filtering_facepiece
}
