//! The carbon of a laboratory report: micropore volume, energy and rate found from what was
//! measured, with how sure each is.

use crate::LifeError;
use crate::capacity::{adsorbed_volume, affinity};
use crate::life::{Method, SteadyCase, lives_of, steady_life};
use crate::vapour::Vapour;

/// Relative standard deviation of a measured time or loading where the report tells none: common
/// practice for a bench test, no source.
const USUAL_ERROR: f64 = 0.03;

/// Standard deviations of the logarithms of micropore volume, energy and rate factor before
/// anything is measured: the range of respirator carbons (0.35 to 0.65 cm³/g; 14 to 24 kJ/mol) and
/// the distance of the two rate correlations. Common practice, no source. They keep what a report
/// does not tell from running away.
const BEFORE: [f64; 3] = [0.15, 0.12, 0.40];

/// A residual of more standard errors than this contradicts the rest.
const CONTRADICTS: f64 = 4.0;

/// Rounds of least squares.
const MOST_ROUNDS: u32 = 60;

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

/// The carbon a report tells of.
#[derive(Debug, Clone, PartialEq)]
pub struct Calibration {
    /// Micropore volume, cm³/g.
    pub micropore_volume: f64,
    /// Characteristic energy towards benzene, J/mol.
    pub reference_energy: f64,
    /// What the rate coefficients are multiplied by.
    pub rate_factor: f64,
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
        "measurement {place} contradicts the rest: {measured:.4} was measured and {fitted:.4} fits the others, {errors:.1} standard errors apart\n  check the row, the bed and the conditions against the report; leave it out only if the laboratory says why"
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
    /// The fit ran away or says nothing.
    #[error(
        "the report tells too little of this carbon: {what}\n  add a time at another level, at another penetration, or isotherm points"
    )]
    Poor {
        /// What is wrong.
        what: String,
    },
}

/// Fits micropore volume, energy and rate factor to what was measured.
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
    let problem = Problem { measured, start };
    let (at, normal) = problem.solve()?;
    let inverse = inverse(&normal)
        .ok_or_else(|| CalibrationError::Poor { what: "no covariance can be found".to_owned() })?;
    let residuals = problem.residuals(&at)?;
    problem.refuse_contradiction(&at, &residuals)?;
    let count = f64::from(u32::try_from(measured.len()).unwrap_or(u32::MAX));
    let data = residuals.iter().take(measured.len());
    let squares: f64 = data.map(|r| r * r).sum();
    // More misfit than the errors told explain widens the covariance; less does not narrow it.
    let wider = (squares / count).max(1.0);
    let covariance = inverse.map(|row| row.map(|part| part * wider));
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
    let carbon = problem.carbon(&at);
    let beside = problem.beside(&at)?;
    let logs = beside.iter().map(|b| (b.measured / b.fitted).ln().powi(2)).sum::<f64>();
    Ok(Calibration {
        micropore_volume: carbon.0,
        reference_energy: carbon.1,
        rate_factor: carbon.2,
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

    /// What a carbon of `(volume, energy, rate factor)` gives.
    fn fitted(&self, (volume, energy, rate): (f64, f64, f64)) -> Result<f64, LifeError> {
        match self {
            Self::Time { case, .. } => {
                let mut case = SteadyCase { rate_factor: rate, ..(**case).clone() };
                case.bed.carbon.micropore_volume = volume;
                case.bed.carbon.reference_energy = energy;
                case.method = Method::ReactionKinetic;
                let life = lives_of(&case)?;
                let first = life.first().map(|life| life.time_min.min(life.course.midpoint_min));
                // A bed at its critical mass has no logarithm; a hundredth of a minute has.
                Ok(first.unwrap_or(0.0).max(0.01))
            }
            Self::Loading { vapour, temperature_k, pressure_kpa, .. } => {
                let rt = quantity::GAS_CONSTANT_J_PER_MOL_K * temperature_k;
                let potential = (rt * (vapour.psat_kpa / pressure_kpa).ln()).max(0.0);
                let energy = affinity(vapour.polarisation) * energy;
                Ok(adsorbed_volume(volume, energy, potential) * vapour.density)
            }
        }
    }
}

/// The fit; its unknowns are the logarithms of volume, energy and rate over those it starts from.
struct Problem<'a> {
    measured: &'a [Measured],
    start: Start,
}

