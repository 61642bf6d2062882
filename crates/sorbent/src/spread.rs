//! How sure a life is: stated uncertainties of the inputs and the error of the model itself.

use std::sync::OnceLock;

use crate::LifeError;
use crate::explore::{Exploration, Progress, Sampling, explore, explore_watched};
use crate::life::{SteadyCase, VapourLife, lives_of, steady_life};
use crate::march::Settings;
use crate::moved::{INPUTS, Moved, Spread};
use crate::pattern::{Pattern, PatternError};
use crate::sobol::Sobol;
use crate::solve::root;

/// Standard normal quantile of one-sided 95 %.
const ONE_SIDED_95: f64 = 1.644_853_626_951_472;

/// Standard deviation of ln(measured / best estimate) that the model itself leaves, with all its
/// inputs right.
///
/// Learned from `data/checks/measured_breakthrough.csv` with one effective mass of sorbent for all
/// compounds (`tests/published_times.rs`): the spread there is 0.15 to 0.16 over eight compounds, whose
/// prediction interval for one more is that of Student, 1.895 x 0.16 x sqrt(1 + 1/8) on one side,
/// as wide as a normal of 0.20.
pub const MODEL_ERROR: f64 = 0.20;

/// Further standard deviation above 65 % humidity: what the humid loadings of
/// `data/checks/mixture_isotherms.csv` leave (`tests/loadings.rs`).
const HUMID_ERROR: f64 = 0.15;

/// Humidities between which that error grows evenly, so that no bound jumps.
const HUMID_FROM: (f64, f64) = (0.50, 0.65);

/// Further standard deviation for each vapour beside the first: the train of fronts is sharper than
/// the bed marched through time, and the more so the more fronts it holds.
const MIXTURE_ERROR: f64 = 0.15;

/// Copies of a case that a bound rests on, for one vapour and for several, whose balance takes many
/// times as long; the error of the model smooths their steps, so that thousands more move no bound
/// by more than 5 % (see the tests).
const COPIES: (usize, usize) = (128, 32);

/// An end more than this many times above what the outlet rises to is never reached, whatever of the level
/// or of what stronger vapours push out is uncertain. A judgement, no source.
const NEVER_ABOVE: f64 = 2.0;

/// How finely the copies of a pattern with several vapours are marched.
const ROUGH: Settings = Settings { fineness: 0.25, ..Settings::SAMPLING };

/// Seed of those copies.
const SEED: u32 = 2026;

/// What a sampled answer calls the error of the model.
const MODEL: &str = "model";

/// How much one input shortens the life at its own one-sided 95 % point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contribution {
    /// The input.
    pub of: &'static str,
    /// Logarithm of best over shortened; infinite where it alone ends the life.
    pub logarithm: f64,
}

/// Best estimate and lower bound of one vapour.
#[derive(Debug, Clone, PartialEq)]
pub struct BoundedLife {
    /// The best estimate.
    pub best: VapourLife,
    /// Minutes that are reached or passed with 95 % confidence.
    pub lower_min: f64,
    /// What the bound rests on, greatest first.
    pub contributions: Vec<Contribution>,
}

