//! A gas held by reaction: the closed form beside the march of the bed, what a report tells of it, and
//! what holds whatever the numbers.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot read its own data must fail"
)]

mod march_support;

use march_support::{COLUMN, VELOCITY, on};
use proptest::prelude::*;
use sorbent::march::{Column, Component, Equilibrium, Segment, SegmentKind, Settings, Uptake, run};
use sorbent::{
    HeldByReaction, ReactionCalibration, ReactionError, ReactionMeasured, Spell, calibrate_reaction,
};

const FULL_MOL_KG: f64 = 0.8;
const LEVEL: f64 = 0.02;
const BED: Column = Column { void_fraction: 0.0, ..COLUMN };

/// What all of [`BED`] holds, mol, and its flow, m³/s.
fn capacity() -> f64 {
    BED.bulk_density_kg_m3 * BED.depth_m * BED.area_m2 * FULL_MOL_KG
}

fn flow() -> f64 {
    VELOCITY * BED.area_m2
}

/// A bed of so many widths of its front, in mol, m³ and s in place of g, L and min.
fn element(widths: f64) -> HeldByReaction {
    HeldByReaction {
        capacity_g: capacity(),
        rate_l_per_g_min: widths * flow() / capacity(),
        slowest_l_per_min: 0.1 * flow(),
        highest_g_per_l: 10.0 * LEVEL,
    }
}

fn gas(element: &HeldByReaction) -> Component {
    Component {
        name: "chlorine".to_owned(),
        equilibrium: Equilibrium::Reaction { full_mol_kg: FULL_MOL_KG },
        uptake: Uptake::SecondOrder { m3_mol_s: element.rate_l_per_g_min },
        diffusivity_m2_s: 1e-5,
    }
}

fn spell(minutes: f64, level: f64, flow: f64) -> Spell {
    Spell { minutes, level_g_per_l: level, flow_l_per_min: flow, breathed: false }
}

/// Bohart and Adams 1920, J. Am. Chem. Soc. 42:523 (from memory), as it stands there.
fn bohart_adams(widths: f64, rate: f64, time: f64) -> f64 {
    let risen = (rate * LEVEL * time).exp();
    risen / (risen + widths.exp() - 1.0)
}

/// When a part passes by it, s; at once where that much passes from the start.
fn time_to(part: f64, widths: f64, rate: f64) -> f64 {
    let risen = (widths.exp_m1() * part / (1.0 - part)).ln();
    (risen / (rate * LEVEL)).max(0.0)
}

// The limit of Thomas 1944, J. Am. Chem. Soc. 66:1664 (from memory), without release: the curve of Bohart
// and Adams, in deep beds and in beds shorter than their front.
#[test]
fn the_march_is_the_curve_of_bohart_and_adams() {
    for widths in [1.5, 5.0, 20.0, 80.0] {
        let element = element(widths);
        let full_s = capacity() / (flow() * LEVEL);
        let segments = [on(4.0 * full_s, vec![LEVEL])];
        let effluent = run(&BED, &[gas(&element)], &segments, &Settings::USUAL).unwrap();
        assert!(effluent.balance(0).relative_error.abs() < 1e-11, "{:?}", effluent.balance(0));
        for part in [0.01, 0.1, 0.5, 0.9] {
            let closed = time_to(part, widths, element.rate_l_per_g_min);
            if part <= 0.5 {
                let told = element.minutes_to(&[spell(1.0, LEVEL, flow())], part * LEVEL);
                assert!((told - closed).abs() <= 1e-9 * full_s, "{told} {closed}");
            }
            let marched = effluent.arrival(0, part * LEVEL).unwrap();
            if closed == 0.0 {
                assert!((-widths).exp() >= part && marched.clock_s < 0.02 * full_s, "{widths}");
                continue;
            }
            let back = bohart_adams(widths, element.rate_l_per_g_min, closed);
            assert!((back / part - 1.0).abs() < 1e-9, "{widths}: {back} {part}");
            let off = (marched.clock_s - closed).abs();
            assert!(off < 1.5e-3 * full_s, "{widths} to {part}: {marched:?} {closed}");
            assert!(off < 5.0 * marched.error_s.unwrap() + 1e-9 * full_s, "{marched:?} {closed}");
        }
    }
}

