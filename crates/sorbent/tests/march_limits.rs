//! The march in limits where a simpler answer is known.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

mod march_support;

use march_support::{COLUMN, TOLUENE_500, VELOCITY, march, of_kind, on, toluene};
use sorbent::BreakthroughTerms;
use sorbent::march::{
    Column, Component, Equilibrium, MarchError, SegmentKind, Settings, Uptake, run,
};

fn reaction(m3_mol_s: f64) -> Component {
    Component {
        name: "acid gas".to_owned(),
        equilibrium: Equilibrium::Reaction { full_mol_kg: 0.8 },
        uptake: Uptake::SecondOrder { m3_mol_s },
        diffusivity_m2_s: 0.0,
    }
}

fn with_rate(per_s: f64) -> Component {
    Component { uptake: Uptake::DrivingForce { per_s }, ..toluene() }
}

/// Load over level of toluene at 500 ppm, m³/kg; `data/checks/bed/problems.json`.
const RATIO: f64 = 3.292_519_968_765_275_5 / TOLUENE_500;

/// Time, s, at which the bed would be full if nothing passed before.
fn stoichiometric() -> f64 {
    COLUMN.bulk_density_kg_m3 * COLUMN.depth_m * RATIO / VELOCITY
}

// The equation of Wheeler and Jonas is the long-bed limit of irreversible second-order uptake
// (Bohart and Adams 1920, from memory): same midpoint and same rise.
#[test]
fn irreversible_uptake_is_the_closed_form() {
    let on_rate = 60.0 * VELOCITY / (COLUMN.bulk_density_kg_m3 * 0.8 * COLUMN.depth_m);
    let full_s = COLUMN.bulk_density_kg_m3 * COLUMN.depth_m * 0.8 / (VELOCITY * TOLUENE_500);
    let effluent = march(&[reaction(on_rate)], &[on(2.0 * full_s, vec![TOLUENE_500])]);
    // The closed form in its own units: per m2 of bed, mol for g, cm3 and minutes made alike.
    let course = BreakthroughTerms {
        mass_g: COLUMN.bulk_density_kg_m3 * COLUMN.depth_m,
        loading: 0.8,
        flow_cm3_per_min: VELOCITY * 60.0,
        bulk_density: COLUMN.bulk_density_kg_m3,
        rate: on_rate * 60.0 * 0.8 * COLUMN.bulk_density_kg_m3,
        inlet: TOLUENE_500,
    }
    .course();
    for fraction in [0.01, 0.1, 0.5] {
        let arrival = effluent.arrival(0, fraction * TOLUENE_500).unwrap();
        let closed = course.time_to(fraction) * 60.0;
        assert!((arrival.clock_s / closed - 1.0).abs() < 1e-3, "{fraction}: {arrival:?} {closed}");
    }
}

// Balance: what a saturated bed holds is what the isotherm says, and the area above the curve is
// the stoichiometric time.
#[test]
fn the_area_above_the_curve_is_the_stoichiometric_time() {
    let effluent = march(&[toluene()], &[on(2e5, vec![TOLUENE_500])]);
    let balance = effluent.balance(0);
    let time = balance.held / (VELOCITY * TOLUENE_500);
    assert!((time / stoichiometric() - 1.0).abs() < 1e-6, "{time}");
    assert!(balance.relative_error.abs() < 1e-12, "{balance:?}");
}

// Infinite rate: a shock at the stoichiometric time and the gas's own.
#[test]
fn infinite_rate_is_a_shock_at_the_stoichiometric_time() {
    let effluent = march(&[with_rate(1e6)], &[on(28_800.0, vec![TOLUENE_500])]);
    let shock = stoichiometric() + COLUMN.void_fraction * COLUMN.depth_m / VELOCITY;
    for fraction in [0.01, 0.5] {
        let arrival = effluent.arrival(0, fraction * TOLUENE_500).unwrap();
        let error = (arrival.clock_s - shock).abs();
        assert!(error < 0.01 * shock, "{fraction}: {arrival:?} {shock}");
        // A jump has no order; the estimate still has to own up.
        assert!(error < 5.0 * arrival.error_s.unwrap(), "{fraction}: {arrival:?} {shock}");
    }
}

// The speed of that shock: from one depth to another in proportion.
#[test]
fn shock_speed_is_constant() {
    let time = |depth_m: f64| {
        let column = Column { depth_m, ..COLUMN };
        let segments = [on(28_800.0, vec![TOLUENE_500])];
        let effluent = run(&column, &[with_rate(1e6)], &segments, &Settings::USUAL).unwrap();
        effluent.arrival(0, 0.5 * TOLUENE_500).unwrap().clock_s
    };
    assert!((time(0.022) / time(0.011) - 2.0).abs() < 5e-3);
}

