//! The march with axial dispersion, against closed forms, the march without and itself.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

mod march_support;

use std::f64::consts::PI;
use std::ops::{Add, Div, Mul, Sub};

use march_support::{COLUMN, FRACTIONS, TOLUENE_500, VELOCITY, acetone, of_kind, on, toluene};
use sorbent::march::{
    Column, Component, Effluent, Equilibrium, Moisture, Segment, SegmentKind, Settings, Uptake,
    run, run_dispersed,
};
use sorbent::{Sharing, TYPICAL_WATER};

/// Load over level of the straight isotherm, m³/kg.
const HENRY: f64 = 159.403_554_676_509;

fn linear(per_s: f64) -> Component {
    Component {
        name: "gas".to_owned(),
        equilibrium: Equilibrium::Linear { henry_m3_kg: HENRY },
        uptake: Uptake::DrivingForce { per_s },
        diffusivity_m2_s: 8e-6,
    }
}

/// Time, s, at which the bed of the straight isotherm would be full if nothing passed before.
fn middle() -> f64 {
    COLUMN.bulk_density_kg_m3 * COLUMN.depth_m * HENRY / VELOCITY
}

/// Dispersion, m²/s, with which the bed has a Péclet number.
fn dispersion(peclet: f64) -> f64 {
    VELOCITY * COLUMN.depth_m / (COLUMN.void_fraction * peclet)
}

/// A bed with the straight isotherm fed for so many times its middle.
fn fed(per_s: f64, middles: f64, peclet: f64, fineness: f64) -> Effluent {
    let segments = [on(middles * middle(), vec![TOLUENE_500])];
    let settings = Settings { fineness, estimate: false, ..Settings::USUAL };
    run_dispersed(&COLUMN, &[linear(per_s)], &segments, dispersion(peclet), &settings).unwrap()
}

/// Times over the middle, without that of the gas, and levels over the inlet at the outlet.
fn curve(effluent: &Effluent) -> Vec<(f64, f64)> {
    let lag = COLUMN.void_fraction * COLUMN.depth_m / VELOCITY;
    let levels = effluent.clock_s().iter().zip(effluent.outlet_mol_m3(0));
    levels.map(|(t, c)| ((t - lag) / middle(), c / TOLUENE_500)).collect()
}

/// Greatest distance of a curve from a closed form.
fn distance(effluent: &Effluent, exact: impl Fn(f64) -> f64) -> f64 {
    let curve = curve(effluent);
    let some = curve.iter().filter(|(t, _)| *t > 0.05).step_by(1 + curve.len() / 200);
    some.map(|(t, y)| (y - exact(*t)).abs()).fold(0.0, f64::max)
}

/// What passes the depth of Péclet number `p` at time `t` over the middle, balance immediate, no end.
///
/// Source: Lapidus and Amundson 1952, J. Phys. Chem. 56:984; Ogata and Banks 1961, USGS Prof. Paper 411-A
/// (both from memory). Theirs holds the level at the inlet; the flux past a depth where the flux is given
/// follows the same form (Kreft and Zuber 1978, Chem. Eng. Sci. 33:1471, from memory).
fn without_end(p: f64, t: f64) -> f64 {
    let root = 2.0 * (t / p).sqrt();
    let second = libm::erfc((1.0 + t) / root);
    let second = if second > 0.0 { (p + second.ln()).exp() } else { 0.0 };
    0.5 * (libm::erfc((1.0 - t) / root) + second)
}

#[derive(Debug, Clone, Copy)]
struct Complex(f64, f64);

impl Complex {
    fn exp(self) -> Self {
        Self(self.0.exp() * self.1.cos(), self.0.exp() * self.1.sin())
    }

    fn root(self) -> Self {
        let size = self.0.hypot(self.1);
        Self((0.5 * (size + self.0)).sqrt(), (0.5 * (size - self.0)).sqrt().copysign(self.1))
    }

    fn times(self, by: f64) -> Self {
        Self(by * self.0, by * self.1)
    }
}

impl Add for Complex {
    type Output = Self;
    fn add(self, b: Self) -> Self {
        Self(self.0 + b.0, self.1 + b.1)
    }
}

