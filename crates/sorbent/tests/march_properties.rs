//! What holds for every bed: nothing is made or lost, more load never means a longer life, and
//! names and order do not matter.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

mod march_support;

use march_support::{COLUMN, TOLUENE_500, VELOCITY, acetone, march, of_kind, on, toluene};
use proptest::prelude::*;
use sorbent::march::{
    Column, Component, Effluent, Equilibrium, MarchError, Moisture, Segment, SegmentKind, Settings,
    Uptake, run, run_dispersed,
};
use sorbent::{Adsorbate, Sharing, TYPICAL_WATER, adsorbed_mixture};

/// Cases of the two wide tests, and how finely they are marched there: the properties hold on any
/// grid.
const SANE: u32 = 2_000;
const NASTY: u32 = 200;
const DISPERSED: u32 = 400;
const ROUGH: Settings = Settings { fineness: 0.25, ..Settings::SAMPLING };

const BOTH: [Sharing; 2] = [Sharing::ByNumber, Sharing::ByVolume];

/// Cases in turn by number and by volume.
fn rough(case: u32) -> Settings {
    let sharing = if case.is_multiple_of(2) { Sharing::ByNumber } else { Sharing::ByVolume };
    Settings { sharing, ..ROUGH }
}

/// Numbers in [0, 1) from a seed, the same on every machine.
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        // Steele, Lea and Flood 2014, the mixing of SplitMix64 (from memory).
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Even in the logarithm.
    fn between(&mut self, low: f64, high: f64) -> f64 {
        low * (high / low).powf(self.roll())
    }

    fn one_of<T: Clone>(&mut self, choices: &[T]) -> T {
        choices[(self.roll() * choices.len() as f64) as usize].clone()
    }
}

fn vapour(dice: &mut Dice) -> Component {
    Component {
        name: "vapour".to_owned(),
        equilibrium: Equilibrium::Dubinin {
            full_mol_kg: dice.between(2.0, 8.0),
            b: dice.between(0.08, 0.3),
            saturation_mol_m3: dice.between(0.05, 25.0),
        },
        uptake: Uptake::DrivingForce { per_s: dice.between(1e-5, 1e-2) },
        diffusivity_m2_s: 8e-6,
    }
}

fn saturation(component: &Component) -> f64 {
    match component.equilibrium {
        Equilibrium::Dubinin { saturation_mol_m3, .. } => saturation_mol_m3,
        Equilibrium::Water(moisture) => moisture.saturation_mol_m3,
        _ => 1.0,
    }
}

/// Water of a typical carbon, in one case of five.
fn water(dice: &mut Dice) -> Option<Component> {
    let moisture = Moisture {
        isotherm: TYPICAL_WATER,
        micropore_volume: dice.between(0.3, 0.7),
        saturation_mol_m3: dice.between(0.4, 2.5),
        stored_humidity: dice.roll(),
    };
    let component = Component {
        name: "water".to_owned(),
        equilibrium: Equilibrium::Water(moisture),
        uptake: Uptake::DrivingForce { per_s: dice.between(1e-4, 1e-2) },
        diffusivity_m2_s: 2.5e-5,
    };
    (dice.roll() < 0.2).then_some(component)
}

fn sane(dice: &mut Dice) -> (Column, Vec<Component>, Vec<Segment>) {
    let column = Column { depth_m: dice.between(0.01, 0.05), ..COLUMN };
    let count = dice.one_of(&[1, 1, 1, 2, 3]);
    let mut components: Vec<Component> = (0..count).map(|_| vapour(dice)).collect();
    components.extend(water(dice));
    let segments = (0..dice.one_of(&[1, 2, 4])).map(|_| {
        let kind = dice.one_of(&[
            SegmentKind::On,
            SegmentKind::On,
            SegmentKind::CleanAir,
            SegmentKind::Rest { sealed: true },
            SegmentKind::Rest { sealed: false },
        ]);
        let inlet = |c: &Component, part: f64| saturation(c) * part;
        let inlet_mol_m3 = components.iter().map(|c| inlet(c, dice.between(1e-4, 0.3))).collect();
        let velocity_m_s = dice.between(0.03, 0.4);
        let duration_s = dice.between(600.0, 30_000.0);
        Segment { duration_s, velocity_m_s, inlet_mol_m3, kind, components: None }
    });
    let mut segments: Vec<Segment> = segments.collect();
    segments[0].kind = SegmentKind::On;
    (column, components, segments)
}

