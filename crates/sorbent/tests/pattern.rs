//! A pattern of work against the closed form and against what cannot be otherwise.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

mod work_support;

use proptest::prelude::*;
use sorbent::march::{SegmentKind, Settings};
use sorbent::{Pattern, PatternError, Progress, Sampling, Spread, explore_pattern, steady_life};
use work_support::{config, pattern, steady};

const ON: SegmentKind = SegmentKind::On;
const SEALED: SegmentKind = SegmentKind::Rest { sealed: true };

fn ends(pattern: &Pattern) -> f64 {
    let run = pattern.run(&Settings::USUAL).unwrap();
    (0..pattern.vapours.len()).map(|i| run.ends_min(i)).fold(f64::INFINITY, f64::min)
}

// Limit: in steady air the march ends when the closed form does.
#[test]
fn steady_work_lasts_as_long_as_the_closed_form_says() {
    for name in ["toluene", "acetone", "n-hexane", "1-butanol", "styrene", "ethyl acetate"] {
        for (ppm, part) in [(50.0, 0.1), (200.0, 0.1), (500.0, 0.01), (1000.0, 0.1), (1000.0, 0.05)]
        {
            for humidity in [0.3, 0.85] {
                let vapours = [(name, ppm, ppm * part)];
                let closed = steady_life(&steady(&vapours, humidity)).unwrap()[0].time_min;
                let marched = ends(&pattern(&vapours, humidity, &[(20_000.0, ON, 1.0)]));
                println!("{name} {ppm} {part} {humidity}: {closed:.1} {marched:.1}");
                let off = (marched - closed).abs();
                assert!(off < 0.05 * closed + 0.5, "{name} {ppm} {part}: {closed} {marched}");
            }
        }
    }
}

#[test]
fn a_pattern_refuses_by_name() {
    let none = pattern(&[("toluene", 100.0, 10.0)], 0.5, &[(10.0, ON, 0.0)]);
    let refused = none.run(&Settings::USUAL).unwrap_err();
    assert!(refused.to_string().contains("oluene enters in no segment"), "{refused}");
    let wet = pattern(&[("toluene", 100_000.0, 10.0)], 0.5, &[(10.0, ON, 0.001), (10.0, ON, 1.0)]);
    let refused = wet.run(&Settings::USUAL).unwrap_err();
    assert!(matches!(refused, PatternError::Life { place: 2, .. }), "{refused}");
    assert!(refused.to_string().starts_with("segment 2: "), "{refused}");
}

// Observation (SCIENCE, 3.6): what a volatile vapour left in a part-used bed spreads overnight and
// passes at the first breath, while a strongly held one stays.
#[test]
fn a_night_lets_a_volatile_vapour_through_at_the_first_breath() {
    let night = |name, ppm| {
        let work = [(60.0, ON, 1.0), (960.0, SEALED, 0.0), (60.0, ON, 1.0)];
        let run = pattern(&[(name, ppm, 1.0)], 0.5, &work).run(&Settings::USUAL).unwrap();
        let restarts = run.restarts();
        assert_eq!((restarts.len(), restarts[0].in_use_min), (1, 60.0));
        restarts[0].greatest_ppm[0]
    };
    let (volatile, held) = (night("acetone", 500.0), night("toluene", 200.0));
    println!("acetone {volatile} ppm, toluene {held} ppm");
    assert!(volatile > 100.0 * held && volatile > 1e-3, "{volatile} {held}");
}

#[test]
fn a_stronger_vapour_pushes_a_weaker_one_out_above_its_inlet() {
    let both = [("toluene", 500.0, 25.0), ("acetone", 200.0, 20.0)];
    let run = pattern(&both, 0.3, &[(600.0, ON, 1.0)]).run(&Settings::USUAL).unwrap();
    assert!(run.roll_up(1) > 1.2, "{}", run.roll_up(1));
    assert!(run.roll_up(0) < 1.001, "{}", run.roll_up(0));
    assert!(run.ends_together_min() <= run.ends_min(1).min(run.ends_min(0)));
    for index in 0..2 {
        assert!(run.effluent.balance(index).relative_error.abs() < 1e-8);
        assert!(run.load_g_per_g(index).iter().all(|load| *load >= 0.0));
    }
}

