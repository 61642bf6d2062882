//! A steady case as the march takes it.
//!
//! The march gives every vapour the capacity, humid share and rate that the closed form has for it. The
//! rate coefficient of the closed form is turned into one of the driving force such that in steady air
//! the march of one vapour reaches the end level when the closed form does ([`driving_force`]), in
//! shallow beds as well ([`shallow`]).

use crate::bed::{Air, Bed};
use crate::life::{SteadyCase, Stream, VapourLife, energy, rates};
use crate::march::{
    Column, Component, Effluent, Equilibrium, MarchError, Segment, SegmentKind, Settings, Uptake,
    run,
};
use crate::mixture::Sharing;

/// Part of the bed between the granules: usual for granules poured into a bed (common practice, no
/// source). Times hardly depend on it.
const VOID_FRACTION: f64 = 0.4;

/// Range of the end over the inlet for which the closed form's rate is carried over.
const FRACTIONS: (f64, f64) = (1e-3, 0.2);

/// How fast a front takes its shape, for each part of the bed in which it lacks it: between 0.25 and 0.6
/// in marches of vapours strong and weak; the slower lowers the rate more.
const SETTLES: f64 = 0.4;

/// Halvings of the search for a rate.
const HALVINGS: u32 = 30;

/// Shortest march, min.
const FEWEST_MIN: f64 = 10.0;

/// Longest march, min: two years without a pause. What a trace would take beyond them is left to the
/// closed form.
const MOST_MIN: f64 = 1e6;

/// Diffusivity of benzene in air at 298.15 K and one atmosphere, m²/s, and its molar mass, g/mol;
/// others go as the root of the inverse molar mass. Value from memory; it only sets how fast a load
/// spreads at rest.
const DIFFUSIVITY: (f64, f64) = (9.3e-6, 78.11);

/// Greatest end, as a part of what the outlet rises to, up to which the closed form of one vapour is
/// taken as it is: the front of the march has a longer foot than that of the closed form, but a steeper
/// back, so that above it the march comes first.
const ALONE_UP_TO: f64 = FRACTIONS.1;

/// Whether the closed form may say longer than the march of a case: for several vapours, which push each
/// other out before their fronts have parted, and for an end well up the front.
pub(crate) fn may_outlast(lives: &[VapourLife], case: &SteadyCase) -> bool {
    let high =
        |(life, stream): (&VapourLife, &Stream)| life.plateau_ppm * ALONE_UP_TO < stream.end_ppm;
    lives.len() > 1 || lives.iter().zip(&case.streams).any(high)
}

/// Minutes until each vapour of a steady case reaches its end in the march; infinite where it does not
/// within the time in which by the closed form, whose `lives` these are, all are through, or within
/// [`MOST_MIN`].
pub(crate) fn ends(
    case: &SteadyCase,
    lives: &[VapourLife],
    settings: &Settings,
) -> Result<Vec<f64>, MarchError> {
    let parts = case.streams.iter().zip(lives);
    let components: Vec<Component> =
        parts.map(|(stream, life)| component(case, stream, life, 1.0)).collect();
    let middles = lives.iter().map(|life| life.course.midpoint_min);
    let longest =
        middles.filter(|minutes| minutes.is_finite()).fold(FEWEST_MIN, f64::max).min(MOST_MIN);
    let level = |(stream, of): (&Stream, &Component)| mol_m3(&case.air, stream.inlet_ppm, of);
    let segment = Segment {
        duration_s: longest * 60.0,
        velocity_m_s: case.air.velocity_cm_per_s(&case.bed) * 1e-2,
        inlet_mol_m3: case.streams.iter().zip(&components).map(level).collect(),
        kind: SegmentKind::On,
        components: None,
    };
    let effluent = march(&case.bed, &components, &[segment], settings)?;
    let end = |(index, stream): (usize, &Stream)| {
        let end = case.air.mol_per_cm3(case.air.partial_pressure_kpa(stream.end_ppm)) * 1e6;
        let arrival = effluent.arrival(index, end);
        arrival.map_or(f64::INFINITY, |arrival| arrival.in_use_s / 60.0)
    };
    Ok(case.streams.iter().enumerate().map(end).collect())
}

/// Level of a component in air, mol/m³. A copy whose inputs were moved may lie past saturation; such air
/// is saturated.
pub(crate) fn mol_m3(air: &Air, ppm: f64, component: &Component) -> f64 {
    let level = air.mol_per_cm3(air.partial_pressure_kpa(ppm)) * 1e6;
    match component.equilibrium {
        Equilibrium::Dubinin { saturation_mol_m3, .. } => level.min(saturation_mol_m3),
        _ => level,
    }
}

/// The march of one element of `bed`, in which vapours share the pores as in the closed form.
pub(crate) fn march(
    bed: &Bed,
    components: &[Component],
    segments: &[Segment],
    settings: &Settings,
) -> Result<Effluent, MarchError> {
    let settings = Settings { sharing: Sharing::ByVolume, ..*settings };
    run(&column(bed), components, segments, &settings)
}

/// The bed of one element.
pub(crate) fn column(bed: &Bed) -> Column {
    Column {
        depth_m: bed.depth_cm() * 1e-2,
        bulk_density_kg_m3: bed.bulk_density * 1e3,
        void_fraction: VOID_FRACTION,
        area_m2: bed.area_cm2 * 1e-4,
    }
}

