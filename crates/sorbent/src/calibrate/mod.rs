//! The carbon of a laboratory report: micropore volume, energy and rate found from what was
//! measured, with how sure each is, and how it holds a vapour with an isotherm otherwise than that
//! vapour's polarisation and liquid say.

mod fit;
mod reaction;

use crate::LifeError;
use crate::capacity::adsorbed_volume;
use crate::life::{Method, SteadyCase, lives_of, steady_life};
use crate::vapour::Vapour;

use fit::{BEFORE, Problem, Seen, inverse};

pub use reaction::{ReactionCalibration, ReactionError, ReactionMeasured, calibrate_reaction};

/// Relative standard deviation of a measured time or loading where the report tells none: common
/// practice for a bench test, no source.
const USUAL_ERROR: f64 = 0.03;

/// One thing measured.
#[derive(Debug, Clone, PartialEq)]
pub enum Measured {
    /// Minutes until the level at the outlet was the end level of the only stream of a case.
    Time {
        /// The test: bed and air as tested. Its carbon and rate factor do not count.
        case: Box<SteadyCase>,
        /// Minutes found.
        minutes: f64,
        /// Relative standard deviation, where it is told.
        deviation: Option<f64>,
    },
    /// What the dry carbon held in balance with a vapour.
    Loading {
        /// The vapour.
        vapour: Box<Vapour>,
        /// Temperature, K.
        temperature_k: f64,
        /// Partial pressure, kPa.
        pressure_kpa: f64,
        /// Held, g/g.
        loading: f64,
        /// Relative standard deviation, where it is told.
        deviation: Option<f64>,
    },
}

/// What the report was fitted from: the carbon thought of before it, and its expected spread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Start {
    /// Micropore volume, cm³/g.
    pub micropore_volume: f64,
    /// Characteristic energy towards benzene, J/mol.
    pub reference_energy: f64,
}

/// One measured value beside the fitted one, min or g/g.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beside {
    /// As measured.
    pub measured: f64,
    /// As the fit has it.
    pub fitted: f64,
}

/// How a carbon holds one vapour otherwise than the vapour's polarisation and liquid say.
#[derive(Debug, Clone, PartialEq)]
pub struct Own {
    /// Name of the vapour.
    pub vapour: String,
    /// What the affinity by its polarisation is multiplied by.
    pub affinity: f64,
    /// How dense it lies in the full pores, over its liquid.
    pub packing: f64,
}

/// The carbon a report tells of.
#[derive(Debug, Clone, PartialEq)]
pub struct Calibration {
    /// Micropore volume, cm³/g.
    pub micropore_volume: f64,
    /// Characteristic energy towards benzene, J/mol.
    pub reference_energy: f64,
    /// What the rate coefficients are multiplied by.
    pub rate_factor: f64,
    /// What is its own of each vapour with an isotherm. None where the report tells of one vapour only:
    /// then it cannot be told from energy and volume.
    pub own: Vec<Own>,
    /// Covariance of the logarithms of the three.
    pub covariance: [[f64; 3]; 3],
    /// By how much of what was not known before each is surer now, 0 to 1.
    pub learned: [f64; 3],
    /// Each measured value beside the fit, in their order.
    pub beside: Vec<Beside>,
    /// Root mean square of the logarithms of measured over fitted.
    pub misfit: f64,
}