#[test]
fn zero_rate_lets_everything_pass() {
    let effluent = march(&[with_rate(0.0)], &[on(3600.0, vec![TOLUENE_500])]);
    assert!(effluent.outlet_mol_m3(0).iter().all(|c| *c == TOLUENE_500));
    assert_eq!(effluent.arrival(0, 0.5 * TOLUENE_500).unwrap().clock_s, 0.0);
}

// A rest spreads the load and the first minutes of reuse show it; a longer rest shows more.
#[test]
fn a_rest_brings_vapour_to_the_outlet() {
    let worn = |rest_s: f64| {
        let segments = [
            on(7200.0, vec![TOLUENE_500]),
            of_kind(SegmentKind::Rest { sealed: true }, rest_s),
            on(600.0, vec![0.1 * TOLUENE_500]),
        ];
        let volatile = Component { diffusivity_m2_s: 1e-4, ..with_rate(2e-3) };
        let effluent = march(&[volatile], &segments);
        assert!(effluent.balance(0).relative_error.abs() < 1e-11, "{:?}", effluent.balance(0));
        let after = effluent.clock_s().partition_point(|t| *t < 7200.0 + rest_s);
        assert!(effluent.clock_s()[after] - 7200.0 - rest_s < 10.0);
        effluent.outlet_mol_m3(0)[after]
    };
    let [short, night, week] = [60.0, 57_600.0, 604_800.0].map(worn);
    assert!(short <= night && night < week, "{short} {night} {week}");
}

#[test]
fn open_storage_loses_and_sealed_keeps() {
    let worn = |sealed: bool| {
        let segments =
            [on(7200.0, vec![TOLUENE_500]), of_kind(SegmentKind::Rest { sealed }, 57_600.0)];
        march(&[toluene()], &segments).balance(0)
    };
    let (open, sealed) = (worn(false), worn(true));
    assert_eq!(sealed.lost, 0.0);
    assert!(open.lost > 0.0 && open.held < sealed.held);
    assert!(open.relative_error.abs() < 1e-11 && sealed.relative_error.abs() < 1e-11);
}

// Reference: the same segment in two parts is one segment, digit for digit; with a change of
// nothing but the last digit between the parts it is marched as two, and only the grid differs.
#[test]
fn splitting_a_segment_changes_nothing() {
    let whole = march(&[toluene()], &[on(28_800.0, vec![TOLUENE_500])]);
    let parts =
        march(&[toluene()], &[on(7_000.0, vec![TOLUENE_500]), on(21_800.0, vec![TOLUENE_500])]);
    assert_eq!(whole, parts);
    let nearly =
        [on(7_000.0, vec![TOLUENE_500]), on(21_800.0, vec![TOLUENE_500 * (1.0 + f64::EPSILON)])];
    let nearly = march(&[toluene()], &nearly);
    for fraction in [0.01, 0.1, 0.5] {
        let [a, b] = [&whole, &nearly].map(|e| e.arrival(0, fraction * TOLUENE_500).unwrap());
        let told = a.error_s.unwrap() + b.error_s.unwrap();
        assert!((a.clock_s - b.clock_s).abs() < 5.0 * told, "{a:?} {b:?}");
        assert!((a.clock_s / b.clock_s - 1.0).abs() < 1e-3, "{a:?} {b:?}");
    }
}

#[test]
fn what_no_bed_can_be_is_refused_by_name() {
    let good = || on(100.0, vec![TOLUENE_500]);
    let refused = |column: Column, component: Component, segment| {
        run(&column, &[component], &[segment], &Settings::USUAL).unwrap_err().to_string()
    };
    for bad in [f64::NAN, -1.0, f64::INFINITY, 0.0] {
        let message = refused(Column { depth_m: bad, ..COLUMN }, toluene(), good());
        assert!(message.contains("depth"), "{message}");
        let message = refused(COLUMN, toluene(), on(bad, vec![TOLUENE_500]));
        assert!(message.contains("duration"), "{message}");
    }
    for bad in [f64::NAN, -1.0, 2.0] {
        let message = refused(COLUMN, toluene(), on(100.0, vec![bad]));
        assert!(message.contains("level of toluene"), "{message}");
        let message = refused(COLUMN, with_rate(-bad.abs() - 1.0), good());
        assert!(message.contains("rate") && message.contains("toluene"), "{message}");
    }
    let message = refused(COLUMN, toluene(), of_kind(SegmentKind::Rest { sealed: true }, 10.0));
    assert!(message.contains("no segment has air passing"), "{message}");
    let error = run(&COLUMN, &[toluene()], &[on(1.0, vec![])], &Settings::USUAL).unwrap_err();
    assert_eq!(error, MarchError::Levels { segment: 1, found: 0, wanted: 1 });
}
