//! What cuts a change schedule short, whatever the service life.

use quantity::{Celsius, Minutes};
use serde::Serialize;
use substance::Substance;

use crate::place::Place;
use crate::selection::{Case, Hazard, hazards};
use crate::substance_rules::{Change, Indicator, SubstanceRule, Trigger};
use crate::{Authority, Device, Elements, FilterSeries, Finding, Rule, assigned};

/// # What it asks
/// Does the rule of a substance set the time of change?
/// # Why
/// Some rules change elements by the clock or the shift, whatever the service life.
/// # Citation
/// The paragraph of the row, such as 29 CFR 1910.1051(h)(3)(i) Table 1.
/// # Example that passes
/// 1,3-Butadiene at 4 ppm: change after 4 hours.
/// # Example that stops
/// None here: a cap shortens the schedule.
/// # Remedy
/// Change at the time of the rule or sooner.
/// # Limits
/// An approved indicator is followed instead only where the rule says so.
pub static BY_SUBSTANCE: Rule = Rule {
    id: "change.substance-rule",
    asks: "Does the rule of a substance set the time of change?",
    why: "Some rules change elements by the clock or the shift, whatever the service life.",
    citation: "29 CFR 1910 subpart Z",
    authority: Authority::Read,
    says: "{substance}: {when} ({row})",
    remedy: "change the elements then, or sooner if the schedule says so",
};

/// # What it asks
/// Does a vapour boil so low that it wanders through the bed while the unit rests?
/// # Why
/// What was caught in one shift can come through at the start of the next.
/// # Citation
/// Common practice, no source.
/// # Example that passes
/// Toluene, boiling at 111 degC.
/// # Example that stops
/// None here: a cap shortens the schedule.
/// # Remedy
/// New elements at every shift; none is used again.
/// # Limits
/// Counts for gases held by reaction too: what of them is held unreacted wanders. A boiling point that
/// is not known counts as low.
pub static LOW_BOILING: Rule = Rule {
    id: "change.low-boiling",
    asks: "Does a vapour boil below 65 degC?",
    why: "What was caught in one shift can wander and come through in the next.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "{substance}: {boils}; elements are used for a single shift and not again",
    remedy: "throw the elements away at the end of the shift",
};

/// # What it asks
/// Is an R filter used where there is oil?
/// # Why
/// It resists oil for a limited time only.
/// # Citation
/// None read; from memory, unconfirmed.
/// # Example that passes
/// A P filter.
/// # Example that stops
/// None here: a cap shortens the schedule.
/// # Remedy
/// Change the filter after the shift.
/// # Limits
/// Oil that is not stated counts as there.
pub static R_FILTER: Rule = Rule {
    id: "change.r-filter",
    asks: "Is an R filter changed after a shift in oil?",
    why: "It resists oil for a limited time only.",
    citation: "common practice, no source (from memory, unconfirmed)",
    authority: Authority::Memory,
    says: "an R filter where there is oil, or may be, is for one shift at most (from memory, unconfirmed)",
    remedy: "change the filter at the end of the shift",
};

/// The rules of this file.
pub(crate) static RULES: [&Rule; 3] = [&BY_SUBSTANCE, &LOW_BOILING, &R_FILTER];

/// Below this boiling point a vapour counts as wandering. Common practice, no source was read.
fn wandering_below() -> Option<Celsius> {
    Celsius::from_celsius(65.0).ok()
}

/// One cap on a change schedule. The schedule keeps all caps at once.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cap {
    /// The longest the elements are worn.
    pub max_wear: Option<Minutes>,
    /// The elements end with the shift.
    pub end_of_shift: bool,
    /// The elements are not used again after a pause between shifts.
    pub no_reuse: bool,
    /// Why.
    pub finding: Finding,
}