/// Why a report was not used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CalibrationError {
    /// Nothing was measured.
    #[error("the report holds no measured time or loading\n  give at least one")]
    Nothing,
    /// A value that cannot be measured.
    #[error(
        "measurement {place}: {value} is no time or loading\n  give a number above zero, or leave the row out"
    )]
    NotPositive {
        /// Which, from 1.
        place: usize,
        /// Its value.
        value: f64,
    },
    /// The closed form refuses a test.
    #[error("measurement {place}: {error}")]
    Refused {
        /// Which, from 1.
        place: usize,
        /// Why.
        error: LifeError,
    },
    /// A later time at a lower level in the same test.
    #[error(
        "measurements {earlier} and {later} contradict each other: more passed earlier in the same test\n  check the two rows against the report"
    )]
    Backwards {
        /// The one with the lower end, from 1.
        earlier: usize,
        /// The one with the higher end, from 1.
        later: usize,
    },
    /// One measurement lies too far from what all say together.
    #[error(
        "measurement {place} contradicts what else is known: {measured:.4} was measured and {fitted:.4} fits, {errors:.1} standard errors apart\n  check the row, the bed and the conditions against the report; leave it out only if the laboratory says why"
    )]
    Contradicts {
        /// Which, from 1.
        place: usize,
        /// As measured.
        measured: f64,
        /// As fitted.
        fitted: f64,
        /// Their distance in standard errors.
        errors: f64,
    },
    /// What fits is no carbon.
    #[error(
        "what was measured fits no respirator carbon: {what}\n  check mass, area and density of the bed, the levels and the times against the report"
    )]
    Unlikely {
        /// What it would take.
        what: String,
    },
    /// The fit says nothing.
    #[error(
        "the report tells too little of this carbon: {what}\n  add a time at another level, at another penetration, or isotherm points"
    )]
    Poor {
        /// What is wrong.
        what: String,
    },
}

impl CalibrationError {
    /// Which measurement is refused, from 1; of two that contradict each other the later. None where
    /// all together are.
    #[must_use]
    pub fn place(&self) -> Option<usize> {
        match self {
            Self::NotPositive { place, .. }
            | Self::Refused { place, .. }
            | Self::Contradicts { place, .. } => Some(*place),
            Self::Backwards { later, .. } => Some(*later),
            Self::Nothing | Self::Unlikely { .. } | Self::Poor { .. } => None,
        }
    }
}

/// Fits micropore volume, energy, rate factor and, where two vapours or more were measured, the
/// affinity and packing of each that has an isotherm to what was measured.
///
/// Least squares of the logarithms, weighed by the errors told, with the carbon of `start` and its
/// usual spread as one more measurement of each; Levenberg and Marquardt's step with derivatives by
/// differences. The covariance is that of the linearised fit, made wider where the misfit is larger
/// than the errors told.
///
/// Refuses nothing measured, values that cannot be, tests the closed form refuses, times that run
/// backwards, a measurement that contradicts the rest, and a fit that says nothing of any of the
/// three.
///
/// Source: Levenberg 1944 and Marquardt 1963 (textbook; from memory); checked by recovering known
/// carbons.
pub fn calibrate(measured: &[Measured], start: Start) -> Result<Calibration, CalibrationError> {
    check(measured)?;
    let problem = Problem::new(measured, start);
    let (at, normal) = problem.solve()?;
    let inverse = inverse(&normal)
        .ok_or_else(|| CalibrationError::Poor { what: "no covariance can be found".to_owned() })?;
    let residuals = problem.residuals(&at)?;
    problem.refuse_contradiction(&at, &residuals)?;
    problem.refuse_unlikely(&at)?;
    let count = f64::from(u32::try_from(measured.len()).unwrap_or(u32::MAX));
    let data = residuals.iter().take(measured.len());
    let squares: f64 = data.map(|r| r * r).sum();
    // More misfit than the errors told explain widens the covariance; less does not narrow it.
    let wider = (squares / count).max(1.0);
    let part = |row: usize, column: usize| inverse.get(row).and_then(|row| row.get(column));
    let covariance: [[f64; 3]; 3] = std::array::from_fn(|row| {
        std::array::from_fn(|column| part(row, column).map_or(0.0, |part| part * wider))
    });
    let mut learned = [0.0; 3];
    for (place, ((learned, row), before)) in
        learned.iter_mut().zip(&covariance).zip(BEFORE).enumerate()
    {
        let now = row.get(place).copied().unwrap_or(0.0).max(0.0).sqrt();
        *learned = (1.0 - now / before).clamp(0.0, 1.0);
    }
    if learned.iter().all(|learned| *learned < 0.05) {
        let what = "neither volume, energy nor rate is surer after it than before".to_owned();
        return Err(CalibrationError::Poor { what });
    }
    let carbon = problem.seen(&at, None);
    let beside = problem.beside(&at)?;
    let logs = beside.iter().map(|b| (b.measured / b.fitted).ln().powi(2)).sum::<f64>();
    Ok(Calibration {
        micropore_volume: carbon.volume,
        reference_energy: carbon.energy,
        rate_factor: carbon.rate,
        own: problem.own(&at),
        covariance,
        learned,
        beside,
        misfit: (logs / count).sqrt(),
    })
}

