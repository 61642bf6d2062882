//! The right element for each gas.

use substance::{Substance, SubstanceClass};

use super::case::{Case, Hazard};
use crate::assigned_protection::CONTRADICTION;
use crate::{Authority, ElementKind, Finding, Rule};

/// # What it asks
/// Are the elements certified for each gas or vapour?
/// # Why
/// An element for another gas lets this one through at once.
/// # Citation
/// 29 CFR 1910.134(d)(1)(ii) and (d)(3)(ii).
/// # Example that passes
/// Toluene with an organic vapour cartridge.
/// # Example that stops
/// Ammonia with an organic vapour cartridge.
/// # Remedy
/// Fit the right element.
/// # Limits
/// How long it lasts is worked out elsewhere.
pub static ELEMENT_KIND: Rule = Rule {
    id: "element.kind",
    asks: "Are the elements certified for each gas or vapour?",
    why: "An element for another gas lets this one through at once.",
    citation: "29 CFR 1910.134(d)(1)(ii) and (d)(3)(ii)",
    authority: Authority::Read,
    says: "{substance} needs an element for {wanted}; fitted: {fitted}",
    remedy: "fit elements certified for {wanted}, or use supplied air",
};

/// # What it asks
/// Is there an element that holds each gas?
/// # Why
/// Some gases pass every ordinary element, or only one certified for them by name holds them.
/// # Citation
/// 29 CFR 1910.134(d)(1)(ii) and (d)(3)(ii).
/// # Example that passes
/// Toluene, held by organic vapour carbon.
/// # Example that stops
/// Nitrogen oxide with any cartridge.
/// # Remedy
/// Use supplied or self-contained air.
/// # Limits
/// An element approved for one such gas by name is not yet known to this program.
pub static ELEMENT_NONE: Rule = Rule {
    id: "element.none-known",
    asks: "Is there an element that holds each gas?",
    why: "Some gases pass every ordinary element, or only one certified for them by name holds them.",
    citation: "29 CFR 1910.134(d)(1)(ii) and (d)(3)(ii)",
    authority: Authority::Read,
    says: "no element known here is certified to hold {substance}",
    remedy: "use supplied or self-contained air, or an element that its approval names for {substance}, if one exists",
};

/// # What it asks
/// Was the element tested on this very gas?
/// # Why
/// An element is certified with a few test gases; another of the group may be held less well.
/// # Citation
/// 42 CFR 84.207 and 84.126.
/// # Example that passes
/// Chlorine with a chlorine cartridge.
/// # Example that stops
/// None: this is a caution.
/// # Remedy
/// Ask the maker.
/// # Limits
/// Organic vapours share one test gas by design and are left out here.
pub static ELEMENT_NOT_TESTED: Rule = Rule {
    id: "element.not-tested-on-this-gas",
    asks: "Was the element tested on this very gas?",
    why: "An element is certified with a few test gases; another of the group may be held less well.",
    citation: "42 CFR 84.207 and 84.126",
    authority: Authority::Read,
    says: "the certification test of an element for {wanted} does not use {substance}",
    remedy: "have the maker confirm that the element is approved for {substance}",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    let of_gases = case.gases().filter_map(|hazard| of_gas(case, hazard));
    of_gases.chain(of_filtering_facepiece(case)).collect()
}

/// A mask made of its filter has no place for a cartridge.
fn of_filtering_facepiece(case: &Case<'_>) -> Option<Finding> {
    let carries = case.elements.is_some_and(|elements| !elements.against.is_empty());
    let what = "a filtering facepiece carries no elements against gas or vapour";
    (case.device.filtering_facepiece && carries)
        .then(|| Finding::stop(&CONTRADICTION).with("what", what))
}

fn of_gas(case: &Case<'_>, hazard: &Hazard<'_>) -> Option<Finding> {
    if hazard.class() == Some(SubstanceClass::CarbonMonoxide) {
        // Carbon monoxide has its own rule.
        return None;
    }
    let kinds = kinds_for(hazard);
    if kinds.is_empty() {
        return Some(Finding::stop(&ELEMENT_NONE).with("substance", &hazard.name));
    }
    let fitted = case.elements.map_or(&[][..], |elements| elements.against.as_slice());
    let said = |finding: Finding| {
        finding.with("substance", &hazard.name).with("wanted", words(&kinds, " or "))
    };
    if !kinds.iter().any(|kind| fitted.contains(kind)) {
        return Some(said(Finding::stop(&ELEMENT_KIND)).with("fitted", words(fitted, ", ")));
    }
    (!is_a_test_gas(hazard)).then(|| said(Finding::caution(&ELEMENT_NOT_TESTED)))
}