/// Trace levels, saturation, beds thinner than a granule, a component 1e6 weaker, segments of a
/// second and of a week, numbers that are not numbers.
fn nasty(dice: &mut Dice) -> (Column, Vec<Component>, Vec<Segment>) {
    let (mut column, mut components, mut segments) = sane(dice);
    column.depth_m = dice.one_of(&[1e-5, 1e-3, 0.022, 1.0, f64::NAN]);
    let mut weak = vapour(dice);
    weak.equilibrium = dice.one_of(&[
        Equilibrium::Dubinin { full_mol_kg: 5e-6, b: 0.1, saturation_mol_m3: 10.0 },
        Equilibrium::Dubinin { full_mol_kg: 5.0, b: 2.0, saturation_mol_m3: 10.0 },
        Equilibrium::Dubinin { full_mol_kg: 5.0, b: 0.03, saturation_mol_m3: 10.0 },
        Equilibrium::Linear { henry_m3_kg: 1e-3 },
        Equilibrium::Langmuir { full_mol_kg: 3.0, affinity_m3_mol: 1e9 },
        Equilibrium::Reaction { full_mol_kg: 0.5 },
    ]);
    weak.uptake = Uptake::DrivingForce { per_s: dice.one_of(&[0.0, 1e-12, 1e-3, 1e6]) };
    components.push(weak);
    for segment in &mut segments {
        let part = dice.one_of(&[0.0, 1e-12, 1e-6, 1e-3, 0.999_999, 1.0, 1.5, -1.0]);
        segment.inlet_mol_m3 = components.iter().map(|c| saturation(c) * part).collect();
        segment.duration_s = dice.one_of(&[1.0, 60.0, 28_800.0, 604_800.0]);
        segment.velocity_m_s = dice.one_of(&[1e-4, 0.1, 0.1, 0.1, 10.0, f64::INFINITY]);
    }
    (column, components, segments)
}

/// Finite, not negative, nothing made or lost.
fn sound(effluent: &Effluent, components: &[Component], case: &str) {
    for (index, component) in components.iter().enumerate() {
        for value in effluent.outlet_mol_m3(index).iter().chain(effluent.load_mol_kg(index)) {
            assert!(value.is_finite() && *value >= 0.0, "{case}: {value} of {component:?}");
        }
        let balance = effluent.balance(index);
        assert!(balance.relative_error.abs() < 1e-8, "{case}: {balance:?} of {component:?}");
    }
}

#[test]
fn two_thousand_sane_cases_are_sound() {
    let mut dice = Dice(1);
    for case in 0..SANE {
        let (column, components, segments) = sane(&mut dice);
        let effluent = run(&column, &components, &segments, &rough(case)).unwrap();
        sound(&effluent, &components, &case.to_string());
    }
}

#[test]
fn two_hundred_nasty_cases_are_sound_or_refused_by_name() {
    let mut dice = Dice(2);
    let mut marched = 0;
    for case in 0..NASTY {
        let (column, components, segments) = nasty(&mut dice);
        match run(&column, &components, &segments, &rough(case)) {
            Ok(effluent) => {
                marched += 1;
                sound(&effluent, &components, &format!("{case} {column:?} {segments:?}"));
            }
            Err(error) => assert!(error.to_string().len() > 20, "{error}"),
        }
    }
    assert!(marched > NASTY / 20, "only {marched} were marched");
}

// The same with axial dispersion, from hardly any to a bed that is nearly one stirred vessel. Every sane case
// is solved; of the nasty ones nearly all that are not refused beforehand.
#[test]
fn sane_and_nasty_dispersed_cases_are_sound_or_refused_by_name() {
    let (mut dice, mut marched, mut not_found) = (Dice(3), 0, 0);
    for case in 0..DISPERSED {
        let is_nasty = case % 4 == 3;
        let (column, components, segments) =
            if is_nasty { nasty(&mut dice) } else { sane(&mut dice) };
        let dispersion = dice.between(1e-7, 1e-2);
        match run_dispersed(&column, &components, &segments, dispersion, &rough(case)) {
            Ok(effluent) => {
                marched += 1;
                let case = format!("{case} {dispersion} {column:?} {segments:?}");
                sound(&effluent, &components, &case);
            }
            Err(error) => {
                let message = error.to_string();
                let outside = matches!(error, MarchError::Outside { .. });
                assert!(is_nasty || outside && message.contains("dispersion"), "{case}: {message}");
                not_found += u32::from(matches!(error, MarchError::NotFound { .. }));
            }
        }
    }
    assert!(marched > DISPERSED / 2 && not_found <= DISPERSED / 100, "{marched} {not_found}");
}

// Fixed order of sums is the only trace that the order of components leaves: rounding.
#[test]
fn component_order_changes_nothing() {
    let level = 0.5 * TOLUENE_500;
    for sharing in BOTH {
        let run = |components: &[Component], levels: Vec<f64>| {
            let settings = Settings { sharing, ..Settings::USUAL };
            run(&COLUMN, components, &[on(20_000.0, levels)], &settings).unwrap()
        };
        let there = run(&[acetone(), toluene()], vec![level, 2.0 * level]);
        let back = run(&[toluene(), acetone()], vec![2.0 * level, level]);
        for (a, b) in [(0, 1), (1, 0)] {
            for (x, y) in there.outlet_mol_m3(a).iter().zip(back.outlet_mol_m3(b)) {
                assert!((x - y).abs() <= 1e-10 * level, "{sharing:?} {x} {y}");
            }
        }
    }
}