#[test]
fn the_march_comes_to_it_by_second_order() {
    let element = element(12.0);
    let full_s = capacity() / (flow() * LEVEL);
    let closed = element.minutes_to(&[spell(1.0, LEVEL, flow())], 0.1 * LEVEL);
    let off = |fineness: f64| {
        let settings = Settings { fineness, estimate: false, ..Settings::USUAL };
        let segments = [on(1.5 * full_s, vec![LEVEL])];
        let effluent = run(&BED, &[gas(&element)], &segments, &settings).unwrap();
        (effluent.arrival(0, 0.1 * LEVEL).unwrap().clock_s / closed - 1.0).abs()
    };
    let errors = [0.5, 1.0, 2.0, 4.0].map(off);
    let orders: Vec<f64> = errors.windows(2).map(|pair| (pair[0] / pair[1]).log2()).collect();
    println!("errors {errors:?}, orders {orders:?}");
    assert!(orders.iter().all(|order| (1.7..2.4).contains(order)), "{errors:?} {orders:?}");
}

// For a bed that is not fresh Amundson 1948, J. Phys. Colloid Chem. 52:1153 (from memory): here by the sum
// over the bed, which holds whatever was done to it before.
#[test]
fn a_pattern_is_followed_without_a_grid() {
    let element = element(15.0);
    let full_s = capacity() / (flow() * LEVEL);
    let steps = [
        (0.3, 1.0, 1.0),
        (0.1, 3.0, 2.0),
        (0.4, 0.2, 1.0),
        (0.05, 4.0, 2.5),
        (0.6, 0.5, 0.7),
        (0.5, 1.0, 1.0),
    ];
    let segment = |(time, level, faster): (f64, f64, f64)| Segment {
        velocity_m_s: faster * VELOCITY,
        ..on(time * full_s / 2.0, vec![level * LEVEL])
    };
    let mut segments: Vec<Segment> = steps.map(segment).into_iter().collect();
    let rest = SegmentKind::Rest { sealed: false };
    segments.insert(3, Segment { kind: rest, ..on(40_000.0, Vec::new()) });
    let effluent = run(&BED, &[gas(&element)], &segments, &Settings::USUAL).unwrap();
    let mut left = element.capacity_g;
    let mut fed = 0.0;
    for (time, level, faster) in steps {
        let one = spell(time * full_s / 2.0, level * LEVEL, faster * flow());
        fed += one.level_g_per_l * one.flow_l_per_min * one.minutes;
        left = element.left_after(&one, left);
    }
    let held = effluent.balance(0).held * BED.area_m2;
    assert!((held / (element.capacity_g - left) - 1.0).abs() < 2e-4, "{held} {left}");
    let last = effluent.outlet_mol_m3(0).last().unwrap() / LEVEL;
    let passes = element.passes(&spell(1.0, LEVEL, flow()), left);
    assert!((last / passes - 1.0).abs() < 5e-3, "{last} {passes}");
    assert!(held < fed && left > 0.0);
}

// Balance: what came in and did not pass is what is gone of the capacity.
#[test]
fn nothing_is_made_or_lost() {
    for widths in [0.8, 4.0, 30.0] {
        let element = element(widths);
        let step = spell(1.0, LEVEL, flow());
        let full_s = capacity() / (flow() * LEVEL);
        let parts = 20_000;
        let mut held = 0.0;
        let mut left = element.capacity_g;
        let short = Spell { minutes: 1.3 * full_s / f64::from(parts), ..step };
        for _ in 0..parts {
            let after = element.left_after(&short, left);
            let middle = element.passes(&short, 0.5 * (left + after));
            held += (1.0 - middle) * LEVEL * flow() * short.minutes;
            left = after;
        }
        let gone = element.capacity_g - left;
        assert!((held / gone - 1.0).abs() < 1e-6, "{widths}: {held} {gone}");
        let whole = element.left_after(&Spell { minutes: 1.3 * full_s, ..step }, capacity());
        assert!((whole / left - 1.0).abs() < 1e-9, "{widths}: {whole} {left}");
    }
}