/// The kinds of element that hold a substance as gas or vapour, the most fitting first; empty where
/// none is known to.
#[must_use]
pub fn element_kinds_for(substance: &Substance) -> Vec<ElementKind> {
    kinds(Some(substance.class()), &substance.cas().to_string())
}

/// The kinds of element that hold this gas, the most fitting first; none where none does.
pub(crate) fn kinds_for(hazard: &Hazard<'_>) -> Vec<ElementKind> {
    kinds(hazard.class(), hazard.cas.as_deref().unwrap_or_default())
}

fn kinds(class: Option<SubstanceClass>, cas: &str) -> Vec<ElementKind> {
    use ElementKind as Kind;
    match (class, cas) {
        (Some(SubstanceClass::OrganicVapour), BUTADIENE) => {
            vec![Kind::OrganicVapour, Kind::Butadiene]
        }
        (Some(SubstanceClass::OrganicVapour), VINYL_CHLORIDE) => vec![Kind::VinylChloride],
        (Some(SubstanceClass::OrganicVapour), _) => vec![Kind::OrganicVapour],
        (Some(SubstanceClass::AcidGas), CHLORINE) => vec![Kind::Chlorine, Kind::AcidGas],
        (Some(SubstanceClass::AcidGas), HYDROGEN_CHLORIDE) => {
            vec![Kind::HydrogenChloride, Kind::AcidGas]
        }
        (Some(SubstanceClass::AcidGas), SULFUR_DIOXIDE) => vec![Kind::SulfurDioxide, Kind::AcidGas],
        (Some(SubstanceClass::AcidGas), _) => vec![Kind::AcidGas],
        (Some(SubstanceClass::AmmoniaAmine), AMMONIA) => vec![Kind::Ammonia],
        (Some(SubstanceClass::AmmoniaAmine), METHYLAMINE) => vec![Kind::Methylamine],
        (Some(SubstanceClass::AmmoniaAmine), _) => vec![Kind::Methylamine, Kind::Ammonia],
        (Some(SubstanceClass::Formaldehyde), _) => vec![Kind::Formaldehyde],
        (Some(SubstanceClass::MercuryVapour), _) => vec![Kind::MercuryVapour],
        (Some(SubstanceClass::EthyleneOxide), _) => vec![Kind::EthyleneOxide],
        (Some(SubstanceClass::CarbonMonoxide), _) => vec![Kind::CarbonMonoxide],
        // Particles have no gas element, and a class not named here has none that is known.
        _ => Vec::new(),
    }
}

const BUTADIENE: &str = "106-99-0";
const VINYL_CHLORIDE: &str = "75-01-4";
const CHLORINE: &str = "7782-50-5";
const HYDROGEN_CHLORIDE: &str = "7647-01-0";
const SULFUR_DIOXIDE: &str = "7446-09-5";
const AMMONIA: &str = "7664-41-7";
const METHYLAMINE: &str = "74-89-5";

/// Acid gases and amines that are not themselves test gases are held by an element whose test says
/// nothing of them.
fn is_a_test_gas(hazard: &Hazard<'_>) -> bool {
    let cas = hazard.cas.as_deref().unwrap_or_default();
    match hazard.class() {
        Some(SubstanceClass::AcidGas) => {
            [CHLORINE, HYDROGEN_CHLORIDE, SULFUR_DIOXIDE].contains(&cas)
        }
        Some(SubstanceClass::AmmoniaAmine) => [AMMONIA, METHYLAMINE].contains(&cas),
        _ => true,
    }
}

fn words(kinds: &[ElementKind], between: &str) -> String {
    if kinds.is_empty() {
        return String::from("none for gas or vapour");
    }
    kinds.iter().map(ToString::to_string).collect::<Vec<_>>().join(between)
}