// Limit: fed until nothing changes, and left to itself for a night, the bed holds what the closed form says
// is in balance with what enters.
#[test]
fn a_bed_fed_to_the_end_holds_the_mixture_of_the_closed_form() {
    let components = [acetone(), toluene()];
    let levels = [4.0 * TOLUENE_500, 0.5 * TOLUENE_500];
    let adsorbate = |component: &Component| match component.equilibrium {
        Equilibrium::Dubinin { full_mol_kg, b, saturation_mol_m3 } => {
            Adsorbate { most: full_mol_kg, energy: 1.0 / b, psat_kpa: saturation_mol_m3 }
        }
        _ => unreachable!(),
    };
    let night = of_kind(SegmentKind::Rest { sealed: true }, 30_000.0);
    for sharing in BOTH {
        let settings = Settings { sharing, ..Settings::USUAL };
        let segments = [on(400_000.0, levels.to_vec()), night.clone()];
        let effluent = run(&COLUMN, &components, &segments, &settings).unwrap();
        let vapours = components.each_ref().map(adsorbate);
        let expected = adsorbed_mixture(&vapours, &levels, sharing).unwrap();
        for (index, expected) in expected.iter().enumerate() {
            for load in effluent.load_mol_kg(index) {
                // The low ends of the two differ: a straight line to the origin, and none.
                assert!((load / expected - 1.0).abs() < 1e-3, "{sharing:?} {load} {expected}");
            }
        }
    }
}

// A component of which nothing enters is as good as not named.
#[test]
fn an_absent_component_changes_nothing() {
    let alone = march(&[toluene()], &[on(20_000.0, vec![TOLUENE_500])]);
    let beside = march(&[toluene(), acetone()], &[on(20_000.0, vec![TOLUENE_500, 0.0])]);
    for fraction in [0.01, 0.1, 0.5] {
        let [a, b] =
            [&alone, &beside].map(|e| e.arrival(0, fraction * TOLUENE_500).unwrap().clock_s);
        // The mixture's table of spreading pressures is right to 1e-8.
        assert!((a / b - 1.0).abs() < 1e-6, "{a} {b}");
    }
}

#[test]
fn sum_of_level_over_limit_comes_no_later_than_either() {
    let level = 0.5 * TOLUENE_500;
    let effluent = march(&[acetone(), toluene()], &[on(28_800.0, vec![level, level])]);
    let limits = [0.3 * level, 0.05 * level];
    let together = effluent.arrival_together(&limits).unwrap().clock_s;
    for (index, limit) in limits.iter().enumerate() {
        assert!(together <= effluent.arrival(index, *limit).unwrap().clock_s);
    }
}

/// Time to 1 % of `TOLUENE_500` at the outlet, s, and its error.
fn life(column: &Column, component: Component, segments: &[Segment]) -> (f64, f64) {
    let effluent = run(column, &[component], segments, &Settings::USUAL).unwrap();
    match effluent.arrival(0, 0.01 * TOLUENE_500) {
        Some(arrival) => (arrival.clock_s, 2.0 * arrival.error_s.unwrap()),
        None => (f64::INFINITY, 0.0),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    // More vapour and more flow: not longer; more carbon: not shorter; hotter, as a lower
    // saturation of the pores: not longer. Each within what the grid leaves.
    #[test]
    fn life_is_monotone(
        level in 0.2_f64..2.0,
        speed in 0.5_f64..1.5,
        depth in 0.5_f64..1.5,
        more in 1.02_f64..1.5,
    ) {
        let column = Column { depth_m: COLUMN.depth_m * depth, ..COLUMN };
        let deeper = Column { depth_m: column.depth_m * more, ..column };
        let air = |level: f64, speed: f64| {
            let first = on(10_000.0, vec![level * TOLUENE_500]);
            let first = Segment { velocity_m_s: VELOCITY * speed, ..first };
            let last = Segment { duration_s: 90_000.0, ..first.clone() };
            [first, of_kind(SegmentKind::Rest { sealed: true }, 3_600.0), last]
        };
        let (base, error) = life(&column, toluene(), &air(level, speed));
        let (stronger, e1) = life(&column, toluene(), &air(level * more, speed));
        prop_assert!(stronger <= base + error + e1, "vapour {stronger} {base}");
        let (faster, e2) = life(&column, toluene(), &air(level, speed * more));
        prop_assert!(faster <= base + error + e2, "flow {faster} {base}");
        let (carbon, e3) = life(&deeper, toluene(), &air(level, speed));
        prop_assert!(carbon + error + e3 >= base, "carbon {carbon} {base}");
        // Hotter: less reduced energy and a higher saturation.
        let hot = Component {
            equilibrium: Equilibrium::Dubinin {
                full_mol_kg: 4.225_952_030_445_352,
                b: 0.120_309_228_581_177_9 * more.sqrt(),
                saturation_mol_m3: 1.313_602_349_673_566_5 * more,
            },
            ..toluene()
        };
        let (hotter, e4) = life(&column, hot, &air(level, speed));
        prop_assert!(hotter <= base + error + e4, "hotter {hotter} {base}");
    }
}