#[test]
fn rounds_that_are_skipped_change_no_time() {
    let element = element(18.0);
    let full_s = capacity() / (flow() * LEVEL);
    for level in [1.0, 0.05] {
        let end = 0.1 * level * LEVEL;
        let whole = element.minutes_to(&[spell(1.0, level * LEVEL, flow())], end);
        let one = |minutes| spell(minutes * full_s, level * LEVEL, flow());
        let parts = element.minutes_to(&[one(1e-4), one(3e-5)], end);
        assert!(
            (parts / whole - 1.0).abs() < 2e-4 && parts <= whole * 1.000_001,
            "{parts} {whole}"
        );
        let idle = [one(1e-3), spell(1e-3 * full_s, 0.0, flow())];
        let half = element.minutes_to(&idle, end);
        assert!((half / (2.0 * whole) - 1.0).abs() < 2e-3, "{half} {whole}");
    }
    assert_eq!(element.minutes_to(&[spell(1.0, LEVEL, flow())], LEVEL), f64::INFINITY);
    assert_eq!(element.minutes_to(&[], LEVEL), f64::INFINITY);
}

#[test]
fn breathing_shortens_by_less_than_its_height() {
    let element = element(18.0);
    let steady = spell(1.0, LEVEL, flow());
    let breathed = Spell { breathed: true, ..steady };
    for part in [1e-4, 0.01, 0.1, 0.4] {
        let left = element.left_at(&breathed, part);
        assert!((element.passes(&breathed, left) / part - 1.0).abs() < 1e-6);
        let stretched = left / element.left_at(&steady, part);
        assert!((1.0..1.35).contains(&stretched), "{part}: {stretched}");
        let [a, b] = [steady, breathed].map(|one| element.minutes_to(&[one], part * LEVEL));
        assert!(b < a, "{a} {b}");
    }
}

/// Chlorine at 500 ppm and 25 degC, g/L, through one of two elements.
const CHLORINE: f64 = 1.45e-3;
const KNOWN: HeldByReaction = HeldByReaction {
    capacity_g: 2.4,
    rate_l_per_g_min: 200.0,
    slowest_l_per_min: 32.0,
    highest_g_per_l: CHLORINE,
};

fn time(part: f64, (level, flow): (f64, f64), times: f64) -> ReactionMeasured {
    let minutes = KNOWN.minutes_to(&[spell(1.0, level, flow)], part * level) * times;
    let deviation = None;
    ReactionMeasured::Time { level_g_per_l: level, flow_l_per_min: flow, part, minutes, deviation }
}

const AIR: (f64, f64) = (CHLORINE, 32.0);

#[test]
fn a_known_element_is_recovered() {
    let held = ReactionMeasured::Held { held_g: 2.4, deviation: Some(0.02) };
    let faster = (CHLORINE, 80.0);
    let reports: [Vec<ReactionMeasured>; 4] = [
        vec![time(0.01, AIR, 1.0), time(0.5, AIR, 1.0)],
        vec![time(0.01, AIR, 1.0), time(0.05, AIR, 1.0), time(0.1, AIR, 1.0), time(0.5, AIR, 1.0)],
        vec![time(0.05, AIR, 1.0), time(0.05, faster, 1.0)],
        vec![time(0.01, AIR, 1.0), held],
    ];
    for report in reports {
        let ReactionCalibration { held, deviations, correlation, misfit, .. } =
            calibrate_reaction(&report).unwrap();
        println!("{held:?} {deviations:?} {correlation:.3}");
        assert!((held.capacity_g / KNOWN.capacity_g - 1.0).abs() < 1e-6, "{held:?}");
        assert!((held.rate_l_per_g_min / KNOWN.rate_l_per_g_min - 1.0).abs() < 1e-5, "{held:?}");
        assert!(misfit < 1e-6 && held.slowest_l_per_min == 32.0);
        assert!(deviations.iter().all(|d| (0.005..0.7).contains(d)), "{deviations:?}");
        assert!(correlation.abs() < 1.0);
    }
}