/// Best estimate and one-sided 95 % lower bound for each vapour of `case`.
///
/// The life is computed for copies of the case whose inputs are moved, all at once, to points of a
/// scrambled Sobol sequence; the bound is the time that 95 % of them reach or pass once each is
/// widened by the error of the model. The same points serve every case, so that what shortens the
/// life of every copy shortens the bound: more vapour, more flow, more water never lengthen it.
pub fn bounded_life(case: &SteadyCase, spread: &Spread) -> Result<Vec<BoundedLife>, LifeError> {
    let best = steady_life(case)?;
    let places = spread.inexact();
    let several = best.len() > 1;
    let count = if several { COPIES.1 } else { COPIES.0 };
    let copies = scores().iter().take(count);
    let copies: Vec<Vec<f64>> = copies.map(|scores| moved(case, spread, &places, scores)).collect();
    let alone: Vec<(&'static str, Vec<f64>)> =
        places.iter().filter_map(|place| shortened(case, spread, *place)).collect();
    let bounded = best.into_iter().zip(&case.streams).enumerate();
    bounded
        .map(|(index, (best, stream))| {
            let at = |times: &[f64]| times.get(index).copied().unwrap_or(0.0);
            let model = model_parts(case.air.humidity, case.streams.len(), stream.vapour.estimated);
            let deviation = model.iter().map(|(_, part)| part * part).sum::<f64>().sqrt();
            let times: Vec<f64> = copies.iter().map(|times| at(times)).collect();
            let from = reached(&best, stream.end_ppm);
            let of_inputs = alone.iter().map(|(of, times)| (*of, shortening(from, at(times))));
            let of_model = model.iter().map(|(of, part)| (*of, ONE_SIDED_95 * part));
            let contribution = |(of, logarithm)| Contribution { of, logarithm };
            let mut contributions: Vec<Contribution> =
                of_inputs.chain(of_model).map(contribution).collect();
            contributions.sort_by(|a, b| b.logarithm.total_cmp(&a.logarithm));
            let lower_min = reached_by_95(&times, deviation)?.min(from);
            Ok(BoundedLife { best, lower_min, contributions })
        })
        .collect()
}

/// What `samples` copies of a steady case come to: one output for each vapour, then one for the
/// shortest of them; the names of the inputs go with the indices.
///
/// Refuses what [`steady_life`] refuses.
pub fn explore_life(
    case: &SteadyCase,
    spread: &Spread,
    sampling: Sampling,
) -> Result<(Vec<&'static str>, Exploration), LifeError> {
    let count = steady_life(case)?.len();
    let places = spread.inexact();
    let estimated = case.streams.iter().map(|stream| stream.vapour.estimated);
    let deviation = widest(case.air.humidity, count, estimated);
    let model = |scores: &[f64]| {
        let longer = error_factor(scores, places.len(), deviation);
        let mut times: Vec<f64> =
            moved(case, spread, &places, scores).iter().map(|time| time * longer).collect();
        times.push(times.iter().copied().fold(f64::INFINITY, f64::min));
        times
    };
    Ok((named(&places), explore(places.len() + 1, count + 1, sampling, &model)))
}

/// What `samples` copies of a pattern of work come to: minutes in use until each vapour ends the
/// life, then until the mixture does, then the shortest of all; infinite where the pattern is over
/// before. The error of the model is one of how much the bed holds.
///
/// Refuses what [`Pattern::run`] refuses.
pub fn explore_pattern(
    pattern: &Pattern,
    spread: &Spread,
    sampling: Sampling,
    progress: &Progress,
) -> Result<(Vec<&'static str>, Exploration), PatternError> {
    let count = pattern.vapours.len();
    let settings = if count > 1 { ROUGH } else { Settings::SAMPLING };
    pattern.run(&settings)?;
    let places = spread.inexact();
    let estimated = pattern.vapours.iter().map(|vapour| vapour.vapour.estimated);
    let deviation = widest(pattern.wettest(), count.min(2), estimated);
    let model = |scores: &[f64]| {
        let mut moved = Moved::by(spread, &places, scores).pattern(pattern);
        moved.capacity_factor *= error_factor(scores, places.len(), deviation);
        // A copy that cannot be marched ends at once.
        let Ok(run) = moved.run_beside(&settings) else { return vec![0.0; count + 2] };
        let mut times: Vec<f64> = (0..count).map(|index| run.ends_min(index)).collect();
        times.push(run.ends_together_min());
        times.push(times.iter().copied().fold(f64::INFINITY, f64::min));
        times
    };
    let explored = explore_watched(places.len() + 1, count + 2, (sampling, progress), &model);
    Ok((named(&places), explored))
}

/// By how much the error of the model, the last of the scores, lengthens a copy.
fn error_factor(scores: &[f64], place: usize, deviation: f64) -> f64 {
    (deviation * scores.get(place).copied().unwrap_or(0.0)).exp()
}

fn named(places: &[usize]) -> Vec<&'static str> {
    let names = places.iter().filter_map(|place| INPUTS.get(*place)).map(|input| input.of);
    names.chain([MODEL]).collect()
}

/// The error of the model for the vapour whose properties are known least.
fn widest(humidity: f64, vapours: usize, estimated: impl Iterator<Item = crate::Estimated>) -> f64 {
    let deviation = |estimated| {
        let parts = model_parts(humidity, vapours, estimated);
        parts.iter().map(|(_, part)| part * part).sum::<f64>().sqrt()
    };
    estimated.map(deviation).fold(0.0, f64::max)
}

