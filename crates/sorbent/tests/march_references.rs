//! The march against the references of `data/checks/bed`: closed forms and grid-converged curves made
//! with general-purpose integrators (see the README there for how far each is to be trusted).
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

mod march_support;

use march_support::{
    COLUMN, FRACTIONS, TOLUENE_500, acetone, at, curve, march, of_kind, on, shared, toluene,
};
use sorbent::march::{
    Component, Equilibrium, Path, Segment, SegmentKind, Settings, Uptake, run, run_dispersed,
};

/// Times of `data/checks/bed/README.md` at 1 %, 10 % and 50 % of each component's inlet, the
/// worst error allowed, and how much of it the reference itself may carry.
struct Reference {
    case: &'static str,
    component: usize,
    times_s: [f64; 3],
    worst: f64,
    own: f64,
}

const REFERENCES: [Reference; 5] = [
    // CVODE agrees with these to 1e-4, 2e-5 and 1e-5.
    Reference {
        case: "P1",
        component: 0,
        times_s: [9687.339, 10146.069, 12260.811],
        worst: 1e-3,
        own: 2e-5,
    },
    Reference {
        case: "P2",
        component: 0,
        times_s: [222_547.97, 239_298.74, 304_734.54],
        worst: 1e-3,
        own: 2e-5,
    },
    Reference {
        case: "P3",
        component: 0,
        times_s: [11_431.30, 11_898.22, 14_047.51],
        worst: 1e-3,
        own: 2e-5,
    },
    // Four digits; LSODA agrees to 0.3 to 0.8 %.
    Reference {
        case: "P6",
        component: 0,
        times_s: [3149.8, 3843.3, 5040.1],
        worst: 3e-3,
        own: 3e-4,
    },
    Reference {
        case: "P6",
        component: 1,
        times_s: [20_238.3, 20_758.1, 22_994.2],
        worst: 1e-3,
        own: 3e-4,
    },
];

#[test]
fn shared_times_are_met_and_their_errors_told() {
    for reference in &REFERENCES {
        let (components, segments, inlets) = shared(reference.case);
        let effluent = march(&components, &segments);
        for (fraction, expected) in FRACTIONS.iter().zip(reference.times_s) {
            let level = fraction * inlets[reference.component];
            let arrival = effluent.arrival(reference.component, level).unwrap();
            let error = (arrival.clock_s - expected).abs();
            let told = arrival.error_s.unwrap();
            let name = format!("{} {fraction}: {} +- {told}", reference.case, arrival.clock_s);
            assert!(error < reference.worst * expected, "{name}, not {expected}");
            // Within five times either way, but for what the reference may be off by itself.
            let unsure = reference.own * expected;
            assert!(error <= 5.0 * told + unsure, "too small: {name}, error {error}");
            assert!(told <= 5.0 * (error + unsure), "too great: {name}, error {error}");
        }
        for component in 0..components.len() {
            assert!(effluent.balance(component).relative_error.abs() < 1e-10);
        }
    }
}

