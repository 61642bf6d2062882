//! Eyes that the mask leaves open to what irritates them.

use super::case::{Case, Hazard};
use crate::{Authority, Facepiece, Finding, Rule};

/// # What it asks
/// Are the eyes covered where something that irritates them is at its exposure limit or above?
/// # Why
/// Watering eyes blind the wearer, and the hand that rubs them lifts the mask.
/// # Citation
/// Common practice, no source: 29 CFR 1910.134(d)(1)(i) asks for a respirator that suits the hazard and
/// fixes nothing for eyes but in the rules of some substances.
/// # Example that passes
/// A full facepiece, or a half mask with gas-proof goggles.
/// # Example that stops
/// Nothing stops here; a substance rule may.
/// # Remedy
/// Take a full facepiece, hood or helmet, or wear gas-proof goggles with the mask.
/// # Limits
/// Asked where the site says that what is in the air irritates the eyes, not of a unit for leaving. A
/// level or a limit that is not known counts as reached.
pub static EYES: Rule = Rule {
    id: "eyes.irritated",
    asks: "Are the eyes covered where something that irritates them is at its exposure limit or above?",
    why: "Watering eyes blind the wearer, and the hand that rubs them lifts the mask.",
    citation: "common practice, no source: 29 CFR 1910.134(d)(1)(i) asks for a respirator that suits the hazard",
    authority: Authority::CommonPractice,
    says: "what is in the air irritates the eyes, {substance} reaches its exposure limit, and a {facepiece} leaves the eyes open",
    remedy: "take a full facepiece, hood or helmet, or wear gas-proof goggles with the mask",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    let facepiece = case.device.facepiece;
    let open = matches!(facepiece, Facepiece::QuarterMask | Facepiece::HalfMask);
    let irritates = case.place.irritates_eyes == Some(true);
    if !open || !irritates || case.place.gas_proof_goggles || case.for_escape() {
        return Vec::new();
    }
    let reached = |hazard: &&Hazard<'_>| hazard.needed().is_none_or(|needed| 1.0 <= needed);
    let finding = |hazard: &Hazard<'_>| {
        let finding = Finding::caution(&EYES).with("substance", &hazard.name);
        finding.with("facepiece", facepiece)
    };
    case.hazards.iter().find(reached).map(finding).into_iter().collect()
}
