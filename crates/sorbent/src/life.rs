//! Life of a set of elements in steady air.

use crate::LifeError;
use crate::bed::{Air, Bed};
use crate::breakthrough::{Breakthrough, BreakthroughTerms};
use crate::capacity::{adsorbed_volume, humid_volume, wood_1994_energy};
use crate::mixture::{Adsorbate, Plateau, Sharing, displacement_train};
use crate::rate::{wood_1994_rate, wood_lodewyckx_2003_rate};
use crate::vapour::Vapour;

/// Range of molar polarisation, cm³/mol, in which the affinity has been shown to hold: above
/// methanol, whose measured life the equation misses by several times, up to large esters.
const POLARISATION: (f64, f64) = (10.0, 110.0);

/// Least part of the micropores that must be filled: below it the true curve is a straight line
/// that Dubinin-Radushkevich does not have.
const LEAST_FILLING: f64 = 1e-3;

/// An end so many times above what enters is never reached, however little is held and however hard stronger
/// vapours push, so that a trace may fill less than [`LEAST_FILLING`]. A judgement, no source.
const TRACE: f64 = 100.0;

/// Velocity of the air in a respirator's bed, cm/s, above which rates are not known, and micropore volume,
/// cm³/g, above which few carbons are: judgements, no source.
const USUAL_UP_TO: (f64, f64) = (100.0, 1.5);

/// Which equations give capacity and rate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// Dubinin-Radushkevich with affinity by molar polarisation, humid air, mixtures, and the
    /// geometric mean of the two published rate correlations.
    ReactionKinetic,
    /// Both correlations of Wood 1994 and nothing else, for comparison with published tables.
    Wood1994,
}

/// One vapour that enters, and the level at the outlet that ends the life.
#[derive(Debug, Clone, PartialEq)]
pub struct Stream {
    /// The vapour.
    pub vapour: Vapour,
    /// Level that enters, ppm.
    pub inlet_ppm: f64,
    /// Level at the outlet that ends the life, ppm.
    pub end_ppm: f64,
}

/// A set of elements in steady air.
#[derive(Debug, Clone, PartialEq)]
pub struct SteadyCase {
    /// The beds.
    pub bed: Bed,
    /// The air.
    pub air: Air,
    /// What the air carries.
    pub streams: Vec<Stream>,
    /// By which equations.
    pub method: Method,
    /// Multiplies the rate coefficient; 1 but where uncertainty is explored.
    pub rate_factor: f64,
    /// Rates are not taken faster than at this velocity, cm/s, where one is given: the velocity of
    /// a test that the bed is known by.
    pub fastest_velocity: Option<f64>,
}

/// What a case says of one vapour.
#[derive(Debug, Clone, PartialEq)]
pub struct VapourLife {
    /// Minutes until the outlet reaches the end level; infinite where it never does.
    pub time_min: f64,
    /// The course at the outlet, as a fraction of `plateau_ppm`.
    pub course: Breakthrough,
    /// Level that the outlet rises to: the inlet, or more where stronger vapours push it out.
    pub plateau_ppm: f64,
    /// Vapour held, g per g of sorbent.
    pub loading: f64,
    /// Rate coefficient used, 1/min.
    pub rate: f64,
    /// The rate coefficients of the two correlations, 1/min, where two were combined.
    pub both_rates: Option<(f64, f64)>,
    /// Sorbent per element below which the end level passes at once, g.
    pub critical_mass_g: f64,
    /// Part that humidity leaves of the dry loading, 0 to 1.
    pub humid_share: f64,
    /// Where the case stands at the edge of what the equations were shown to hold for.
    pub validity: Vec<Validity>,
}

/// An edge of validity that a case touches; it is said, and the bound is not to be trusted beyond.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Validity {
    /// The end is below 0.1 % of the inlet.
    EndBelowOneThousandth,
    /// The end is above half of the inlet; the midpoint is given.
    EndAboveHalf,
    /// Less than a hundredth of the micropores is filled.
    NearHenryRegion,
    /// Humidity above 65 %, where the correction has been checked on few carbons.
    VeryHumid,
    /// The bed is less than twice its critical mass.
    NearCriticalMass,
    /// The air passes the bed faster than rates were measured.
    FastAir,
    /// More micropores than carbons have.
    ManyPores,
}