impl Problem<'_> {
    fn carbon(&self, at: &[f64; 3]) -> (f64, f64, f64) {
        let [volume, energy, rate] = at.map(f64::exp);
        (self.start.micropore_volume * volume, self.start.reference_energy * energy, rate)
    }

    fn beside(&self, at: &[f64; 3]) -> Result<Vec<Beside>, CalibrationError> {
        let carbon = self.carbon(at);
        let beside = |(place, one): (usize, &Measured)| {
            let fitted = one.fitted(carbon);
            let fitted = fitted.map_err(|error| CalibrationError::Refused { place, error })?;
            Ok(Beside { measured: one.value(), fitted })
        };
        (1..).zip(self.measured).map(beside).collect()
    }

    /// Logarithms of fitted over measured in standard errors, then how far the unknowns are from
    /// where they started.
    fn residuals(&self, at: &[f64; 3]) -> Result<Vec<f64>, CalibrationError> {
        let pairs = self.beside(at)?;
        let data = pairs.iter().zip(self.measured);
        let data = data.map(|(b, one)| (b.fitted / b.measured).ln() / one.deviation());
        Ok(data.chain(at.iter().zip(BEFORE).map(|(x, before)| x / before)).collect())
    }

    /// Rows of derivatives by each unknown.
    fn slopes(&self, at: &[f64; 3]) -> Result<[Vec<f64>; 3], CalibrationError> {
        const STEP: f64 = 1e-4;
        let mut slopes: [Vec<f64>; 3] = Default::default();
        for (place, slopes) in slopes.iter_mut().enumerate() {
            let moved = |by: f64| {
                let mut moved = *at;
                if let Some(x) = moved.get_mut(place) {
                    *x += by;
                }
                self.residuals(&moved)
            };
            let (up, down) = (moved(STEP)?, moved(-STEP)?);
            *slopes = up.iter().zip(&down).map(|(u, d)| (u - d) / (2.0 * STEP)).collect();
        }
        Ok(slopes)
    }

    /// Where the squares are least, and the matrix of the normal equations there.
    fn solve(&self) -> Result<([f64; 3], [[f64; 3]; 3]), CalibrationError> {
        let mut at = [0.0; 3];
        let mut residuals = self.residuals(&at)?;
        let mut damping = 1e-3;
        for _ in 0..MOST_ROUNDS {
            let slopes = self.slopes(&at)?;
            let normal = normal(&slopes);
            let down = |slope: &Vec<f64>| -dot(slope, &residuals);
            let [a, b, c] = &slopes;
            let right = [down(a), down(b), down(c)];
            let mut damped = normal;
            for (place, row) in damped.iter_mut().enumerate() {
                if let Some(part) = row.get_mut(place) {
                    *part *= 1.0 + damping;
                }
            }
            let Some(inverse) = inverse(&damped) else { break };
            let step = inverse.map(|row| dot(&row, &right).clamp(-0.5, 0.5));
            let mut next = at;
            next.iter_mut().zip(step).for_each(|(x, by)| *x += by);
            let tried = self.residuals(&next)?;
            if dot(&tried, &tried) < dot(&residuals, &residuals) {
                at = next;
                residuals = tried;
                damping = (damping * 0.2).max(1e-12);
            } else {
                damping *= 8.0;
            }
            if dot(&step, &step) < 1e-20 || damping > 1e12 {
                break;
            }
        }
        if at.iter().zip(BEFORE).any(|(x, before)| x.abs() > 4.0 * before) {
            let (volume, energy, rate) = self.carbon(&at);
            let what = format!(
                "it would take {volume:.3} cm3/g, {:.1} kJ/mol and {rate:.2} times the usual rate, which no respirator carbon has",
                energy / 1e3
            );
            return Err(CalibrationError::Poor { what });
        }
        let normal = normal(&self.slopes(&at)?);
        Ok((at, normal))
    }

    fn refuse_contradiction(
        &self,
        at: &[f64; 3],
        residuals: &[f64],
    ) -> Result<(), CalibrationError> {
        let data = residuals.iter().zip(self.beside(at)?).enumerate().take(self.measured.len());
        let worst = data.max_by(|(_, (a, _)), (_, (b, _))| a.abs().total_cmp(&b.abs()));
        match worst {
            Some((index, (residual, beside))) if residual.abs() > CONTRADICTS => {
                Err(CalibrationError::Contradicts {
                    place: index + 1,
                    measured: beside.measured,
                    fitted: beside.fitted,
                    errors: residual.abs(),
                })
            }
            _ => Ok(()),
        }
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn normal(slopes: &[Vec<f64>; 3]) -> [[f64; 3]; 3] {
    slopes.each_ref().map(|row| slopes.each_ref().map(|column| dot(row, column)))
}

/// The inverse of a symmetric matrix by its adjoint; none where it has none.
fn inverse(m: &[[f64; 3]; 3]) -> Option<[[f64; 3]; 3]> {
    let [[a, b, c], [_, d, e], [_, _, f]] = *m;
    let (x, y, z) = (d * f - e * e, c * e - b * f, b * e - c * d);
    let whole = a * x + b * y + c * z;
    if !whole.is_finite() || whole <= 1e-12 * a * d * f {
        return None;
    }
    let adjoint = [[x, y, z], [y, a * f - c * c, b * c - a * e], [z, b * c - a * e, a * d - b * b]];
    Some(adjoint.map(|row| row.map(|part| part / whole)))
}
