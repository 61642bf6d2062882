//! Which respirator for which air: every class judged, with all its reasons.
//!
//! One file per rule. Every rule is visited for every unit; none hides another; a rule that cannot
//! be evaluated is itself a finding that means stop.

mod air_unknown;
mod carbon_monoxide;
mod cartridge_maximum;
mod case;
mod change_needed;
mod danger_declared;
mod danger_level;
mod describe;
mod element_kind;
mod elements_not_stated;
mod escape_unit;
mod eyes;
mod filter_needed;
mod filter_oil;
mod filter_powered;
mod gas_and_particle;
mod handling;
mod level_unknown;
mod limit_known;
mod list;
mod maximum_use;
mod mixture;
mod needed_factor;
mod oxygen_deficient;
mod oxygen_enriched;
mod oxygen_not_stated;
mod poor_sorbent;
mod pressure;
mod rated_time;
mod smell;
mod substance_rule;

use quantity::Concentration;
use serde::Serialize;

pub use describe::describe;
pub use element_kind::element_kinds_for;
pub use list::list;

pub(crate) use case::{Case, Hazard, hazards};

use crate::limits::FoundLimit;
use crate::place::{Level, Place};
use crate::{AssignedFactor, Decision, Device, Elements, Finding, Rule, assigned, decide};

/// One unit judged for one place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Assessment {
    /// The unit in words: "half mask with organic vapour cartridges".
    pub title: String,
    /// The unit.
    pub device: Device,
    /// What it purifies the air with.
    pub elements: Option<Elements>,
    /// Whether it may be chosen for the place; no finding means stop.
    pub allowed: bool,
    /// Its protection factor, where the table gives one.
    pub assigned: Option<AssignedFactor>,
    /// What is needed for each thing in the air, in the order of the place: contaminants, then
    /// dusts.
    pub contaminants: Vec<Judged>,
    /// Every reason for and against, stops first.
    pub findings: Vec<Finding>,
}

/// One thing in the air, judged for one unit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Judged {
    /// Its name.
    pub name: String,
    /// Its CAS number, where it is a single chemical.
    pub cas: Option<String>,
    /// How much of it is there.
    pub level: Level,
    /// The limit that governs it.
    pub limit: Option<FoundLimit>,
    /// The lowest immediately dangerous level known.
    pub dangerous: Option<FoundLimit>,
    /// The protection factor needed; none where level or limit is not known.
    pub needed_factor: Option<f64>,
    /// The highest level this unit may be used in; none where it has no factor or there is no
    /// limit.
    pub max_use_concentration: Option<Concentration>,
}

