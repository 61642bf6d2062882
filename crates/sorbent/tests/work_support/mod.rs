//! A usual cartridge and vapours for the tests of bounds and of patterns of work.
#![allow(dead_code, reason = "each test file uses its part")]

use proptest::test_runner::Config;
use quantity::{Celsius, Centimetres, Cm3PerGram, Grams, GramsPerCm3, SquareCm};
use sorbent::march::SegmentKind;
use sorbent::{
    Air, Bed, BedParts, Method, Pattern, PatternVapour, SteadyCase, Stream, Stretch, Vapour,
};
use substance::Catalogue;

/// So many random cases, or as many as `PROPTEST_CASES` asks for.
pub fn config(cases: u32) -> Config {
    let asked = Config::default();
    let cases = if std::env::var_os("PROPTEST_CASES").is_some() { asked.cases } else { cases };
    Config { cases, failure_persistence: None, ..asked }
}

/// Dimensions usual for a respirator cartridge.
pub fn bed() -> Bed {
    Bed::new(&BedParts {
        elements: 2,
        sorbent_mass: Grams::from_g(26.0).unwrap(),
        bed_area: SquareCm::from_cm2(38.5).unwrap(),
        bulk_density: GramsPerCm3::from_g_per_cm3(0.44).unwrap(),
        granule: Centimetres::from_cm(0.11).unwrap(),
        micropore_volume: Cm3PerGram::from_cm3_per_g(0.454).unwrap(),
        reference_energy: None,
    })
}

pub fn air(humidity: f64) -> Air {
    Air { flow_l_per_min: 53.3, temperature_k: 295.15, pressure_kpa: 101.325, humidity }
}

pub fn vapour(name: &str) -> Vapour {
    let temperature = Celsius::from_celsius(22.0).unwrap();
    Vapour::of(Catalogue::builtin().find(name).unwrap(), temperature).unwrap().0
}

/// Vapours at `(name, inlet ppm, end ppm)` in steady air.
pub fn steady(vapours: &[(&str, f64, f64)], humidity: f64) -> SteadyCase {
    let stream = |(name, inlet_ppm, end_ppm): &(&str, f64, f64)| Stream {
        vapour: vapour(name),
        inlet_ppm: *inlet_ppm,
        end_ppm: *end_ppm,
    };
    SteadyCase {
        bed: bed(),
        air: air(humidity),
        streams: vapours.iter().map(stream).collect(),
        method: Method::ReactionKinetic,
        rate_factor: 1.0,
        fastest_velocity: None,
    }
}

/// The same vapours under stretches of `(minutes, kind, part of the stated levels)`.
pub fn pattern(
    vapours: &[(&str, f64, f64)],
    humidity: f64,
    stretches: &[(f64, SegmentKind, f64)],
) -> Pattern {
    let stretch = |(minutes, kind, part): &(f64, SegmentKind, f64)| Stretch {
        minutes: *minutes,
        kind: *kind,
        air: air(humidity),
        levels_ppm: vapours.iter().map(|(_, inlet, _)| inlet * part).collect(),
    };
    Pattern {
        bed: bed(),
        vapours: vapours
            .iter()
            .map(|(name, _, end_ppm)| PatternVapour {
                vapour: vapour(name),
                elsewhere: Vec::new(),
                end_ppm: *end_ppm,
                whole_ppm: Some(*end_ppm),
            })
            .collect(),
        reference_k: 295.15,
        stored_humidity: humidity,
        stretches: stretches.iter().map(stretch).collect(),
        rate_factor: 1.0,
        capacity_factor: 1.0,
        fastest_velocity: None,
    }
}