// The estimate holds beyond the shared cases: levels, several vapours and breaks, against the same march
// on a grid four times as fine, whose own error is a sixteenth.
#[test]
fn errors_told_hold_for_vapours_alone_and_together() {
    let hexane = Component {
        equilibrium: Equilibrium::Dubinin {
            full_mol_kg: 3.435_081,
            b: 0.123_866_29,
            saturation_mol_m3: 7.157_743_7,
        },
        uptake: Uptake::DrivingForce { per_s: 5.773_760_7e-4 },
        ..toluene()
    };
    let all = [toluene(), acetone(), hexane];
    let finer = Settings { fineness: 4.0, estimate: false, ..Settings::USUAL };
    let mut compared = 0;
    for shares in [
        [0.2, 0.0, 0.0],
        [0.0, 1.0, 0.0],
        [0.5, 0.5, 0.0],
        [0.02, 1.0, 0.0],
        [1.0, 0.0, 0.05],
        [0.3, 0.3, 0.3],
        [0.05, 1.0, 0.2],
    ] {
        let present: Vec<usize> = (0..3).filter(|index| shares[*index] > 0.0).collect();
        let components: Vec<Component> = present.iter().map(|index| all[*index].clone()).collect();
        let inlets: Vec<f64> = present.iter().map(|index| shares[*index] * TOLUENE_500).collect();
        let rest = of_kind(SegmentKind::Rest { sealed: true }, 3_600.0);
        for segments in [
            vec![on(60_000.0, inlets.clone())],
            vec![on(3_600.0, inlets.clone()), rest, on(60_000.0, inlets.clone())],
        ] {
            let (told, fine) = (
                march(&components, &segments),
                run(&COLUMN, &components, &segments, &finer).unwrap(),
            );
            for (component, inlet) in inlets.iter().enumerate() {
                for fraction in FRACTIONS {
                    let [told, fine] =
                        [&told, &fine].map(|e| e.arrival(component, fraction * inlet));
                    let (Some(told), Some(fine)) = (told, fine) else { continue };
                    let (error, estimate) =
                        ((told.clock_s - fine.clock_s).abs(), told.error_s.unwrap());
                    assert!(
                        error <= 5.0 * estimate,
                        "{shares:?} {component} {fraction}: {error} {estimate}"
                    );
                    compared += 1;
                }
            }
        }
    }
    assert!(compared > 60, "{compared}");
}

// README: acetone rises to 1.362 of its inlet, pushed out by toluene (four digits).
#[test]
fn acetone_rolls_over_its_inlet() {
    let (components, segments, inlets) = shared("P6");
    let peak = march(&components, &segments).peak(0).unwrap();
    assert!((peak.level_mol_m3 / inlets[0] / 1.362 - 1.0).abs() < 4e-3, "{peak:?}");
}

// Narrow and wide vectors give the same digits; one cell at a time (for one vapour the bracketed search,
// another solver altogether) agrees to 1e-10 of the inlet.
#[test]
fn every_path_gives_the_same_answer() {
    for case in ["P1", "P3", "P6"] {
        let (components, segments, _) = shared(case);
        paths_agree(case, &components, &segments);
    }
    // Levels, pauses and nights, closed and open.
    let rest = |sealed: bool, hours: f64| of_kind(SegmentKind::Rest { sealed }, hours * 3_600.0);
    let air = |part: f64| on(7_200.0, vec![part * TOLUENE_500]);
    let clean = of_kind(SegmentKind::CleanAir, 1_800.0);
    let days =
        [air(0.2), rest(true, 0.5), air(1.0), rest(true, 16.0), clean, rest(false, 2.0), air(0.5)];
    paths_agree("days", &[toluene()], &days);
}

fn paths_agree(case: &str, components: &[Component], segments: &[Segment]) {
    let on = |path: Path| {
        let settings = Settings { path, ..Settings::SAMPLING };
        run(&COLUMN, components, segments, &settings).unwrap()
    };
    let widest = on(Path::Widest);
    for path in [Path::Portable, Path::OneByOne] {
        let other = on(path);
        for component in 0..components.len() {
            let levels = widest.outlet_mol_m3(component).iter();
            for (a, b) in levels.zip(other.outlet_mol_m3(component)) {
                let allowed = if path == Path::Portable { 0.0 } else { 1e-10 * TOLUENE_500 };
                assert!((a - b).abs() <= allowed, "{case} {path:?} {a} {b}");
            }
        }
    }
}

fn one(equilibrium: Equilibrium, uptake: Uptake) -> Component {
    Component { name: "gas".to_owned(), equilibrium, uptake, diffusivity_m2_s: 0.0 }
}

/// Greatest distance from a closed form over the whole curve, as a part of the inlet.
fn distance(component: Component, end_s: f64, exact: &str, fineness: f64) -> f64 {
    let exact = curve(exact);
    let settings = Settings { fineness, ..Settings::USUAL };
    let segments = [on(end_s, vec![TOLUENE_500])];
    let effluent = run(&COLUMN, &[component], &segments, &settings).unwrap();
    let levels = effluent.clock_s().iter().zip(effluent.outlet_mol_m3(0));
    levels
        .filter_map(|(t, c)| at(&exact, *t).map(|y| (c / TOLUENE_500 - y).abs()))
        .fold(0.0, f64::max)
}

