//! Water in the march: it shortens what the pores hold of a vapour, and vapour drives it out.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

mod march_support;

use march_support::{COLUMN, TOLUENE_500, acetone, march, of_kind, on, toluene};
use proptest::prelude::*;
use sorbent::march::{
    Component, Effluent, Equilibrium, Moisture, Segment, SegmentKind, Settings,
    USUAL_WATER_RATE_PER_S, Uptake, run,
};
use sorbent::{Air, Carbon, TYPICAL_WATER, Vapour, humid_volume};

/// Micropores of the bed of `data/checks/bed`, cm³/g, and its temperature, K.
const PORES: f64 = 0.45;
const TEMPERATURE: f64 = 295.0;
/// Water in saturated air there, mol/m³: 2.62 kPa (value from memory) over R T.
const SATURATED: f64 = 1.068;

fn water(stored_humidity: f64) -> Component {
    Component {
        name: "water".to_owned(),
        equilibrium: Equilibrium::Water(Moisture {
            isotherm: TYPICAL_WATER,
            micropore_volume: PORES,
            saturation_mol_m3: SATURATED,
            stored_humidity,
        }),
        uptake: Uptake::DrivingForce { per_s: USUAL_WATER_RATE_PER_S },
        diffusivity_m2_s: 2.5e-5,
    }
}

/// Toluene from a bed stored at `stored` in air of `humidity`.
fn humid(duration_s: f64, stored: f64, humidity: f64) -> Effluent {
    let air = on(duration_s, vec![TOLUENE_500, humidity * SATURATED]);
    march(&[toluene(), water(stored)], &[air])
}

fn ten_percent(effluent: &Effluent) -> f64 {
    effluent.arrival(0, 0.1 * TOLUENE_500).unwrap().clock_s
}

// The closed form in the limit: a bed in balance with what enters holds what `humid_volume` says.
#[test]
fn a_saturated_bed_holds_what_the_closed_form_says() {
    let vapour = Vapour {
        name: "toluene".to_owned(),
        molar_mass: 92.138_42,
        psat_kpa: 3.221_959_8,
        psat_log_slope_per_k: 0.05,
        density: 0.865_272_3,
        polarisation: 31.0,
        affinity: 1.13,
        estimated: Default::default(),
    };
    let carbon = Carbon { micropore_volume: PORES, reference_energy: 0.0, water: TYPICAL_WATER };
    for humidity in [0.0, 0.3, 0.5, 0.7, 0.85, 0.95] {
        let air = Air {
            flow_l_per_min: 1.0,
            temperature_k: TEMPERATURE,
            pressure_kpa: 101.325,
            humidity,
        };
        let energy = 8.311_914_32 * air.thermal_energy();
        let pressure_kpa = air.partial_pressure_kpa(500.0);
        let volume = humid_volume(&carbon, &air, &vapour, (energy, pressure_kpa)).unwrap();
        let closed = volume / vapour.molar_volume() * 1e3;
        let effluent = humid(400_000.0, humidity, humidity);
        for held in effluent.load_mol_kg(0) {
            assert!((held / closed - 1.0).abs() < 5e-3, "{humidity}: {held} {closed}");
        }
        // What the pores hold of both together is never more than they are wide.
        let both = closed * vapour.molar_volume() + effluent.load_mol_kg(1)[0] * 18.05;
        assert!(both < PORES * 1e3, "{humidity}: {both}");
        balanced(&effluent, 2);
    }
}

fn balanced(effluent: &Effluent, components: usize) {
    for index in 0..components {
        let balance = effluent.balance(index);
        assert!(balance.relative_error.abs() < 1e-10, "{index}: {balance:?}");
        let levels = effluent.outlet_mol_m3(index).iter();
        assert!(levels.chain(effluent.load_mol_kg(index)).all(|x| x.is_finite() && *x >= 0.0));
    }
}

// Without water in bed and air the march is the dry one, but for its solver.
#[test]
fn no_water_is_no_change() {
    let dry = ten_percent(&march(&[toluene()], &[on(28_800.0, vec![TOLUENE_500])]));
    let beside = ten_percent(&humid(28_800.0, 0.0, 0.0));
    assert!((beside / dry - 1.0).abs() < 2e-4, "{beside} {dry}");
}

// Read, LF01 of `data/literature_findings.csv`: toluene is hardly affected below 50 % humidity and
// clearly by 75 %.
#[test]
fn humidity_shortens_the_life_slowly_at_first_and_without_a_cliff() {
    let dry = ten_percent(&humid(28_800.0, 0.0, 0.0));
    let mut last = dry;
    for percent in (5..=100).step_by(5) {
        let h = f64::from(percent) / 100.0;
        let now = ten_percent(&humid(28_800.0, h, h));
        assert!(now <= last * 1.0005, "{percent} %: {now} after {last}");
        assert!(now > last * 0.88, "{percent} %: {now} after {last}");
        last = now;
    }
    let at = |h: f64| ten_percent(&humid(28_800.0, h, h)) / dry;
    assert!(
        at(0.4) > 0.92 && at(0.75) < 0.85 && at(0.95) > 0.2,
        "{} {} {}",
        at(0.4),
        at(0.75),
        at(0.95)
    );
}