type Check = fn(&Case<'_>) -> Vec<Finding>;

/// Every check of a selection, in the order of their weight for a reader.
const CHECKS: [Check; 27] = [
    air_unknown::check,
    level_unknown::check,
    pressure::check,
    oxygen_not_stated::check,
    oxygen_deficient::check,
    oxygen_enriched::check,
    danger_declared::check,
    danger_level::check,
    rated_time::check,
    escape_unit::check,
    limit_known::check,
    needed_factor::check,
    mixture::check,
    maximum_use::check,
    elements_not_stated::check,
    element_kind::check,
    carbon_monoxide::check,
    poor_sorbent::check,
    cartridge_maximum::check,
    filter_needed::check,
    filter_oil::check,
    filter_powered::check,
    gas_and_particle::check,
    handling::check,
    eyes::check,
    substance_rule::check,
    change_and_smell,
];

/// The rules of every check.
pub(crate) static RULES: [&Rule; 42] = [
    &air_unknown::AIR_UNKNOWN,
    &air_unknown::NOTHING_LISTED,
    &level_unknown::LEVEL_UNKNOWN,
    &pressure::PRESSURE,
    &oxygen_not_stated::OXYGEN_NOT_STATED,
    &oxygen_deficient::OXYGEN_DEFICIENT,
    &oxygen_deficient::OXYGEN_IN_BAND,
    &oxygen_enriched::OXYGEN_ENRICHED,
    &danger_declared::DANGER_DECLARED,
    &danger_declared::EMERGENCY_ENTRY,
    &danger_declared::INTERIOR_FIRE,
    &danger_level::DANGER_LEVEL,
    &danger_level::DANGER_LEVEL_UNKNOWN,
    &danger_level::DANGER_LEVEL_UNCONFIRMED,
    &rated_time::RATED_TIME,
    &escape_unit::ESCAPE_UNIT,
    &limit_known::LIMIT_NONE,
    &limit_known::LIMIT_NOT_COMPARABLE,
    &limit_known::LIMIT_UNCONFIRMED,
    &needed_factor::NEEDED_FACTOR,
    &mixture::MIXTURE,
    &maximum_use::MAXIMUM_USE,
    &elements_not_stated::ELEMENTS_NOT_STATED,
    &element_kind::ELEMENT_KIND,
    &element_kind::ELEMENT_NONE,
    &element_kind::ELEMENT_NOT_TESTED,
    &carbon_monoxide::CARBON_MONOXIDE,
    &poor_sorbent::POOR_SORBENT,
    &cartridge_maximum::CARTRIDGE_MAXIMUM,
    &filter_needed::FILTER_NEEDED,
    &filter_oil::FILTER_OIL,
    &filter_oil::FILTER_R_SHIFT,
    &filter_powered::FILTER_POWERED,
    &gas_and_particle::GAS_AND_PARTICLE,
    &gas_and_particle::FORM_DOUBTFUL,
    &gas_and_particle::PARTICLES_LIKELY,
    &handling::HANDLING_NOT_STATED,
    &eyes::EYES,
    &substance_rule::SUBSTANCE,
    &substance_rule::SUBSTANCE_UNCONFIRMED,
    &change_needed::CHANGE_NEEDED,
    &smell::SMELL,
];

fn change_and_smell(case: &Case<'_>) -> Vec<Finding> {
    let mut findings = change_needed::check(case);
    findings.extend(smell::check(case));
    findings
}

/// Whether the air of a place is immediately dangerous to life or health, or counts as such because it
/// cannot be told that it is not: nobody enters it without somebody who stands by outside.
///
/// Source: 29 CFR 1910.134(b), (d)(1)(iii) and (d)(2)(iii).
#[must_use]
pub fn counts_as_dangerous(place: &Place) -> bool {
    let hazards = hazards(place);
    let not_comparable = |hazard: &Hazard<'_>| {
        (hazard.limit.is_none() && hazard.air.has_limit())
            || (hazard.dangerous.is_none() && hazard.air.has_dangerous())
    };
    hazards.is_empty() || case::is_dangerous(place, &hazards) || hazards.iter().any(not_comparable)
}

/// Judges one unit for one place. Every rule is asked; the unit is allowed when none means stop.
#[must_use]
pub fn assess(place: &Place, device: &Device, elements: Option<&Elements>) -> Assessment {
    assess_among(place, &hazards(place), device, elements)
}

/// The same, with what is in the air already worked out.
fn assess_among(
    place: &Place,
    hazards: &[Hazard<'_>],
    device: &Device,
    elements: Option<&Elements>,
) -> Assessment {
    let (assigned, refused) = match assigned(device) {
        Ok(assigned) => (Some(assigned), None),
        // To leave the area no factor is asked; a description that contradicts itself still stops.
        Err(finding) => (None, Some(finding)),
    };
    let factor = assigned.as_ref().map(|assigned| assigned.factor);
    let case = Case { place, hazards, device, elements, factor };
    let leaving = |finding: &Finding| {
        case.for_escape() && finding.rule == &crate::assigned_protection::ESCAPE_ONLY
    };
    let mut findings: Vec<Finding> = refused.into_iter().filter(|f| !leaving(f)).collect();
    findings.extend(CHECKS.iter().flat_map(|check| check(&case)));
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    Assessment {
        title: describe(device, elements),
        device: device.clone(),
        elements: elements.cloned(),
        allowed: decide(&findings) == Decision::Allowed,
        assigned,
        contaminants: hazards.iter().map(|hazard| judged(&case, hazard)).collect(),
        findings,
    }
}

fn judged(case: &Case<'_>, hazard: &Hazard<'_>) -> Judged {
    Judged {
        name: hazard.name.clone(),
        cas: hazard.cas.clone(),
        level: hazard.level,
        limit: hazard.limit.clone(),
        dangerous: hazard.dangerous.clone(),
        needed_factor: hazard.needed(),
        max_use_concentration: maximum_use::maximum(case, hazard),
    }
}
