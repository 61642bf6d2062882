//! A calibration recovers carbons that are known, and refuses what cannot be.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

mod work_support;

use sorbent::{
    CalibrationError, Measured, Start, Vapour, adsorbed_volume, affinity, calibrate, steady_life,
};
use work_support::{steady, vapour};

const START: Start = Start { micropore_volume: 0.45, reference_energy: 18_000.0 };

/// What the closed form gives for a carbon of these properties: the report of an invented test.
fn time(name: &str, ppm: f64, part: f64, carbon: (f64, f64, f64)) -> Measured {
    let mut case = steady(&[(name, ppm, ppm * part)], 0.3);
    let report = case.clone();
    case.bed.carbon.micropore_volume = carbon.0;
    case.bed.carbon.reference_energy = carbon.1;
    case.rate_factor = carbon.2;
    let minutes = steady_life(&case).unwrap()[0].time_min;
    Measured::Time { case: Box::new(report), minutes, deviation: Some(0.002) }
}

fn point(vapour: Vapour, pressure_kpa: f64, (volume, energy): (f64, f64)) -> Measured {
    let potential = 8.314_462_618 * 295.15 * (vapour.psat_kpa / pressure_kpa).ln();
    let held = adsorbed_volume(volume, affinity(vapour.polarisation) * energy, potential);
    let loading = held * vapour.density;
    let vapour = Box::new(vapour);
    Measured::Loading {
        vapour,
        temperature_k: 295.15,
        pressure_kpa,
        loading,
        deviation: Some(0.002),
    }
}

fn curve(carbon: (f64, f64, f64)) -> Vec<Measured> {
    let mut report: Vec<Measured> = [0.01, 0.05, 0.1, 0.3]
        .into_iter()
        .map(|part| time("toluene", 500.0, part, carbon))
        .collect();
    report.push(time("acetone", 500.0, 0.1, carbon));
    report.push(time("toluene", 100.0, 0.1, carbon));
    report
}

// Identity: the carbon that made the times comes back.
#[test]
fn times_give_back_the_carbon_that_made_them() {
    for carbon in [(0.52, 19_500.0, 0.8), (0.41, 16_500.0, 1.3), (0.45, 18_000.0, 1.0)] {
        let found = calibrate(&curve(carbon), START).unwrap();
        let got = (found.micropore_volume, found.reference_energy, found.rate_factor);
        assert!((got.0 / carbon.0 - 1.0).abs() < 0.02, "{got:?} {carbon:?}");
        assert!((got.1 / carbon.1 - 1.0).abs() < 0.02, "{got:?} {carbon:?}");
        assert!((got.2 / carbon.2 - 1.0).abs() < 0.03, "{got:?} {carbon:?}");
        assert!(found.misfit < 0.003 && found.beside.len() == 6, "{}", found.misfit);
        assert!(found.learned.iter().all(|learned| *learned > 0.5), "{:?}", found.learned);
    }
}

#[test]
fn isotherm_points_tell_volume_and_energy_and_nothing_of_the_rate() {
    let points = [1e-3, 0.01, 0.1, 1.0].map(|p| point(vapour("toluene"), p, (0.52, 17_000.0)));
    let found = calibrate(&points, START).unwrap();
    assert!((found.micropore_volume / 0.52 - 1.0).abs() < 0.01, "{found:?}");
    assert!((found.reference_energy / 17_000.0 - 1.0).abs() < 0.01, "{found:?}");
    assert!(found.learned[2] < 1e-6 && found.rate_factor == 1.0, "{found:?}");
}

// One time cannot tell volume from energy: it narrows them together and says so by correlation.
#[test]
fn one_time_leaves_volume_and_energy_against_each_other() {
    let found = calibrate(&[time("acetone", 300.0, 0.1, (0.5, 18_000.0, 1.0))], START).unwrap();
    let covariance = found.covariance;
    let correlation = covariance[0][1] / (covariance[0][0] * covariance[1][1]).sqrt();
    assert!(correlation < -0.3, "{correlation}");
    assert!(found.micropore_volume > 0.45, "{found:?}");
}

#[test]
fn poor_and_contradictory_reports_are_refused_with_the_reason() {
    assert_eq!(calibrate(&[], START).unwrap_err(), CalibrationError::Nothing);
    let carbon = (0.45, 18_000.0, 1.0);
    let with = |place: usize, by: f64| {
        let mut report = curve(carbon);
        if let Measured::Time { minutes, .. } = &mut report[place] {
            *minutes *= by;
        }
        calibrate(&report, START).unwrap_err()
    };
    assert!(matches!(with(0, 2.0), CalibrationError::Backwards { earlier: 1, .. }));
    assert!(matches!(with(5, 1.5), CalibrationError::Contradicts { .. }), "{}", with(5, 1.5));
    assert!(matches!(with(5, 0.0), CalibrationError::NotPositive { place: 6, .. }));
    let far = [time("toluene", 500.0, 0.1, (1.6, 18_000.0, 1.0))];
    let refused = calibrate(&far, START).unwrap_err();
    assert!(matches!(refused, CalibrationError::Unlikely { .. }), "{refused}");
    assert!(refused.to_string().contains("\n  "), "{refused}");
}

// Identity: a carbon that holds one vapour 6 % more and another 6 % less than their polarisations say is
// found from their isotherms; a vapour of which nothing was measured is held as its polarisation says.
#[test]
fn isotherms_of_two_vapours_tell_affinity_and_packing_of_each() {
    let points = |name: &str, (affinity, packing): (f64, f64)| {
        let vapour = vapour(name);
        let pressures = [1e-3, 0.01, 0.1, 1.0].into_iter();
        let pores = (0.45 * packing, 18_000.0 * affinity);
        pressures.map(move |p| point(vapour.clone(), p, pores))
    };
    let (acetone, toluene) = ((0.94, 1.03), (1.06, 0.97));
    let report: Vec<Measured> =
        points("acetone", acetone).chain(points("toluene", toluene)).collect();
    let found = calibrate(&report, START).unwrap();
    assert!(found.misfit < 0.003, "{}", found.misfit);
    assert!((found.reference_energy / 18_000.0 - 1.0).abs() < 0.01, "{found:?}");
    for (own, (affinity, packing)) in found.own.iter().zip([acetone, toluene]) {
        let off = [own.affinity / affinity - 1.0, own.packing / packing - 1.0];
        assert!(off.iter().all(|off| off.abs() < 0.01), "{own:?}");
    }
    let turned: Vec<Measured> = report.into_iter().rev().collect();
    let turned = calibrate(&turned, START).unwrap();
    for (a, b) in found.own.iter().zip(&turned.own) {
        let same = (a.affinity / b.affinity - 1.0).abs() < 1e-9;
        assert!(a.vapour == b.vapour && same, "order changes nothing: {a:?} {b:?}");
    }
    assert_eq!(calibrate(&curve((0.45, 18_000.0, 1.0)), START).unwrap().own, []);
}