/// Life of each vapour of `case`, in the order given.
///
/// Refuses no contaminant, a concentration of zero or above saturation, an end of zero, and a
/// vapour outside the range of the affinity, each by name.
pub fn steady_life(case: &SteadyCase) -> Result<Vec<VapourLife>, LifeError> {
    if case.streams.is_empty() {
        return Err(LifeError::NoContaminant);
    }
    case.streams.iter().try_for_each(|stream| check(case, stream))?;
    lives_of(case)
}

/// The same of a case that stands beside one that was checked: with its inputs moved within their
/// spreads it may lie a little past an edge of validity, where the equations still give a number.
pub(crate) fn lives_of(case: &SteadyCase) -> Result<Vec<VapourLife>, LifeError> {
    let adsorbates: Vec<Adsorbate> =
        case.streams.iter().map(|stream| adsorbate(case, &stream.vapour)).collect();
    let pressures: Vec<f64> =
        case.streams.iter().map(|s| case.air.partial_pressure_kpa(s.inlet_ppm)).collect();
    let sharing = match case.method {
        Method::ReactionKinetic => Sharing::ByVolume,
        Method::Wood1994 => Sharing::ByNumber,
    };
    let train = displacement_train(&adsorbates, &pressures, sharing)?;
    let mut lives: Vec<(usize, VapourLife)> = Vec::with_capacity(train.len());
    for plateau in &train {
        if let Some(stream) = case.streams.get(plateau.vapour) {
            lives.push((plateau.vapour, vapour_life(case, stream, plateau)?));
        }
    }
    lives.sort_by_key(|(index, _)| *index);
    Ok(lives.into_iter().map(|(_, life)| life).collect())
}

/// Refuses a stream the equations cannot speak of.
fn check(case: &SteadyCase, stream: &Stream) -> Result<(), LifeError> {
    let name = || stream.vapour.name.clone();
    if stream.inlet_ppm.is_nan() || stream.inlet_ppm <= 0.0 {
        return Err(LifeError::NothingEnters { name: name() });
    }
    within(&stream.vapour, "end of life in ppm", stream.end_ppm, (f64::MIN_POSITIVE, 1e6))?;
    let pressure_kpa = case.air.partial_pressure_kpa(stream.inlet_ppm);
    let saturation_kpa = stream.vapour.psat_kpa;
    if pressure_kpa >= saturation_kpa {
        return Err(LifeError::AboveSaturation { name: name(), pressure_kpa, saturation_kpa });
    }
    within(
        &stream.vapour,
        "molar polarisation in cm3/mol",
        stream.vapour.polarisation,
        POLARISATION,
    )?;
    let potential = case.air.thermal_energy() * (saturation_kpa / pressure_kpa).ln();
    let filling = adsorbed_volume(1.0, energy(case, &stream.vapour), potential);
    let least = if stream.end_ppm > TRACE * stream.inlet_ppm { 0.0 } else { LEAST_FILLING };
    within(&stream.vapour, "filled part of the micropores", filling, (least, 1.0))
}

fn within(
    vapour: &Vapour,
    what: &'static str,
    value: f64,
    (lowest, highest): (f64, f64),
) -> Result<(), LifeError> {
    if lowest <= value && value <= highest {
        return Ok(());
    }
    Err(LifeError::OutsideValidity { name: vapour.name.clone(), what, value, lowest, highest })
}

/// Characteristic energy of a vapour on the sorbent of a case, J/mol.
pub(crate) fn energy(case: &SteadyCase, vapour: &Vapour) -> f64 {
    let carbon = &case.bed.carbon;
    match case.method {
        Method::ReactionKinetic => vapour.affinity * carbon.reference_energy,
        Method::Wood1994 => wood_1994_energy(carbon.micropore_volume, vapour.polarisation),
    }
}

fn adsorbate(case: &SteadyCase, vapour: &Vapour) -> Adsorbate {
    Adsorbate {
        most: case.bed.carbon.micropore_volume / vapour.molar_volume(),
        energy: energy(case, vapour) / case.air.thermal_energy(),
        psat_kpa: vapour.psat_kpa,
    }
}

