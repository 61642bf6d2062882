//! What an element holds of a gas by reaction, and how fast, from a laboratory report.

use super::fit::{inverse, least_squares};
use super::{Beside, USUAL_ERROR};
use crate::reaction::{HeldByReaction, Spell};

/// Greatest standard deviations of the logarithms of capacity and rate with which a fit tells
/// anything: a judgement, no source. Past a factor of two the linearised covariance is no measure.
const LEAST_SURE: [f64; 2] = [0.35, 0.7];

/// A residual of more standard errors than this contradicts the rest.
const CONTRADICTS: f64 = 4.0;

/// How many widths of its front an element is thought to hold where the search begins.
const STARTS: [f64; 2] = [8.0, 40.0];

/// Two flows or parts that differ by no more are one, whatever their last digits.
const SAME: f64 = 1e-6;

/// Part of the measured time that a bed which passes the end at once is fitted with: nothing has no
/// logarithm.
const AT_ONCE: f64 = 1e-3;

/// One thing measured of one gas.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ReactionMeasured {
    /// Minutes until `part` of what enters passed in steady air.
    Time {
        /// Level that enters, g/L.
        level_g_per_l: f64,
        /// Flow through one element, L/min.
        flow_l_per_min: f64,
        /// Part that passed, above 0 and at most one half.
        part: f64,
        /// Minutes found.
        minutes: f64,
        /// Relative standard deviation, where it is told.
        deviation: Option<f64>,
    },
    /// What one element held when all that entered passed, g.
    Held {
        /// Held, g.
        held_g: f64,
        /// Relative standard deviation, where it is told.
        deviation: Option<f64>,
    },
}

/// What a report tells of one gas.
#[derive(Debug, Clone, PartialEq)]
pub struct ReactionCalibration {
    /// Capacity and rate, with the flows and levels at which they were found.
    pub held: HeldByReaction,
    /// Standard deviations of the logarithms of capacity and rate.
    pub deviations: [f64; 2],
    /// Correlation of the two.
    pub correlation: f64,
    /// Each measured value, min or g, beside the fit, in their order.
    pub beside: Vec<Beside>,
    /// Root mean square of the logarithms of measured over fitted.
    pub misfit: f64,
}

/// Why what was measured of a gas was not used.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ReactionError {
    /// No time was measured.
    #[error(
        "no time was measured of it, and what is held tells nothing of the rate\n  give at least one time"
    )]
    NoTime,
    /// A value that cannot be measured.
    #[error("measurement {place}: {what} of {value} cannot be\n  check the row against the report")]
    Outside {
        /// Which, from 1.
        place: usize,
        /// Of what.
        what: &'static str,
        /// Its value.
        value: f64,
    },
    /// Capacity and rate cannot be told apart.
    #[error(
        "all of its times are at one penetration and one flow, from which capacity and rate cannot be told apart, whatever the levels\n  add a time at another penetration, or what an element held when all passed; the least that certification proves is no measured capacity"
    )]
    OneOfTwo,
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
        "measurement {place} contradicts what else is known: {measured:.4} was measured and {fitted:.4} fits, {errors:.1} standard errors apart\n  check the row and the conditions against the report; leave it out only if the laboratory says why"
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
    /// What fits is no element.
    #[error(
        "what was measured fits no element: one would hold {widths:.3e} times what lies in its front\n  check levels, flows, penetrations and times against the report"
    )]
    Unlikely {
        /// Capacity over the width of the front.
        widths: f64,
    },
    /// The fit says too little.
    #[error(
        "the report tells too little of it: {what}\n  add a time at a penetration or a flow further off, what an element held when all passed, or the error of each time where the laboratory tells less than 3 %"
    )]
    Poor {
        /// What is wrong.
        what: String,
    },
}

impl ReactionError {
    /// Which measurement is refused, from 1; of two that contradict each other the later. None where
    /// all together are.
    #[must_use]
    pub fn place(&self) -> Option<usize> {
        match self {
            Self::Outside { place, .. } | Self::Contradicts { place, .. } => Some(*place),
            Self::Backwards { later, .. } => Some(*later),
            Self::NoTime | Self::OneOfTwo | Self::Unlikely { .. } | Self::Poor { .. } => None,
        }
    }
}