impl Sub for Complex {
    type Output = Self;
    fn sub(self, b: Self) -> Self {
        Self(self.0 - b.0, self.1 - b.1)
    }
}

impl Mul for Complex {
    type Output = Self;
    fn mul(self, b: Self) -> Self {
        Self(self.0 * b.0 - self.1 * b.1, self.0 * b.1 + self.1 * b.0)
    }
}

impl Div for Complex {
    type Output = Self;
    fn div(self, b: Self) -> Self {
        let square = b.0 * b.0 + b.1 * b.1;
        (self * Self(b.0, -b.1)).times(1.0 / square)
    }
}

const ONE: Complex = Complex(1.0, 0.0);

/// The function of time whose transform is `transform(s)/s`.
///
/// Source: Fourier series with Euler's sum, Abate and Whitt 1995, ORSA J. Comput. 7:36 (from memory).
fn response(transform: impl Fn(Complex) -> Complex, t: f64) -> f64 {
    const A: f64 = 18.4;
    const BINOMIAL: [f64; 12] =
        [1.0, 11.0, 55.0, 165.0, 330.0, 462.0, 462.0, 330.0, 165.0, 55.0, 11.0, 1.0];
    let term = |k: u32| {
        let s = Complex(A / (2.0 * t), PI * f64::from(k) / t);
        let sign = if k.is_multiple_of(2) { 1.0 } else { -1.0 };
        sign * (0.5 * A).exp() / t * (transform(s) / s).0
    };
    let mut sum = 0.5 * term(0) + (1..=38).map(term).sum::<f64>();
    let mut whole = 0.0;
    for (k, weight) in (39..).zip(BINOMIAL) {
        whole += weight / 2048.0 * sum;
        sum += term(k);
    }
    whole
}

/// What leaves at time `t` over the middle a bed of Péclet number `p` and `units` transfer units, with the
/// balance and the ends of the march; or, not `closed`, what passes that depth of a bed without end.
///
/// Source: the transform of the balance itself, as in Lapidus and Amundson 1952 for a finite rate, with
/// Danckwerts's ends as in van der Laan 1958, Chem. Eng. Sci. 7:187 (both from memory; derived again).
fn exact(p: f64, units: f64, closed: bool, t: f64) -> f64 {
    let transform = |s: Complex| {
        let taken = s.times(units) / (s + Complex(units, 0.0));
        let q = (ONE + taken.times(4.0 / p)).root();
        let through = ((ONE - q).times(0.5 * p)).exp();
        if !closed {
            return through;
        }
        let (sum, difference) = (ONE + q, ONE - q);
        let back = difference * difference * (q.times(-p)).exp();
        q.times(4.0) * through / (sum * sum - back)
    };
    response(transform, t)
}

// Identity: the transform turned back is the closed form in real time.
#[test]
fn the_exact_answers_agree_with_each_other() {
    for peclet in [20.0, 100.0] {
        for t in [0.5, 0.9, 1.0, 1.3, 2.0] {
            let [a, b] = [exact(peclet, 1e9, false, t), without_end(peclet, t)];
            assert!((a - b).abs() < 1e-6, "{peclet} {t}: {a} {b}");
        }
    }
}

#[test]
fn a_straight_isotherm_is_the_closed_form() {
    for (peclet, per_s) in [(1.0, 1e-3), (10.0, 3.564e-4), (40.0, 2e-3), (200.0, 1e-3)] {
        let units = per_s * middle();
        let worst = distance(&fed(per_s, 4.0, peclet, 1.0), |t| exact(peclet, units, true, t));
        assert!(worst < 3e-4, "{peclet} {per_s}: {worst}");
    }
}

// Where balance is immediate the step in time is of first order, and it shows.
#[test]
fn immediate_balance_is_the_closed_form_of_ogata_and_banks() {
    let far = |fineness| distance(&fed(1e3, 2.0, 60.0, fineness), |t| without_end(60.0, t));
    let worst = far(2.0);
    assert!(worst < 2e-3, "{worst}");
}