/// Every cap on the elements of this unit in this place; none is left out because another is
/// shorter. Empty for a unit that brings its air.
#[must_use]
pub fn caps(place: &Place, device: &Device, elements: &Elements) -> Vec<Cap> {
    let hazards = hazards(place);
    let factor = assigned(device).ok().map(|assigned| assigned.factor);
    let case = Case { place, hazards: &hazards, device, elements: Some(elements), factor };
    let mut caps: Vec<Cap> = Vec::new();
    for hazard in case.gases() {
        let rules = hazard.rules.iter();
        caps.extend(rules.filter_map(|rule| of_rule(&case, hazard, rule)));
        caps.extend(of_boiling(hazard));
    }
    let r_filter = elements.filter.is_some_and(|filter| filter.series == FilterSeries::R);
    if r_filter && case.needs_filter() && place.oil_aerosol != Some(false) {
        caps.push(each_shift(Finding::note(&R_FILTER)));
    }
    caps
}

/// Whether the rule of a substance sets by the clock when these elements against it are changed at the
/// level in this place: then they may be used for so long though no life is computed.
#[must_use]
pub fn is_clocked(
    place: &Place,
    device: &Device,
    elements: &Elements,
    substance: &Substance,
) -> bool {
    let hazards = hazards(place);
    let factor = assigned(device).ok().map(|assigned| assigned.factor);
    let case = Case { place, hazards: &hazards, device, elements: Some(elements), factor };
    let own = |hazard: &&Hazard<'_>| hazard.substance.map(Substance::cas) == Some(substance.cas());
    hazards.iter().filter(own).any(|hazard| clocked(&case, hazard))
}

/// The same for one thing in the air of a case.
pub(crate) fn clocked(case: &Case<'_>, hazard: &Hazard<'_>) -> bool {
    hazard
        .rules
        .iter()
        .filter_map(|rule| of_rule(case, hazard, rule))
        .any(|cap| cap.max_wear.is_some())
}

fn of_rule(case: &Case<'_>, hazard: &Hazard<'_>, rule: &SubstanceRule) -> Option<Cap> {
    let asked = case.is_asked(rule, hazard)
        || (rule.terms.trigger == Trigger::Gas && case.is_one_of(&rule.terms.concerns));
    let change = rule.terms.change.filter(|_| asked)?;
    let followed = case.elements.is_some_and(|elements| elements.end_of_service_indicator);
    let indicator = rule.terms.indicator.filter(|_| followed);
    if change == Change::Schedule || indicator == Some(Indicator::Lifts) {
        return None;
    }
    let max_wear = rule.max_use.filter(|_| indicator.is_none());
    let shift = match change {
        Change::StartOfShift => "new elements at the start of each shift",
        _ => "new elements after each shift",
    };
    let when = max_wear.map_or_else(
        || String::from(shift),
        |wear| format!("{shift}, and change after {:.0} minutes of wear", wear.as_min()),
    );
    let finding = Finding::note(&BY_SUBSTANCE)
        .with("substance", &hazard.name)
        .with("when", when)
        .with("row", &rule.id)
        .citing(&rule.citation);
    Some(Cap { max_wear, ..each_shift(finding) })
}

fn of_boiling(hazard: &Hazard<'_>) -> Option<Cap> {
    let boils = match hazard.substance.and_then(boiling_point) {
        Some(point) if wandering_below().is_some_and(|edge| edge <= point) => return None,
        Some(point) => format!("boils at {:.0} degC", point.as_celsius()),
        None => String::from("its boiling point is not known and counts as low"),
    };
    let finding = Finding::note(&LOW_BOILING).with("substance", &hazard.name).with("boils", boils);
    Some(each_shift(finding))
}

fn boiling_point(substance: &Substance) -> Option<Celsius> {
    substance.boiling_point_celsius().and_then(|known| Celsius::from_celsius(known.value).ok())
}

fn each_shift(finding: Finding) -> Cap {
    Cap { max_wear: None, end_of_shift: true, no_reuse: true, finding }
}