#[test]
fn a_worse_fit_is_less_sure() {
    let noisy = |noise: f64| {
        let faster = (CHLORINE, 64.0);
        let parts =
            [(0.01, AIR), (0.1, AIR), (0.5, AIR), (0.01, faster), (0.1, faster), (0.5, faster)];
        let of = |(place, (part, air)): (usize, (f64, (f64, f64)))| {
            let sign = if place % 2 == 0 { 1.0 } else { -1.0 };
            time(part, air, 1.0 + sign * noise)
        };
        calibrate_reaction(&parts.into_iter().enumerate().map(of).collect::<Vec<_>>()).unwrap()
    };
    let (sure, unsure) = (noisy(0.0), noisy(0.06));
    assert!(unsure.deviations[0] > 1.5 * sure.deviations[0], "{unsure:?}");
    assert!((unsure.held.capacity_g / 2.4 - 1.0).abs() < 3.0 * unsure.deviations[0]);
    assert!((unsure.misfit / 0.06 - 1.0).abs() < 0.4, "{}", unsure.misfit);
}

#[test]
fn what_tells_nothing_is_refused_by_name() {
    use ReactionError::{Backwards, Contradicts, NoTime, OneOfTwo, Outside, Poor};
    let refused = |report: &[ReactionMeasured]| calibrate_reaction(report).unwrap_err();
    let held = |held_g: f64| ReactionMeasured::Held { held_g, deviation: None };
    assert_eq!(refused(&[]), NoTime);
    assert_eq!(refused(&[held(2.4)]), NoTime);
    assert_eq!(refused(&[time(0.01, AIR, 1.0)]), OneOfTwo);
    let levels = [time(0.1, AIR, 1.0), time(0.1, (0.2 * CHLORINE, 32.0), 1.0)];
    assert_eq!(refused(&levels), OneOfTwo);
    let backwards = [time(0.01, AIR, 1.0), time(0.1, AIR, 0.5)];
    assert_eq!(refused(&backwards), Backwards { earlier: 1, later: 2 });
    let near = [time(0.1, AIR, 1.0), time(0.101, AIR, 1.0)];
    assert!(matches!(refused(&near), Poor { .. }), "{}", refused(&near));
    let contradicts = [
        time(0.01, AIR, 1.0),
        time(0.1, AIR, 1.0),
        time(0.5, AIR, 1.0),
        time(0.1, (CHLORINE, 64.0), 2.5),
    ];
    assert!(matches!(refused(&contradicts), Contradicts { .. }), "{}", refused(&contradicts));
    // What all passed holds less than what went in before a hundredth passed.
    let less = [time(0.01, AIR, 1.0), held(1.0)];
    assert!(calibrate_reaction(&less).is_err(), "{:?}", calibrate_reaction(&less));
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e300] {
        let times = |minutes: f64| {
            let deviation = None;
            let (level_g_per_l, flow_l_per_min) = AIR;
            ReactionMeasured::Time { level_g_per_l, flow_l_per_min, part: 0.1, minutes, deviation }
        };
        let of_time = calibrate_reaction(&[time(0.01, AIR, 1.0), times(bad)]);
        assert!(of_time.is_err(), "{bad}: {of_time:?}");
        let of_held = calibrate_reaction(&[time(0.01, AIR, 1.0), held(bad)]);
        assert!(of_held.is_err(), "{bad}: {of_held:?}");
    }
    let past = [time(0.01, AIR, 1.0), time(0.6, AIR, 1.0)];
    assert!(matches!(refused(&past), Outside { place: 2, .. }));
}

fn elements() -> impl Strategy<Value = HeldByReaction> {
    ((-3.0..2.0_f64), (0.0..3.0_f64), (0.0..2.5_f64), (-7.0..0.0_f64)).prop_map(
        |(capacity, widths, slowest, highest)| {
            let [capacity_g, widths, slowest_l_per_min, highest_g_per_l] =
                [capacity, widths, slowest, highest].map(|log| 10.0_f64.powf(log));
            let rate_l_per_g_min = widths * slowest_l_per_min / capacity_g;
            HeldByReaction { capacity_g, rate_l_per_g_min, slowest_l_per_min, highest_g_per_l }
        },
    )
}