/// Part of the dry volume that humid air leaves to the vapours of a stretch of the bed: that of
/// the closing vapour alone, filling as much of the pores as they all do together.
fn humid_share(case: &SteadyCase, vapour: &Vapour, plateau: &Plateau) -> Result<f64, LifeError> {
    if case.method == Method::Wood1994 {
        return Ok(1.0);
    }
    let volume_of = |(index, loading): &(usize, f64)| {
        case.streams.get(*index).map_or(0.0, |s| loading * s.vapour.molar_volume())
    };
    let dry: f64 = plateau.all.iter().map(volume_of).sum();
    let carbon = &case.bed.carbon;
    let energy = energy(case, vapour);
    let filled = (dry / carbon.micropore_volume).min(1.0 - f64::EPSILON);
    let potential = energy * (-filled.ln()).sqrt();
    let pressure_kpa = vapour.psat_kpa * (-potential / case.air.thermal_energy()).exp();
    let humid = humid_volume(carbon, &case.air, vapour, (energy, pressure_kpa))?;
    Ok((humid / dry).min(1.0))
}

fn vapour_life(
    case: &SteadyCase,
    stream: &Stream,
    plateau: &Plateau,
) -> Result<VapourLife, LifeError> {
    let vapour = &stream.vapour;
    let humid_share = humid_share(case, vapour, plateau)?;
    let loading = plateau.loading * vapour.molar_mass * humid_share;
    let plateau_ppm = plateau.pressure_kpa / case.air.pressure_kpa * 1e6;
    // What a trace is pushed up to lasts too short a while to be more than a smear.
    let plateau_ppm = plateau_ppm.min(TRACE * stream.inlet_ppm);
    let fraction = stream.end_ppm / plateau_ppm;
    let (rate, both_rates) = rates(case, vapour, loading, fraction);
    let terms = BreakthroughTerms {
        mass_g: case.bed.mass_g,
        loading,
        flow_cm3_per_min: case.air.flow_per_element_cm3_per_min(&case.bed),
        bulk_density: case.bed.bulk_density,
        rate,
        inlet: case.air.mol_per_cm3(plateau.pressure_kpa) * vapour.molar_mass,
    };
    // Nothing held: the vapour passes from the first minute on.
    let course = if loading > 0.0 {
        terms.course()
    } else {
        Breakthrough { midpoint_min: 0.0, rise_per_min: f64::MAX }
    };
    let critical_mass_g = terms.critical_mass_g(fraction);
    Ok(VapourLife {
        time_min: if fraction < 1.0 { course.time_to(fraction) } else { f64::INFINITY },
        course,
        plateau_ppm,
        loading,
        rate,
        both_rates,
        critical_mass_g,
        humid_share,
        validity: validity(case, (fraction, critical_mass_g), plateau, vapour),
    })
}

/// The rate coefficient used and, where two correlations speak, both of them. Neither is nearer to
/// the measured rise between 1 % and 10 % of `data/checks/measured_breakthrough.csv`, which lies
/// between them, so their geometric mean is used and the bound carries the distance to the slower.
pub(crate) fn rates(
    case: &SteadyCase,
    vapour: &Vapour,
    loading: f64,
    fraction: f64,
) -> (f64, Option<(f64, f64)>) {
    let own = case.air.velocity_cm_per_s(&case.bed);
    let velocity = case.fastest_velocity.map_or(own, |fastest| own.min(fastest));
    let logarithm = ((1.0 - fraction) / fraction).max(1.0).ln();
    let first = wood_1994_rate(velocity, vapour.polarisation, logarithm) * case.rate_factor;
    if case.method == Method::Wood1994 {
        return (first, None);
    }
    let second = case.rate_factor
        * wood_lodewyckx_2003_rate(
            vapour.affinity,
            velocity,
            case.bed.granule_cm,
            loading,
            vapour.molar_mass,
        );
    ((first * second).sqrt(), Some((first, second)))
}

fn validity(
    case: &SteadyCase,
    (fraction, critical_mass_g): (f64, f64),
    plateau: &Plateau,
    vapour: &Vapour,
) -> Vec<Validity> {
    let most = case.bed.carbon.micropore_volume / vapour.molar_volume();
    let edges = [
        (fraction < 1e-3, Validity::EndBelowOneThousandth),
        (fraction > 0.5 + 1e-9, Validity::EndAboveHalf),
        (plateau.loading < 0.01 * most, Validity::NearHenryRegion),
        (case.air.humidity > 0.65, Validity::VeryHumid),
        (case.bed.mass_g < 2.0 * critical_mass_g, Validity::NearCriticalMass),
        (case.air.velocity_cm_per_s(&case.bed) > USUAL_UP_TO.0, Validity::FastAir),
        (case.bed.carbon.micropore_volume > USUAL_UP_TO.1, Validity::ManyPores),
    ];
    edges.into_iter().filter_map(|(touched, edge)| touched.then_some(edge)).collect()
}