fn check(measured: &[Measured]) -> Result<(), CalibrationError> {
    if measured.is_empty() {
        return Err(CalibrationError::Nothing);
    }
    for (place, one) in (1..).zip(measured) {
        let value = one.value();
        let positive = value.is_finite() && value > 0.0;
        if !positive {
            return Err(CalibrationError::NotPositive { place, value });
        }
        if let Measured::Time { case, .. } = one {
            steady_life(case).map_err(|error| CalibrationError::Refused { place, error })?;
        }
    }
    for (place, one) in (1..).zip(measured) {
        for (other_place, other) in (1..).zip(measured) {
            if one.runs_backwards(other) {
                let (earlier, later) = (place, other_place);
                return Err(CalibrationError::Backwards { earlier, later });
            }
        }
    }
    Ok(())
}

impl Measured {
    fn value(&self) -> f64 {
        match self {
            Self::Time { minutes, .. } => *minutes,
            Self::Loading { loading, .. } => *loading,
        }
    }

    fn deviation(&self) -> f64 {
        match self {
            Self::Time { deviation, .. } | Self::Loading { deviation, .. } => {
                deviation.filter(|told| *told > 0.0).unwrap_or(USUAL_ERROR)
            }
        }
    }

    /// Whether this one has the lower end of the same test and still the later time.
    fn runs_backwards(&self, other: &Self) -> bool {
        let (Self::Time { case: a, minutes: at, .. }, Self::Time { case: b, minutes: bt, .. }) =
            (self, other)
        else {
            return false;
        };
        let (Some(first), Some(second)) = (a.streams.first(), b.streams.first()) else {
            return false;
        };
        let same = a.bed == b.bed
            && a.air == b.air
            && first.vapour == second.vapour
            && first.inlet_ppm == second.inlet_ppm;
        same && first.end_ppm < second.end_ppm && at > bt
    }

    fn is_loading(&self) -> bool {
        matches!(self, Self::Loading { .. })
    }

    /// The vapour that was measured.
    fn vapour(&self) -> Option<&str> {
        match self {
            Self::Time { case, .. } => case.streams.first().map(|s| s.vapour.name.as_str()),
            Self::Loading { vapour, .. } => Some(&vapour.name),
        }
    }

    /// What a carbon seen so gives.
    fn fitted(&self, seen: Seen) -> Result<f64, LifeError> {
        match self {
            Self::Time { case, .. } => {
                let mut case = SteadyCase { rate_factor: seen.rate, ..(**case).clone() };
                case.bed.carbon.micropore_volume = seen.volume;
                case.bed.carbon.reference_energy = seen.energy;
                for stream in &mut case.streams {
                    stream.vapour = stream.vapour.clone().held(seen.affinity, seen.packing);
                }
                case.method = Method::ReactionKinetic;
                let life = lives_of(&case)?;
                let first = life.first().map(|life| life.time_min.min(life.course.midpoint_min));
                // A bed at its critical mass has no logarithm; a hundredth of a minute has.
                Ok(first.unwrap_or(0.0).max(0.01))
            }
            Self::Loading { vapour, temperature_k, pressure_kpa, .. } => {
                let vapour = (**vapour).clone().held(seen.affinity, seen.packing);
                let rt = quantity::GAS_CONSTANT_J_PER_MOL_K * temperature_k;
                let potential = (rt * (vapour.psat_kpa / pressure_kpa).ln()).max(0.0);
                let energy = vapour.affinity * seen.energy;
                Ok(adsorbed_volume(seen.volume, energy, potential) * vapour.density)
            }
        }
    }
}