fn linear() -> Component {
    one(
        Equilibrium::Linear { henry_m3_kg: 159.403_554_676_509 },
        Uptake::DrivingForce { per_s: 3.564_423_762_913_426e-4 },
    )
}

// Closed form of Anzelius (J function): linear isotherm with linear driving force.
#[test]
fn anzelius_is_recovered() {
    let worst = distance(linear(), 57_600.0, include_str!("../../../data/checks/bed/A1.csv"), 1.0);
    assert!(worst < 3e-4, "{worst}");
}

// Closed form of Thomas: Langmuir kinetics.
#[test]
fn thomas_is_recovered() {
    let thomas = one(
        Equilibrium::Langmuir {
            full_mol_kg: 3.658_355_520_850_306_2,
            affinity_m3_mol: 9.0 / TOLUENE_500,
        },
        Uptake::SecondOrder { m3_mol_s: 3.564_423_762_913_426e-4 / TOLUENE_500 },
    );
    let worst = distance(thomas, 28_800.0, include_str!("../../../data/checks/bed/A3.csv"), 1.0);
    assert!(worst < 1e-3, "{worst}");
}

// Observed, not assumed: halving cells and steps divides the distance from the closed form of
// Anzelius by about four.
#[test]
fn the_order_of_convergence_is_two() {
    let exact = include_str!("../../../data/checks/bed/A1.csv");
    let errors = [1.0, 2.0, 4.0].map(|fineness| distance(linear(), 57_600.0, exact, fineness));
    for pair in errors.windows(2) {
        let order = (pair[0] / pair[1]).log2();
        assert!(1.7 < order && order < 2.6, "{errors:?}");
    }
}

/// First time at which a curve reaches a fraction, by a straight line.
fn reaches(curve: &[(f64, f64)], fraction: f64) -> f64 {
    let next = curve.iter().position(|(_, y)| *y >= fraction).unwrap();
    let ((t0, y0), (t1, y1)) = (curve[next - 1], curve[next]);
    t0 + (t1 - t0) * (fraction - y0) / (y1 - y0)
}

// P1d: as P1 with axial dispersion; made by one method only. The whole curve and its three times.
#[test]
fn dispersion_is_met() {
    let exact = curve(include_str!("../../../data/checks/bed/P1d.csv"));
    let (components, segments, inlets) = shared("P1d");
    let effluent =
        run_dispersed(&COLUMN, &components, &segments, 1.5e-4, &Settings::USUAL).unwrap();
    for fraction in FRACTIONS {
        let arrival = effluent.arrival(0, fraction * inlets[0]).unwrap();
        let (expected, told) = (reaches(&exact, fraction), arrival.error_s.unwrap());
        println!("P1d {fraction}: {arrival:?}, reference {expected}");
        assert!((arrival.clock_s / expected - 1.0).abs() < 1e-3, "{arrival:?} {expected}");
        assert!((arrival.clock_s - expected).abs() < 5.0 * told + 2e-4 * expected, "{arrival:?}");
    }
    assert!(effluent.balance(0).relative_error.abs() < 1e-9, "{:?}", effluent.balance(0));
}

// Limit: hardly any dispersion is the march without.
#[test]
fn no_dispersion_is_the_usual_march() {
    let (components, segments, inlets) = shared("P1");
    let plug = march(&components, &segments);
    let spread = run_dispersed(&COLUMN, &components, &segments, 1e-9, &Settings::USUAL).unwrap();
    for fraction in FRACTIONS {
        let [a, b] = [&plug, &spread].map(|e| e.arrival(0, fraction * inlets[0]).unwrap());
        let told = a.error_s.unwrap() + 5.0 * b.error_s.unwrap();
        assert!((a.clock_s - b.clock_s).abs() < told, "{a:?} {b:?}");
    }
}
