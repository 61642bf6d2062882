//! What the tests of this crate share: places and respirators in few words.
#![allow(dead_code, reason = "each test file uses its own part")]
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot read its own data must fail"
)]

use quantity::{Concentration, OxygenPercent};
use rulebook::{
    AirSource, AirborneForm, Assessment, Contaminant, Device, ElementKind, Elements, Facepiece,
    FilterClass, Finding, Level, Mounting, Place, Severity,
};
use substance::Catalogue;

/// No name of a template is left unfilled, and nothing is empty.
pub fn assert_worded(finding: &Finding) {
    for text in [finding.text(), finding.remedy()] {
        assert!(!text.trim().is_empty(), "{}", finding.rule.id);
        assert!(!text.contains(['{', '}']), "{}: {text}", finding.rule.id);
    }
    assert!(!finding.citation().is_empty(), "{}", finding.rule.id);
}

/// A contaminant as vapour, such as `("toluene", "60 ppm")`; `"?"` for a level not known.
pub fn vapour(name: &str, level: &str) -> Contaminant {
    airborne(name, level, AirborneForm::Vapour)
}

/// A contaminant as particles.
pub fn particle(name: &str, level: &str) -> Contaminant {
    airborne(name, level, AirborneForm::Particle)
}

pub fn airborne(name: &str, level: &str, form: AirborneForm) -> Contaminant {
    let substance = Catalogue::builtin().find(name).unwrap();
    let level = if level == "?" { Level::Unknown } else { Level::Known(level.parse().unwrap()) };
    Contaminant { substance, level, form, site_limit: None }
}

/// A place that is good in every other respect: 20.9 % oxygen, no oil.
pub fn place(contaminants: Vec<Contaminant>) -> Place {
    Place {
        oxygen: Some(oxygen(20.9)),
        oil_aerosol: Some(false),
        irritates_eyes: Some(false),
        ..Place::with(contaminants).unwrap()
    }
}

pub fn oxygen(percent: f64) -> OxygenPercent {
    OxygenPercent::from_percent(percent).unwrap()
}

pub fn concentration(text: &str) -> Concentration {
    text.parse().unwrap()
}

pub fn device(air_source: AirSource, facepiece: Facepiece) -> Device {
    Device {
        air_source,
        facepiece,
        filtering_facepiece: false,
        escape_only: false,
        auxiliary_self_contained: false,
        maker_shows_factor_1000: false,
        rated_minutes: air_source.is_self_contained().then_some(30),
    }
}

pub fn half_mask() -> Device {
    device(AirSource::AirPurifying, Facepiece::HalfMask)
}

pub fn full_facepiece() -> Device {
    device(AirSource::AirPurifying, Facepiece::FullFacepiece)
}

pub fn filtering_facepiece() -> Device {
    Device { filtering_facepiece: true, ..half_mask() }
}

pub fn powered(facepiece: Facepiece) -> Device {
    device(AirSource::PoweredAirPurifying, facepiece)
}

/// Self-contained, pressure demand, full facepiece, 30 minutes.
pub fn self_contained() -> Device {
    device(AirSource::SelfContainedPressureDemand, Facepiece::FullFacepiece)
}

/// Airline, pressure demand, full facepiece, with an auxiliary supply.
pub fn airline_auxiliary() -> Device {
    Device {
        auxiliary_self_contained: true,
        ..device(AirSource::SuppliedAirPressureDemand, Facepiece::FullFacepiece)
    }
}

pub fn elements(mounting: Mounting, against: &[ElementKind], filter: Option<&str>) -> Elements {
    Elements {
        against: against.to_vec(),
        filter: filter.map(filter_class),
        mounting,
        end_of_service_indicator: false,
    }
}

pub fn cartridges(against: &[ElementKind]) -> Elements {
    elements(Mounting::Cartridge, against, None)
}

pub fn filters(class: &str) -> Elements {
    elements(Mounting::Cartridge, &[], Some(class))
}

pub fn filter_class(text: &str) -> FilterClass {
    text.parse().unwrap()
}

/// Ids of the rules that stop.
pub fn stops(assessment: &Assessment) -> Vec<&'static str> {
    assessment.findings.iter().for_each(assert_worded);
    let stops = assessment.findings.iter().filter(|f| f.severity == Severity::Stop);
    stops.map(|finding| finding.rule.id).collect()
}

/// Whether a finding of this rule and severity is there.
pub fn found(assessment: &Assessment, id: &str, severity: Severity) -> bool {
    assessment.findings.iter().any(|f| f.rule.id == id && f.severity == severity)
}

/// The findings of a row of the substance rules.
pub fn row<'a>(assessment: &'a Assessment, id: &str) -> Vec<&'a Finding> {
    let of_row = |finding: &&Finding| finding.values.iter().any(|(n, v)| *n == "row" && v == id);
    assessment.findings.iter().filter(of_row).collect()
}