proptest! {
    #![proptest_config(config(24))]

    // Physics: more vapour, air and water never lengthen the time in use, more carbon never
    // shortens it, and a segment split in two is the same segment.
    #[test]
    fn times_go_where_physics_sends_them(
        (first, rest, part) in (20.0..90.0_f64, 10.0..900.0_f64, 0.2..1.5_f64),
        ppm in 100.0..800.0_f64,
        (humidity, more) in (0.0..0.9_f64, 1.05..1.5_f64),
    ) {
        let work = [(first, ON, 1.0), (rest, SEALED, 0.0), (2_000.0, ON, part)];
        let usual = pattern(&[("toluene", ppm, 10.0)], humidity, &work);
        let before = ends(&usual);
        // The two grids of two marches differ; times agree to what the grid leaves.
        let slack = 2e-3 * before + 0.05;
        let worse: [fn(&mut Pattern, f64); 4] = [
            |p, by| p.stretches.iter_mut().for_each(|s| s.levels_ppm[0] *= by),
            |p, by| p.stretches.iter_mut().for_each(|s| s.air.flow_l_per_min *= by),
            |p, by| p.stretches.iter_mut().for_each(|s| s.air.humidity = (s.air.humidity * by).min(1.0)),
            |p, by| p.bed.mass_g /= by,
        ];
        for change in worse {
            let mut changed = usual.clone();
            change(&mut changed, more);
            let after = ends(&changed);
            prop_assert!(after <= before + slack, "{before} {after}");
        }
        let mut split = usual.clone();
        split.stretches[2].minutes = 700.0;
        split.stretches.push(split.stretches[2].clone());
        split.stretches[3].minutes = 1_300.0;
        let after = ends(&split);
        // Neither may end: two infinities are the same, though their difference is no number.
        let same = after == before || (after - before).abs() <= 1e-9 * before;
        prop_assert!(same, "{} {}", before, after);
    }

    // Physics: what was taken up at a high level is driven out by cleaner air, and the sooner the less
    // clean that is; a trace in it holds nothing back.
    #[test]
    fn a_level_that_falls_lets_out_what_was_taken_up(
        name in prop::sample::select(vec!["toluene", "acetone", "ethyl acetate", "n-hexane", "styrene"]),
        (ppm, penetration) in (100.0..1000.0_f64, 0.01..0.1_f64),
        loaded in 0.4..0.95_f64,
        (trace, more) in (0.0..0.02_f64, 0.0..0.15_f64),
    ) {
        let vapours = [(name, ppm, ppm * penetration)];
        let steady = ends(&pattern(&vapours, 0.3, &[(20_000.0, ON, 1.0)]));
        prop_assume!((10.0..10_000.0).contains(&steady));
        // Minutes to the end, and what the grid leaves in them.
        let then = |part: f64| {
            let work = [(steady * loaded, ON, 1.0), (20.0 * steady, ON, part)];
            let run = pattern(&vapours, 0.3, &work).run(&Settings::USUAL).unwrap();
            (run.ends_min(0), run.grid_error_min(0).unwrap_or(0.0))
        };
        let (clean, traces, dirtier) = (then(0.0), then(trace), then(trace + more));
        let sooner = |one: (f64, f64), other: (f64, f64)| {
            one.0 <= 1.005 * other.0 + 0.05 + 3.0 * (one.1 + other.1)
        };
        prop_assert!(sooner(traces, clean), "{:?} {:?}", clean, traces);
        prop_assert!(sooner(dirtier, traces), "{:?} {:?}", traces, dirtier);
    }
}

#[test]
fn a_sampled_pattern_has_a_bound_below_its_best() {
    let work = [(60.0, ON, 1.0), (30.0, SEALED, 0.0), (600.0, ON, 1.0)];
    let pattern = pattern(&[("toluene", 500.0, 25.0)], 0.5, &work);
    let progress = Progress::default();
    let (names, found) =
        explore_pattern(&pattern, &Spread::USUAL, Sampling::of(600), &progress).unwrap();
    let life = &found.outputs[0];
    assert!(life.low < life.best && life.best < life.high, "{life:?}");
    assert!((0.5..0.85).contains(&(life.low / life.best)), "{life:?}");
    assert_eq!(life.total.len(), names.len());
    assert_eq!(progress.made(), (found.samples - 1, found.samples - 1));
    assert_eq!(found.outputs[1], found.outputs[0], "one vapour is its own mixture");
}