/// Fits capacity and rate coefficient of a gas held by reaction to what was measured.
///
/// Least squares of the logarithms, weighed by the errors told; nothing is thought of either before.
/// The covariance is that of the linearised fit, made wider where the misfit is larger than the
/// errors told.
///
/// Refuses what has no time, values that cannot be, times that run backwards, all times at one
/// penetration and flow where nothing tells the capacity, a measurement that contradicts the rest, and
/// a fit that is not sure of either.
///
/// Source: the curve of Bohart and Adams 1920 (see [`HeldByReaction`]); the step as in
/// [`super::calibrate`].
pub fn calibrate_reaction(
    measured: &[ReactionMeasured],
) -> Result<ReactionCalibration, ReactionError> {
    check(measured)?;
    let (start, [slowest, highest]) = start(measured);
    let of = |at: &[f64]| {
        let factor = |place: usize| at.get(place).map_or(1.0, |part: &f64| part.exp());
        HeldByReaction {
            capacity_g: start * factor(0),
            rate_l_per_g_min: slowest / start * factor(1),
            slowest_l_per_min: slowest,
            highest_g_per_l: highest,
        }
    };
    let residuals = |at: &[f64]| {
        let held = of(at);
        let off = |one: &ReactionMeasured| (one.fitted(&held) / one.value()).ln();
        Ok::<_, ReactionError>(measured.iter().map(|one| off(one) / one.deviation()).collect())
    };
    let mut best: Option<(f64, Vec<f64>, Vec<Vec<f64>>)> = None;
    for widths in STARTS {
        let (at, normal) = least_squares(vec![0.0, f64::ln(widths)], &residuals)?;
        let squares: f64 = residuals(&at)?.iter().map(|off| off * off).sum();
        if best.as_ref().is_none_or(|(least, ..)| squares < *least) {
            best = Some((squares, at, normal));
        }
    }
    let (squares, at, normal) =
        best.filter(|(squares, ..)| squares.is_finite()).ok_or_else(unknown)?;
    let held = of(&at);
    refuse_contradiction(measured, &held)?;
    // More misfit than the errors told explain widens the covariance; less does not narrow it.
    let count = f64::from(u32::try_from(measured.len()).unwrap_or(u32::MAX));
    let wider = if count > 2.0 { (squares / (count - 2.0)).max(1.0) } else { 1.0 };
    let (deviations, correlation) = spread(&normal, wider).ok_or_else(unknown)?;
    refuse_unsure(deviations)?;
    if !held.is_likely() {
        return Err(ReactionError::Unlikely { widths: held.widths() });
    }
    let beside =
        |one: &ReactionMeasured| Beside { measured: one.value(), fitted: one.fitted(&held) };
    let beside: Vec<Beside> = measured.iter().map(beside).collect();
    let logs = beside.iter().map(|b| (b.measured / b.fitted).ln().powi(2)).sum::<f64>();
    Ok(ReactionCalibration { held, deviations, correlation, beside, misfit: (logs / count).sqrt() })
}

fn unknown() -> ReactionError {
    ReactionError::Poor { what: "no covariance can be found".to_owned() }
}

/// Deviations and correlation of the two from the matrix of the normal equations.
fn spread(normal: &[Vec<f64>], wider: f64) -> Option<([f64; 2], f64)> {
    let covariance = inverse(normal)?;
    let [capacity, rate] = covariance.as_slice() else { return None };
    let ([cc, cr], [_, rr]) = (capacity.as_slice(), rate.as_slice()) else { return None };
    let deviations = [*cc, *rr].map(|square| (square * wider).sqrt());
    let correlation = cr / (cc * rr).sqrt();
    let sane = deviations.iter().all(|d| d.is_finite() && *d > 0.0) && correlation.abs() <= 1.0;
    sane.then_some((deviations, correlation))
}

fn refuse_unsure(deviations: [f64; 2]) -> Result<(), ReactionError> {
    let names = ["what is held", "the rate"];
    let unsure = deviations.into_iter().zip(LEAST_SURE).zip(names).find(|((d, most), _)| d > most);
    let Some(((deviation, _), name)) = unsure else { return Ok(()) };
    let what = format!("{name} is known to {:.0} % only", 100.0 * deviation.exp_m1());
    Err(ReactionError::Poor { what })
}