#[test]
fn the_order_of_convergence_is_two() {
    for peclet in [4.0, 40.0] {
        let units = 1e-3 * middle();
        let errors = [0.5, 1.0, 2.0].map(|fineness| {
            distance(&fed(1e-3, 3.0, peclet, fineness), |t| exact(peclet, units, true, t))
        });
        let order = 0.5 * (errors[0] / errors[2]).log2();
        assert!(1.6 < order && order < 2.6, "{peclet}: {errors:?}");
    }
}

// Balance: the area above the curve is what the bed holds in the end.
#[test]
fn the_area_above_the_curve_is_the_middle() {
    for peclet in [0.1, 5.0, 60.0] {
        let balance = fed(1e-3, 60.0, peclet, 0.5).balance(0);
        let mean = balance.held / (VELOCITY * TOLUENE_500);
        assert!((mean / middle() - 1.0).abs() < 1e-6, "{peclet}: {balance:?}");
        assert!(balance.relative_error.abs() < 1e-11, "{peclet}: {balance:?}");
    }
}

fn hexane() -> Component {
    Component {
        equilibrium: Equilibrium::Dubinin {
            full_mol_kg: 3.435_081,
            b: 0.123_866_29,
            saturation_mol_m3: 7.157_743_7,
        },
        uptake: Uptake::DrivingForce { per_s: 5.773_760_7e-4 },
        ..toluene()
    }
}

fn water(stored_humidity: f64) -> Component {
    Component {
        name: "water".to_owned(),
        equilibrium: Equilibrium::Water(Moisture {
            isotherm: TYPICAL_WATER,
            micropore_volume: 0.45,
            saturation_mol_m3: 1.08,
            stored_humidity,
        }),
        uptake: Uptake::DrivingForce { per_s: 1e-3 },
        diffusivity_m2_s: 2.5e-5,
    }
}

/// A day: work, clean air, work, a night in the cupboard, work, an hour on the bench, work.
fn day(levels: &[f64]) -> Vec<Segment> {
    let rest = |sealed: bool, hours: f64| of_kind(SegmentKind::Rest { sealed }, hours * 3_600.0);
    let half = levels.iter().map(|level| 0.5 * level).collect();
    let clean = of_kind(SegmentKind::CleanAir, 1_800.0);
    vec![
        on(3_600.0, levels.to_vec()),
        clean,
        on(3_600.0, half),
        rest(true, 16.0),
        on(3_600.0, levels.to_vec()),
        rest(false, 1.0),
        on(36_000.0, levels.to_vec()),
    ]
}

fn levels(components: &[Component]) -> Vec<f64> {
    let level = |c: &Component| if c.name == "water" { 0.7 } else { 0.5 * TOLUENE_500 };
    components.iter().map(level).collect()
}

// Limit, over a day of work, clean air and rests: another way of solving the same cells (the march without
// has as many at a fineness of 1.5), so that with hardly any dispersion each time is that of the march
// without.
#[test]
fn hardly_any_dispersion_is_the_march_without() {
    let cases: [Vec<Component>; 5] = [
        vec![toluene()],
        vec![acetone(), toluene()],
        vec![acetone(), toluene(), hexane()],
        vec![toluene(), water(0.3)],
        vec![acetone(), linear(1e-3), water(0.5), toluene()],
    ];
    for (case, components) in cases.iter().enumerate() {
        let sharing = if case % 2 == 0 { Sharing::ByNumber } else { Sharing::ByVolume };
        let settings = Settings { sharing, ..Settings::USUAL };
        let levels = levels(components);
        let alike = Settings { fineness: 1.5, ..settings };
        let plug = run(&COLUMN, components, &day(&levels), &alike).unwrap();
        let spread = run_dispersed(&COLUMN, components, &day(&levels), 1e-9, &settings).unwrap();
        let mut compared = 0;
        for (index, level) in levels.iter().enumerate() {
            assert!(spread.balance(index).relative_error.abs() < 1e-12);
            for fraction in FRACTIONS {
                let [a, b] = [&plug, &spread].map(|e| e.arrival(index, fraction * level));
                let (Some(a), Some(b)) = (a, b) else { continue };
                let apart = (a.clock_s - b.clock_s).abs();
                let told = a.error_s.unwrap() + b.error_s.unwrap();
                assert!(apart <= 2.0 * told, "{case} {index} {fraction}: {a:?} {b:?}");
                assert!(apart <= 1e-3 * a.in_use_s, "{case} {index} {fraction}: {a:?} {b:?}");
                compared += 1;
            }
        }
        assert!(compared >= 3 * components.len() - 3, "{case}: {compared}");
    }
}

