//! Bounds: monotone where physics is, settled, the same on every run.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

mod work_support;

use proptest::prelude::*;
use sorbent::{Exploration, Progress, Sampling, Spread, SteadyCase, bounded_life, explore_life};
use work_support::{config, steady};

const NAMES: [&str; 6] =
    ["toluene", "acetone", "n-hexane", "1-butanol", "ethyl acetate", "styrene"];

/// What makes a case worse, in words, and how.
type Worse = (&'static str, fn(&mut SteadyCase, f64));

fn lower(case: &SteadyCase) -> f64 {
    let lives = bounded_life(case, &Spread::USUAL).unwrap();
    lives.iter().map(|life| life.lower_min).fold(f64::INFINITY, f64::min)
}

fn explored(case: &SteadyCase, samples: usize) -> (Vec<&'static str>, Exploration) {
    explore_life(case, &Spread::USUAL, Sampling::of(samples), &Progress::default()).unwrap()
}

/// Rounding of the search for the bound.
fn not_longer(after: f64, before: f64) -> bool {
    after <= before * (1.0 + 1e-9)
}

/// What else is left where a case is marched on its coarse grid: one with several vapours, or with an end
/// above a fifth of what enters.
fn but_for_the_grid(case: &SteadyCase, before: f64) -> f64 {
    let high = |stream: &sorbent::Stream| stream.end_ppm > 0.2 * stream.inlet_ppm;
    let marched = case.streams.len() > 1 || case.streams.iter().any(high);
    if marched { before * 1.02 + 0.1 } else { before }
}

// Physics: water takes pores from a vapour, so that more of it never lengthens a life. Counting each
// input by itself, the bound once rose again above 95 %.
#[test]
fn the_bound_never_rises_with_humidity_up_to_saturation() {
    for name in NAMES {
        for ppm in [100.0, 1000.0] {
            let mut last = f64::INFINITY;
            for percent in (0..60).step_by(10).chain(60..=100) {
                let humidity = f64::from(percent) / 100.0;
                let now = lower(&steady(&[(name, ppm, 0.1 * ppm)], humidity));
                assert!(not_longer(now, last), "{name} {ppm} ppm at {humidity}: {last} to {now}");
                last = now;
            }
        }
    }
}

proptest! {
    #![proptest_config(config(32))]

    // Physics: more to hold, more air, less carbon, a lower end and fewer pores never lengthen a
    // life; so for one vapour and, in all but the level, for two.
    #[test]
    fn the_bound_never_rises_where_the_life_cannot(
        (first, second) in (0..6_usize, 0..6_usize),
        ppm in 30.0..2_000.0_f64,
        (humidity, more) in (0.0..1.0_f64, 1.01..2.0_f64),
    ) {
        let one = steady(&[(NAMES[first], ppm, 10.0)], humidity);
        let mut cases = vec![one.clone()];
        // In humid air a little more vapour may push the water out and so hold on the longer; only
        // dry air says for certain.
        let mut richer = one;
        richer.air.humidity = 0.2;
        let leaner = but_for_the_grid(&richer, lower(&richer));
        richer.streams[0].inlet_ppm *= more;
        prop_assert!(not_longer(lower(&richer), leaner), "level");
        if first != second {
            cases.push(steady(&[(NAMES[first], ppm, 10.0), (NAMES[second], 200.0, 20.0)], humidity));
        }
        for case in cases {
            let before = lower(&case);
            let worse: [Worse; 5] = [
                ("flow", |c, by| c.air.flow_l_per_min *= by),
                ("carbon", |c, by| c.bed.mass_g /= by),
                ("pores", |c, by| c.bed.carbon.micropore_volume /= by),
                ("humidity", |c, by| c.air.humidity = (c.air.humidity * by).min(1.0)),
                ("end", |c, by| c.streams.iter_mut().for_each(|s| s.end_ppm /= by)),
            ];
            for (what, change) in worse {
                let mut changed = case.clone();
                change(&mut changed, more);
                let after = lower(&changed);
                let most = but_for_the_grid(&case, before);
                prop_assert!(not_longer(after, most), "{what}: {before} to {after}, at most {most}");
            }
        }
    }

    // Consistency: what the one adverse copy of each vapour says is what a sample says, whether they end
    // near each other or far apart. An end above most of what the outlet rises to is not asked: where the curve
    // is so flat, whether it counts as reached is judgement.
    #[test]
    fn the_bound_of_a_mixture_is_not_above_the_point_of_a_sample(
        (first, other) in (0..6_usize, 1..6_usize),
        (one, two) in (0.5..3.0_f64, 0.5..3.0_f64),
        (end, humidity, mass_g) in (0.7..2.0_f64, 0.2..0.9_f64, 15.0..55.0_f64),
    ) {
        let level = |power: f64| 10.0_f64.powf(power);
        let streams = [(NAMES[first], level(one), level(end)), (NAMES[(first + other) % 6], level(two), 12.0)];
        let mut case = steady(&streams, humidity);
        case.bed.mass_g = mass_g;
        let quick = bounded_life(&case, &Spread::USUAL).unwrap();
        let (_, explored) = explored(&case, 1_000);
        for ((quick, sampled), stream) in quick.iter().zip(&explored.outputs).zip(&case.streams) {
            if stream.end_ppm > 0.7 * quick.best.plateau_ppm {
                continue;
            }
            let (quick, sampled) = (quick.lower_min, sampled.low);
            prop_assert!(quick <= 1.12 * sampled + 1.0, "{quick} {sampled}");
        }
    }

    // Physics at a given part of saturation far from full pores: warmer carbon holds less.
    #[test]
    fn the_bound_never_rises_with_warmth(name in 0..6_usize, humidity in 0.0..1.0_f64, by in 1.0..15.0_f64) {
        let cool = steady(&[(NAMES[name], 100.0, 10.0)], humidity);
        let mut warm = cool.clone();
        warm.air.temperature_k += by;
        for stream in &mut warm.streams {
            stream.vapour.psat_kpa *= (stream.vapour.psat_log_slope_per_k * by).exp();
        }
        prop_assert!(not_longer(lower(&warm), lower(&cool)));
    }
}

// Physics: more of a second vapour holds nothing of the first longer, also about the level from which the
// second ends at all.
#[test]
fn the_bound_does_not_rise_where_a_second_vapour_begins_to_end() {
    let mut last = f64::INFINITY;
    for half_ppm in 18..32 {
        let second = f64::from(half_ppm) * 0.5;
        let mut case = steady(&[("toluene", 180.0, 25.0), ("o-xylene", second, 25.0)], 0.5);
        case.bed.mass_g = 45.0;
        let now = lower(&case);
        assert!(now <= 1.01 * last, "{second} ppm: {last} to {now}");
        last = now;
    }
}

// Physics: a trace of a vapour far below its end neither ends a life nor takes room from another.
#[test]
fn a_trace_neither_ends_nor_shortens() {
    let alone = lower(&steady(&[("toluene", 200.0, 25.0)], 0.3));
    for (name, ppm) in [("styrene", 1e-6), ("styrene", 0.001), ("acetone", 1e-6), ("acetone", 0.01)]
    {
        let trace = (name, ppm, 20.0);
        let by_itself = bounded_life(&steady(&[trace], 0.3), &Spread::USUAL).unwrap().remove(0);
        assert_eq!((by_itself.best.time_min, by_itself.lower_min), (f64::INFINITY, f64::INFINITY));
        let both = bounded_life(&steady(&[("toluene", 200.0, 25.0), trace], 0.3), &Spread::USUAL);
        let both: Vec<f64> = both.unwrap().iter().map(|life| life.lower_min).collect();
        // A mixture is known less well.
        assert!(0.8 * alone < both[0] && both[0] < 1.01 * alone, "{name} {ppm}: {both:?} {alone}");
        assert_eq!(both[1], f64::INFINITY, "{name} {ppm}");
    }
}

// Consistency: a higher end is reached later, also where the march comes to stand beside the closed
// form, at a fifth of what enters.
#[test]
fn the_bound_does_not_jump_where_the_march_sets_in() {
    for name in NAMES {
        for (ppm, mass_g) in [(50.0, 26.0), (1000.0, 16.0), (1000.0, 26.0)] {
            let bound = |fraction: f64| {
                let mut case = steady(&[(name, ppm, fraction * ppm)], 0.6);
                case.bed.mass_g = mass_g;
                lower(&case)
            };
            let (below, above) = (bound(0.1999), bound(0.2001));
            assert!(below > 0.0, "{name} {ppm} {mass_g}");
            assert!((above / below - 1.0).abs() < 0.005, "{name} {ppm} {mass_g}: {below} {above}");
        }
    }
}

// Consistency: the quick bound is the 5 % point of a large sample that carries the error of the
// model as one more input; so for two vapours, with fewer copies.
#[test]
fn the_quick_bound_is_the_point_of_a_large_sample() {
    for humidity in [0.3, 0.7, 0.9, 0.97] {
        for name in NAMES {
            let case = steady(&[(name, 500.0, 25.0)], humidity);
            let (_, explored) = explored(&case, 40_000);
            let (quick, large) = (lower(&case), explored.outputs[0].low);
            println!("{name} {humidity}: {quick:.1} {large:.1} min");
            assert!(
                (quick - large).abs() < 0.06 * large.max(20.0),
                "{name} {humidity}: {quick} {large}"
            );
        }
    }
}

#[test]
fn a_sampled_life_says_what_matters_and_how_settled_it_is() {
    let case = steady(&[("toluene", 500.0, 25.0)], 0.5);
    let (names, found) = explored(&case, 4_000);
    assert_eq!(explored(&case, 4_000).1, found);
    let life = &found.outputs[0];
    assert!(life.low < life.best && life.best < life.high);
    assert!(life.low_error < 0.03 * life.low, "{} of {}", life.low_error, life.low);
    let total: f64 = life.first_order.iter().sum();
    assert!(0.8 < total && total < 1.1, "{total}");
    let greatest = life.total.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1)).unwrap().0;
    assert_eq!(names[greatest], "model");
    for (first, total) in life.first_order.iter().zip(&life.total) {
        assert!(first <= &(total + 0.03), "{first} {total}");
    }
}

// A calibration that found pores and energy against each other narrows what each alone would.
#[test]
fn a_calibration_moves_its_three_inputs_together() {
    let case = steady(&[("toluene", 500.0, 25.0)], 0.3);
    let wide = Spread { micropore_volume: 0.2, reference_energy: 0.2, ..Spread::USUAL };
    let factor = [[0.2, 0.0, 0.0], [-0.19, 0.06, 0.0], [0.0, 0.0, 0.1]];
    let told = Spread { calibrated: Some(factor), ..wide };
    let low = |spread: &Spread| bounded_life(&case, spread).unwrap()[0].lower_min;
    assert!(low(&told) > 1.02 * low(&wide), "{} {}", low(&told), low(&wide));
}