// Vapour that is taken up drives water out: more leaves than enters, and less stays than alone.
#[test]
fn vapour_drives_water_out() {
    let effluent = humid(28_800.0, 0.7, 0.7);
    let inlet = 0.7 * SATURATED;
    let peak = effluent.peak(1).unwrap();
    assert!(peak.level_mol_m3 > 1.02 * inlet, "{peak:?}");
    let alone = march(&[water(0.7), toluene()], &[on(28_800.0, vec![inlet, 0.0])]);
    assert!((alone.peak(0).unwrap().level_mol_m3 / inlet - 1.0).abs() < 1e-6);
    assert!(effluent.load_mol_kg(1)[0] < 0.8 * alone.load_mol_kg(0)[0]);
}

// A bed stored wet is worse in dry air than one stored dry, and better than in wet air.
#[test]
fn a_bed_stored_wet_dries_while_it_works() {
    let [dry, dried, wet] = [(0.0, 0.0), (0.85, 0.0), (0.85, 0.85)]
        .map(|(stored, humidity)| ten_percent(&humid(28_800.0, stored, humidity)));
    assert!(wet < 0.9 * dried && dried < dry, "{wet} {dried} {dry}");
}

#[test]
fn two_vapours_a_night_and_humid_clean_air_are_kept_count_of() {
    let inlet = |part: f64| vec![0.5 * TOLUENE_500, 0.5 * TOLUENE_500 * part, 0.6 * SATURATED];
    let segments = [
        on(5_000.0, inlet(1.0)),
        of_kind(SegmentKind::Rest { sealed: true }, 57_600.0),
        Segment {
            inlet_mol_m3: vec![0.0, 0.0, 0.9 * SATURATED],
            ..of_kind(SegmentKind::CleanAir, 1_800.0)
        },
        of_kind(SegmentKind::Rest { sealed: false }, 3_600.0),
        on(5_000.0, inlet(0.5)),
        of_kind(SegmentKind::CleanAir, 600.0),
    ];
    balanced(&march(&[acetone(), toluene(), water(0.5)], &segments), 3);
}

// Four times as many cells and steps move the times by no more than the estimate says.
#[test]
fn the_error_is_told_with_water_too() {
    let air = [on(28_800.0, vec![TOLUENE_500, 0.7 * SATURATED])];
    let components = [toluene(), water(0.4)];
    let usual = march(&components, &air);
    let finer = Settings { fineness: 4.0, estimate: false, ..Settings::USUAL };
    let finer = run(&COLUMN, &components, &air, &finer).unwrap();
    for fraction in [0.01, 0.1, 0.5] {
        let [a, b] = [&usual, &finer].map(|e| e.arrival(0, fraction * TOLUENE_500).unwrap());
        let (off, told) = ((a.clock_s - b.clock_s).abs(), a.error_s.unwrap());
        println!("{fraction}: {off:.2} s off, {told:.2} s told");
        assert!(off < 5.0 * told && off < 2e-3 * b.clock_s, "{fraction}: {a:?} {b:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, ..ProptestConfig::default() })]

    // More water in the air or in storage never means a longer life, up to saturation.
    #[test]
    fn life_is_monotone_in_water(
        stored in 0.0_f64..0.95,
        humidity in 0.0_f64..0.95,
        more in 0.01_f64..0.3,
        level in 0.1_f64..2.0,
    ) {
        let life = |stored: f64, humidity: f64| {
            let air = on(250_000.0, vec![level * TOLUENE_500, humidity.min(1.0) * SATURATED]);
            let effluent = march(&[toluene(), water(stored.min(1.0))], &[air]);
            let arrival = effluent.arrival(0, 0.01 * TOLUENE_500).unwrap();
            (arrival.clock_s, arrival.error_s.unwrap())
        };
        let (base, error) = life(stored, humidity);
        let (wetter, e1) = life(stored, humidity + more);
        prop_assert!(wetter <= base + error + e1, "air {wetter} {base}");
        let (damper, e2) = life(stored + more, humidity);
        prop_assert!(damper <= base + error + e2, "storage {damper} {base}");
    }
}

#[test]
fn water_must_be_one_and_possible() {
    let refused = |components: &[Component]| {
        let air = on(100.0, vec![0.0; components.len()]);
        run(&COLUMN, components, &[air], &Settings::USUAL).unwrap_err().to_string()
    };
    assert!(refused(&[water(0.5), water(0.5)]).contains("water"));
    assert!(refused(&[water(1.5)]).contains("humidity of storage"));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    // In air and storage of any humidity, more vapour does not last longer, within what the grid leaves.
    #[test]
    fn more_vapour_in_humid_air_does_not_last_longer(
        level in 0.2_f64..2.0,
        more in 1.02_f64..1.5,
        stored in 0.0_f64..0.95,
        humidity in 0.0_f64..0.95,
    ) {
        let life = |level: f64| {
            let air = on(120_000.0, vec![level * TOLUENE_500, humidity * SATURATED]);
            let effluent = march(&[toluene(), water(stored)], &[air]);
            let arrival = effluent.arrival(0, 0.01 * TOLUENE_500);
            arrival.map_or((f64::INFINITY, 0.0), |a| (a.clock_s, 2.0 * a.error_s.unwrap()))
        };
        let ((base, e0), (stronger, e1)) = (life(level), life(level * more));
        prop_assert!(stronger <= base + e0 + e1, "{stronger} after {base}");
    }
}