// More dispersion, a longer foot: the first breakthrough comes no later, of each of several vapours.
#[test]
fn dispersion_brings_the_first_breakthrough_forward() {
    let components = [acetone(), toluene(), water(0.3)];
    let levels = levels(&components);
    let mut last = [f64::INFINITY; 2];
    for dispersion in [1e-9, 2e-5, 1.5e-4, 1e-3] {
        let segments = [on(40_000.0, levels.clone())];
        let effluent =
            run_dispersed(&COLUMN, &components, &segments, dispersion, &Settings::USUAL).unwrap();
        for (index, last) in last.iter_mut().enumerate() {
            let arrival = effluent.arrival(index, 0.01 * levels[index]).unwrap();
            assert!(arrival.clock_s < *last + arrival.error_s.unwrap(), "{index} {dispersion}");
            *last = arrival.clock_s;
            assert!(effluent.balance(index).relative_error.abs() < 1e-11);
        }
    }
}

#[test]
fn component_order_and_split_segments_change_nothing() {
    let march = |components: &[Component], segments: &[Segment]| {
        run_dispersed(&COLUMN, components, segments, 1.5e-4, &Settings::USUAL).unwrap()
    };
    let components = [acetone(), water(0.4), toluene()];
    let turned = [toluene(), acetone(), water(0.4)];
    let there = march(&components, &day(&levels(&components)));
    let back = march(&turned, &day(&levels(&turned)));
    for (a, b) in [(0, 1), (1, 2), (2, 0)] {
        for (x, y) in there.outlet_mol_m3(a).iter().zip(back.outlet_mol_m3(b)) {
            assert!((x - y).abs() <= 1e-7 * TOLUENE_500, "{a} {x} {y}");
        }
    }
    let whole = march(&components, &[on(28_800.0, levels(&components))]);
    let parts = [on(7_000.0, levels(&components)), on(21_800.0, levels(&components))];
    assert_eq!(whole, march(&components, &parts));
}

// The estimate holds: against the same march on a grid four times as fine.
#[test]
fn errors_told_hold() {
    let finer = Settings { fineness: 4.0, estimate: false, ..Settings::USUAL };
    let components = [acetone(), toluene()];
    let levels = levels(&components);
    for dispersion in [2e-5, 3e-4] {
        let segments = [on(40_000.0, levels.clone())];
        let [told, fine] = [Settings::USUAL, finer].map(|settings| {
            run_dispersed(&COLUMN, &components, &segments, dispersion, &settings).unwrap()
        });
        for (index, level) in levels.iter().enumerate() {
            for fraction in FRACTIONS {
                let [told, fine] =
                    [&told, &fine].map(|e| e.arrival(index, fraction * level).unwrap());
                let (error, told) = ((told.clock_s - fine.clock_s).abs(), told.error_s.unwrap());
                assert!(error <= 5.0 * told, "{dispersion} {index} {fraction}: {error} {told}");
            }
        }
    }
}

#[test]
fn what_is_no_dispersion_is_refused_by_name() {
    let refused = |column: Column, dispersion: f64| {
        let segments = [on(100.0, vec![TOLUENE_500])];
        let run = run_dispersed(&column, &[toluene()], &segments, dispersion, &Settings::USUAL);
        run.unwrap_err().to_string()
    };
    for bad in [f64::NAN, -1.0, 0.0, 2.0, f64::INFINITY] {
        assert!(refused(COLUMN, bad).contains("axial dispersion"));
    }
    // A bed so shallow that it is one stirred vessel.
    let shallow = Column { depth_m: 1e-5, ..COLUMN };
    assert!(refused(shallow, 0.1).contains("axial dispersion"));
}