/// A vapour whose `life` by the closed form is known, with the bed holding `capacity` times as much.
pub(crate) fn component(
    case: &SteadyCase,
    stream: &Stream,
    life: &VapourLife,
    capacity: f64,
) -> Component {
    let (vapour, air) = (&stream.vapour, &case.air);
    let b = air.thermal_energy() / energy(case, vapour);
    let share = life.humid_share * capacity;
    let full_mol_kg = case.bed.carbon.micropore_volume / vapour.molar_volume() * share * 1e3;
    let inlet_kpa = air.partial_pressure_kpa(stream.inlet_ppm);
    let potential = (vapour.psat_kpa / inlet_kpa).ln().max(0.0);
    let held = full_mol_kg * (-(b * potential) * (b * potential)).exp();
    let inlet_mol_m3 = air.mol_per_cm3(inlet_kpa) * 1e6;
    let fraction = stream.end_ppm / stream.inlet_ppm;
    // The rate is that of the vapour alone: how soon others push it out must not hang on which of two
    // that are held alike counts as the stronger.
    let loading = held / capacity * vapour.molar_mass * 1e-3;
    let (rate, _) = rates(case, vapour, loading, fraction);
    let rise = rate / 60.0 * inlet_mol_m3 / (held * case.bed.bulk_density * 1e3);
    let fed_mol_s = inlet_mol_m3 * air.flow_per_element_cm3_per_min(&case.bed) * 1e-6 / 60.0;
    let middle_s = held * case.bed.mass_g * 1e-3 / fed_mol_s;
    let (free, mass) = DIFFUSIVITY;
    Component {
        name: vapour.name.clone(),
        equilibrium: Equilibrium::Dubinin {
            full_mol_kg,
            b,
            saturation_mol_m3: air.mol_per_cm3(vapour.psat_kpa) * 1e6,
        },
        uptake: Uptake::DrivingForce {
            per_s: driving_force((rise, middle_s), (b, potential), fraction),
        },
        diffusivity_m2_s: free
            * (mass / vapour.molar_mass).sqrt()
            * (air.temperature_k / 298.15).powf(1.75)
            * (101.325 / air.pressure_kpa),
    }
}

/// Coefficient of the linear driving force, 1/s, with which a fresh bed passes `fraction` of its inlet
/// when the closed form with `rise`, 1/s, and its middle at `middle_s` does.
///
/// In a front of constant shape load follows level, so that with the driving force
/// `dx/dt = k (g(x) - x)`, where `g(x)` is the load in balance at the part `x` of the inlet over that
/// at the inlet. The time from `x` to the stoichiometric middle is then `M(x)/k` with
/// `M = int_x^1 (1-s)/(g-s) ds - int_0^x s/(g-s) ds`; the closed form has `ln((1-x)/x)/rise`. Derived
/// here; checked by marching.
fn driving_force((rise, middle_s): (f64, f64), (b, potential): (f64, f64), fraction: f64) -> f64 {
    const PARTS: u32 = 24;
    let x = fraction.clamp(FRACTIONS.0, FRACTIONS.1);
    let at_inlet = b * potential;
    let balance = |s: f64| {
        let here = b * (potential - s.ln());
        (at_inlet * at_inlet - here * here).exp()
    };
    // A level so low that its curve bends the other way has no front of constant shape.
    let gap = |s: f64| (balance(s) - s).max(0.02 * (1.0 - s));
    let mean = |from: f64, to: f64, of: &dyn Fn(f64) -> f64| {
        let width = (to - from) / f64::from(PARTS);
        let middle = |part: u32| from + (f64::from(part) + 0.5) * width;
        (0..PARTS).map(|part| of(middle(part))).sum::<f64>() * width
    };
    let after = mean(x, 1.0, &|s| (1.0 - s) / gap(s));
    let before = mean(0.0, x, &|s| s / gap(s));
    let ahead = after - before;
    let at_once = mean(x.ln(), 0.0, &|l| l.exp() / balance(l.exp()));
    let deep = rise * ahead / ((1.0 - x) / x).ln();
    deep * shallow(deep * middle_s, ahead, at_once)
}

/// By how much slower than in a deep bed the driving force is in one of so many transfer `units`.
///
/// A front of constant shape passes its end `ahead` of the middle, in units of the inverse rate, so
/// that the closed form ends after `units - ahead` and at once in a bed of no more. A driving force
/// passes the end at once in a bed of `at_once = int_x^1 ds/g` units only, and in one of `n` after
/// `n - ahead` and what is left of the difference, which decays as the front takes its shape. That a
/// critical mass lets the end through at once is what beds of several depths show (Jonas and Rehrmann
/// 1973, from memory), so that the closed form is taken and the rate of the driving force lowered.
fn shallow(units: f64, ahead: f64, at_once: f64) -> f64 {
    let missing = ahead - at_once;
    if missing <= 0.0 {
        return 1.0;
    }
    if units <= ahead {
        return (at_once / units).min(1.0);
    }
    // Where rate and bed are slower by a share, the end is later by as much as it should not be.
    let later = |share: f64| missing * (-SETTLES * (share * units - at_once) / missing).exp();
    let (mut low, mut high) = (at_once / units, 1.0);
    for _ in 0..HALVINGS {
        let share = 0.5 * (low + high);
        if later(share) < ahead * (1.0 - share) { low = share } else { high = share }
    }
    low
}