fn patterns() -> impl Strategy<Value = Vec<Spell>> {
    let one = (
        (-2.0..4.0_f64),
        prop_oneof![Just(None), (-8.0..0.0_f64).prop_map(Some)],
        0.3..2.6_f64,
        any::<bool>(),
    );
    let one = one.prop_map(|(minutes, level, flow, breathed)| Spell {
        minutes: 10.0_f64.powf(minutes),
        level_g_per_l: level.map_or(0.0, |level| 10.0_f64.powf(level)),
        flow_l_per_min: 10.0_f64.powf(flow),
        breathed,
    });
    prop::collection::vec(one, 1..6)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    // Mass: no opening of a round that comes again takes up more in so many minutes.
    #[test]
    fn no_opening_ends_before_the_worst(
        element in elements(), spells in patterns(), end in -9.0..0.0_f64, (place, cut) in (0..6_usize, 0.0..1.0_f64),
    ) {
        let end = 10.0_f64.powf(end);
        let worst = element.minutes_from_worst_start(&spells, end);
        let mut opened = spells.clone();
        opened.rotate_left(place % spells.len());
        let begun = opened[0];
        opened[0].minutes *= 1.0 - cut;
        opened.push(Spell { minutes: begun.minutes * cut, ..begun });
        let minutes = element.minutes_to(&opened, end);
        prop_assert!(worst <= minutes * (1.0 + 1e-3), "{worst} {minutes}");
    }

    #[test]
    fn more_gas_more_flow_a_stricter_end_or_less_held_never_lasts_longer(
        element in elements(), spells in patterns(), end in -9.0..0.0_f64, more in 1.0..5.0_f64,
    ) {
        let end = 10.0_f64.powf(end);
        let minutes = element.minutes_to(&spells, end);
        prop_assert!(minutes >= 0.0, "{}", minutes);
        // Rounds skipped at another place leave this much.
        let most = minutes * (1.0 + 1e-3);
        let with = |change: &dyn Fn(&mut Spell)| {
            let mut spells = spells.clone();
            spells.iter_mut().for_each(change);
            element.minutes_to(&spells, end)
        };
        let level = with(&|spell| spell.level_g_per_l *= more);
        let flow = with(&|spell| spell.flow_l_per_min *= more);
        let breathed = with(&|spell| spell.breathed = true);
        let stricter = element.minutes_to(&spells, end / more);
        let less = HeldByReaction { capacity_g: element.capacity_g / more, ..element };
        let slower = HeldByReaction { rate_l_per_g_min: element.rate_l_per_g_min / more, ..element };
        let less = less.minutes_to(&spells, end);
        // What passes unheld below the end spends nothing, so that of a pattern this is not so.
        let first = &spells[..1];
        prop_assert!(slower.minutes_to(first, end) <= element.minutes_to(first, end) * (1.0 + 1e-9));
        for (of, shorter) in [
            ("level", level), ("flow", flow), ("breath", breathed), ("end", stricter),
            ("held", less),
        ] {
            prop_assert!(shorter <= most, "{}: {} after {}", of, shorter, minutes);
        }
    }

    #[test]
    fn a_random_element_is_recovered_from_its_own_times(
        element in elements(), level in 0.05..1.0_f64, times in 2..5_usize,
    ) {
        let level = level * element.highest_g_per_l;
        let flow = element.slowest_l_per_min;
        let parts = [0.5, 0.01, 0.1, 0.03, 0.2];
        let measured: Vec<ReactionMeasured> = parts[..times].iter().map(|part| {
            let minutes = element.minutes_to(&[spell(1.0, level, flow)], part * level);
            let deviation = Some(0.005);
            ReactionMeasured::Time { level_g_per_l: level, flow_l_per_min: flow, part: *part, minutes, deviation }
        }).collect();
        // A bed at or below what its front needs, or a front too steep to be seen, may be refused.
        let widths = element.capacity_g * element.rate_l_per_g_min / flow;
        let found = calibrate_reaction(&measured);
        if (6.0..200.0).contains(&widths) {
            let found = found.unwrap();
            prop_assert!((found.held.capacity_g / element.capacity_g - 1.0).abs() < 1e-4, "{:?}", found);
            prop_assert!((found.held.rate_l_per_g_min / element.rate_l_per_g_min - 1.0).abs() < 1e-3, "{:?}", found);
        } else if let Ok(found) = found {
            prop_assert!(found.deviations.iter().all(|d| d.is_finite() && *d > 0.0));
        }
    }
}