fn refuse_contradiction(
    measured: &[ReactionMeasured],
    held: &HeldByReaction,
) -> Result<(), ReactionError> {
    let errors =
        |one: &ReactionMeasured| ((one.fitted(held) / one.value()).ln() / one.deviation()).abs();
    let all = (1..).zip(measured).map(|(place, one)| (place, one, errors(one)));
    match all.max_by(|(_, _, a), (_, _, b)| a.total_cmp(b)) {
        Some((place, one, errors)) if errors > CONTRADICTS => {
            let (measured, fitted) = (one.value(), one.fitted(held));
            Err(ReactionError::Contradicts { place, measured, fitted, errors })
        }
        _ => Ok(()),
    }
}

/// The most that entered one element before any time, g, with the slowest flow and the highest level of
/// all times.
fn start(measured: &[ReactionMeasured]) -> (f64, [f64; 2]) {
    let (mut most, mut slowest, mut highest) = (0.0_f64, f64::INFINITY, 0.0_f64);
    for one in measured {
        match *one {
            ReactionMeasured::Time { level_g_per_l, flow_l_per_min, minutes, .. } => {
                most = most.max(level_g_per_l * flow_l_per_min * minutes);
                slowest = slowest.min(flow_l_per_min);
                highest = highest.max(level_g_per_l);
            }
            ReactionMeasured::Held { held_g, .. } => most = most.max(held_g),
        }
    }
    (most, [slowest, highest])
}

fn check(measured: &[ReactionMeasured]) -> Result<(), ReactionError> {
    let mut told: Vec<(f64, f64)> = Vec::new();
    let mut held = false;
    for (place, one) in (1..).zip(measured) {
        let positive = |what: &'static str, value: f64, most: f64| {
            let fits = value.is_finite() && value > 0.0 && value <= most;
            if fits { Ok(()) } else { Err(ReactionError::Outside { place, what, value }) }
        };
        match *one {
            ReactionMeasured::Time { level_g_per_l, flow_l_per_min, part, minutes, .. } => {
                positive("a level in g/L", level_g_per_l, f64::MAX)?;
                positive("a flow in L/min", flow_l_per_min, f64::MAX)?;
                positive("a part that passes", part, 0.5 * (1.0 + 1e-9))?;
                positive("a time in min", minutes, f64::MAX)?;
                told.push((flow_l_per_min, part));
            }
            ReactionMeasured::Held { held_g, .. } => {
                positive("an amount held in g", held_g, f64::MAX)?;
                held = true;
            }
        }
    }
    let Some((flow, part)) = told.first() else { return Err(ReactionError::NoTime) };
    let same = |(f, p): &(f64, f64)| (f / flow - 1.0).abs() < SAME && (p / part - 1.0).abs() < SAME;
    if !held && told.iter().all(same) {
        return Err(ReactionError::OneOfTwo);
    }
    refuse_backwards(measured)
}

fn refuse_backwards(measured: &[ReactionMeasured]) -> Result<(), ReactionError> {
    for (earlier, one) in (1..).zip(measured) {
        for (later, other) in (1..).zip(measured) {
            if one.runs_backwards(other) {
                return Err(ReactionError::Backwards { earlier, later });
            }
        }
    }
    Ok(())
}

impl ReactionMeasured {
    fn value(&self) -> f64 {
        match self {
            Self::Time { minutes, .. } => *minutes,
            Self::Held { held_g, .. } => *held_g,
        }
    }

    fn deviation(&self) -> f64 {
        match self {
            Self::Time { deviation, .. } | Self::Held { deviation, .. } => {
                deviation.filter(|told| *told > 0.0).unwrap_or(USUAL_ERROR)
            }
        }
    }

    fn fitted(&self, held: &HeldByReaction) -> f64 {
        match *self {
            Self::Time { level_g_per_l, flow_l_per_min, part, minutes, .. } => {
                let spell = Spell { minutes: 1.0, level_g_per_l, flow_l_per_min, breathed: false };
                held.minutes_to(&[spell], part * level_g_per_l).max(AT_ONCE * minutes)
            }
            Self::Held { .. } => held.capacity_g,
        }
    }

    /// Whether this one has the lower end of the same test and still the later time.
    fn runs_backwards(&self, other: &Self) -> bool {
        let (
            Self::Time { level_g_per_l: a, flow_l_per_min: p, part: x, minutes: s, .. },
            Self::Time { level_g_per_l: b, flow_l_per_min: q, part: y, minutes: t, .. },
        ) = (self, other)
        else {
            return false;
        };
        a == b && p == q && x < y && s > t
    }
}