/// Scores of every copy, one for each of [`INPUTS`] in their order.
fn scores() -> &'static [Vec<f64>] {
    static SCORES: OnceLock<Vec<Vec<f64>>> = OnceLock::new();
    SCORES.get_or_init(|| {
        let sobol = Sobol::new(INPUTS.len(), SEED);
        (0_u32..).take(COPIES.0).map(|copy| sobol.normal(copy)).collect()
    })
}

/// Times of all vapours of a copy; zeros where its balance is not found.
fn moved(case: &SteadyCase, spread: &Spread, places: &[usize], scores: &[f64]) -> Vec<f64> {
    let copy = Moved::by(spread, places, scores).steady(case);
    let times = |lives: Vec<VapourLife>| {
        lives
            .iter()
            .zip(&case.streams)
            .map(|(life, stream)| reached(life, stream.end_ppm))
            .collect()
    };
    lives_of(&copy).map_or_else(|_| vec![0.0; case.streams.len()], times)
}

/// Times with one input alone at its 95 % point, in the direction that shortens each more.
fn shortened(case: &SteadyCase, spread: &Spread, place: usize) -> Option<(&'static str, Vec<f64>)> {
    let at = |score: f64| moved(case, spread, &[place], &[score * ONE_SIDED_95]);
    let both = at(-1.0).into_iter().zip(at(1.0));
    Some((INPUTS.get(place)?.of, both.map(|(down, up)| down.min(up)).collect()))
}

/// Minutes from which a shortening is counted, against an end level in ppm. An end that is only just not
/// reached is counted from the midpoint, past which the equation holds no more; one well above all that
/// the outlet rises to never ends the life.
fn reached(life: &VapourLife, end_ppm: f64) -> f64 {
    if life.plateau_ppm * NEVER_ABOVE < end_ppm {
        return f64::INFINITY;
    }
    life.time_min.min(life.course.midpoint_min)
}

fn shortening(best: f64, shorter: f64) -> f64 {
    if shorter >= best {
        0.0
    } else if shorter <= 0.0 {
        f64::INFINITY
    } else {
        (best / shorter).ln()
    }
}

/// The time that 95 % reach or pass of all `times`, each of them spread by a normal of `deviation`
/// in its logarithm; zero where more than 5 % end at once.
fn reached_by_95(times: &[f64], deviation: f64) -> Result<f64, LifeError> {
    let logarithms: Vec<f64> = times.iter().map(|time| time.ln()).collect();
    let share = 1.0 / f64::from(u32::try_from(logarithms.len()).unwrap_or(u32::MAX));
    let below = |at: f64| {
        let part = |l: &f64| 0.5 * libm::erfc((l - at) / (deviation * std::f64::consts::SQRT_2));
        share * logarithms.iter().map(part).sum::<f64>() - 0.05
    };
    let finite = || logarithms.iter().copied().filter(|l| l.is_finite());
    if finite().next().is_none() {
        // Each ends at once or never.
        return Ok(if below(0.0) >= 0.0 { 0.0 } else { f64::INFINITY });
    }
    let low = finite().fold(f64::INFINITY, f64::min) - 12.0 * deviation;
    let high = finite().fold(f64::NEG_INFINITY, f64::max) + 12.0 * deviation;
    if !low.is_finite() || below(low) >= 0.0 {
        return Ok(0.0);
    }
    // Fewer than 5 % ever end.
    if below(high) < 0.0 {
        return Ok(f64::INFINITY);
    }
    root("the lower bound", (low, high), below).map(f64::exp)
}

/// What the error of the model is made of: deviations of the logarithm of the life. What an
/// estimated property adds is judged from the scatter of such methods, no source.
fn model_parts(
    humidity: f64,
    vapours: usize,
    estimated: crate::Estimated,
) -> Vec<(&'static str, f64)> {
    let beside = u32::try_from(vapours.saturating_sub(1)).map_or(f64::INFINITY, f64::from);
    let (dry, full) = HUMID_FROM;
    let humid = ((humidity - dry) / (full - dry)).clamp(0.0, 1.0);
    let parts = [
        (true, MODEL, MODEL_ERROR),
        (humid > 0.0, "humid air", HUMID_ERROR * humid),
        (vapours > 1, "mixture", MIXTURE_ERROR * beside),
        (estimated.psat, "estimated vapour pressure", 0.10),
        (estimated.density, "estimated liquid density", 0.05),
        (estimated.polarisation, "estimated molar polarisation", 0.10),
    ];
    parts.into_iter().filter_map(|(used, of, part)| used.then_some((of, part))).collect()
}
