//! How sure a life is: stated uncertainties of the inputs and the error of the model itself.

use std::sync::OnceLock;

use crate::LifeError;
use crate::explore::{Exploration, Progress, Sampling, explore_watched};
use crate::life::{Method, SteadyCase, Stream, VapourLife, lives_of, steady_life};
use crate::march::Settings;
use crate::moved::{INPUTS, Moved, RATE, Spread};
use crate::pattern::{Pattern, PatternError};
use crate::sobol::Sobol;
use crate::solve::root;
use crate::steady;

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

/// Further standard deviation where several vapours share the pores: a judgement, no source.
const MIXTURE_ERROR: f64 = 0.15;

/// Copies of a case of one vapour that its bound rests on; the error of the model smooths their steps, so
/// that thousands more move no bound by more than 5 % (see the tests).
const COPIES: u32 = 128;

/// How far out the adverse copy lies, in standard deviations: a little further than the one-sided 95 %
/// point, for a life falls the faster the further its inputs err. With it the bounds of 340 random mixtures
/// lie 5 % below the 5 % point of a sample in the middle, 19 of 20 not above it, none by more than 7 %.
const FAR_OUT: f64 = 1.9;

/// Greatest logarithm of a shortening that one input counts with towards the adverse copy: past it the
/// life is over and its slope tells no more.
const MOST_SHORTENED: f64 = 1.0;

/// An end more than this many times above what the outlet rises to is never reached, whatever of the level
/// or of what stronger vapours push out is uncertain. A judgement, no source.
const NEVER_ABOVE: f64 = 2.0;

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
/// The life is that of the closed form, or of the bed marched through time where that may be shorter:
/// for several vapours, and for an end well up the front of one.
///
/// **One vapour.** Its life is computed for copies of the case whose inputs are moved, all at once, to
/// points of a scrambled Sobol sequence; the bound is the time that 95 % of them reach or pass once each
/// is widened by the error of the model. The same points serve every case, so that what shortens the
/// life of every copy shortens the bound: more vapour, more flow, more water never lengthen it. For an end
/// well up the front that bound is cut by the part that the march cuts from the life, or from that of the
/// copy below where it cuts more.
///
/// **Several**: for each its life in one copy in which every input and the model err at once towards a
/// shorter one, in the proportion in which each shortens it, so far out as a normal one-sided 95 % point
/// lies, and no more than what the error of the model alone leaves. Where the logarithm of the life follows its inputs evenly this is the 5 %
/// point (Hasofer and Lind 1974, J. Eng. Mech. Div. 100:111, from memory); checked by sampling.
pub fn bounded_life(case: &SteadyCase, spread: &Spread) -> Result<Vec<BoundedLife>, LifeError> {
    let closed = steady_life(case)?;
    let marched = is_marched(case, &closed);
    let places = spread.inexact();
    let from: Vec<f64> = times(case, &closed);
    let alone: Vec<Alone> =
        places.iter().filter_map(|place| Alone::of(case, spread, *place)).collect();
    let model = |stream: &Stream| {
        model_parts(case.air.humidity, case.streams.len(), stream.vapour.estimated)
    };
    let deviations: Vec<f64> = case.streams.iter().map(|s| deviation(&model(s))).collect();
    let mut lower = match case.streams.len() {
        1 => one(case, spread, &places, &deviations)?,
        _ => vec![f64::INFINITY; closed.len()],
    };
    let mut best = closed;
    if marched {
        let ends = steady::ends(case, &best, &Settings::ROUGH)?;
        sooner(&mut best, &ends);
    }
    if marched || best.len() > 1 {
        let felt = felt(case, spread, (&places, &alone));
        let from = times(case, &best);
        for (index, lower) in lower.iter_mut().enumerate() {
            let deviation = at(&deviations, index);
            let adverse = adverse(&felt, (index, at(&from, index)), deviation);
            let copy = Moved::by(spread, &places, &adverse.inputs).steady(case);
            *lower = if best.len() == 1 {
                *lower * by_march(case).min(by_march(&copy))
            } else {
                let of_inputs = at(&shortest(&copy), index) * (-deviation * adverse.model).exp();
                of_inputs.min(at(&from, index) * (-deviation * ONE_SIDED_95).exp())
            };
        }
    }
    let bounded = best.into_iter().zip(lower).zip(&case.streams).enumerate();
    let bounded = bounded.map(|(index, ((best, lower), stream))| {
        let from = at(&from, index);
        let of_inputs = alone.iter().map(|alone| (alone.of, alone.shortening(index, from)));
        let of_model = model(stream).into_iter().map(|(of, part)| (of, ONE_SIDED_95 * part));
        let contribution = |(of, logarithm)| Contribution { of, logarithm };
        let mut contributions: Vec<Contribution> =
            of_inputs.chain(of_model).map(contribution).collect();
        contributions.sort_by(|a, b| b.logarithm.total_cmp(&a.logarithm));
        let lower_min = lower.min(reached(&best, stream.end_ppm));
        BoundedLife { best, lower_min, contributions }
    });
    Ok(bounded.collect())
}

/// The inputs alone, with the rate as it counts in the march, where slow fronts reach into each other: for
/// more than in the closed form.
fn felt(case: &SteadyCase, spread: &Spread, (places, alone): (&[usize], &[Alone])) -> Vec<Alone> {
    let mut felt = alone.to_vec();
    let of_rate = places.iter().position(|place| *place == RATE);
    if let Some(rate) = of_rate.and_then(|index| felt.get_mut(index)) {
        rate.down = shortest(&Moved::by(spread, &[RATE], &[-ONE_SIDED_95]).steady(case));
    }
    felt
}

/// The part that the march leaves of the life of one vapour by the closed form, 0 to 1. At an end that
/// the closed form alone answers for they meet, so that no bound jumps there.
fn by_march(case: &SteadyCase) -> f64 {
    let Ok(lives) = lives_of(case) else { return 0.0 };
    let (closed, marched) = (at(&times(case, &lives), 0), at(&shortest(case), 0));
    if closed > 0.0 && closed.is_finite() { (marched / closed).min(1.0) } else { 1.0 }
}

/// The bound of one vapour by the closed form of all copies.
fn one(
    case: &SteadyCase,
    spread: &Spread,
    places: &[usize],
    deviations: &[f64],
) -> Result<Vec<f64>, LifeError> {
    let copy = |scores: &Vec<f64>| {
        let copy = Moved::by(spread, places, scores).steady(case);
        lives_of(&copy).map_or(0.0, |lives| at(&times(&copy, &lives), 0))
    };
    let copies: Vec<f64> = scores().iter().map(copy).collect();
    Ok(vec![reached_by_95(&copies, at(deviations, 0))?])
}

/// Whether a case is marched beside its closed form; the published correlations are compared with tables
/// as they are.
fn is_marched(case: &SteadyCase, lives: &[VapourLife]) -> bool {
    case.method == Method::ReactionKinetic && steady::may_outlast(lives, case)
}

/// Minutes until each vapour of a copy ends, by the shorter of closed form and march; at once where the
/// copy has no balance or cannot be marched.
fn shortest(copy: &SteadyCase) -> Vec<f64> {
    let nothing = || vec![0.0; copy.streams.len()];
    let Ok(lives) = lives_of(copy) else { return nothing() };
    let closed = times(copy, &lives);
    if !is_marched(copy, &lives) {
        return closed;
    }
    let Ok(marched) = steady::ends(copy, &lives, &Settings::ROUGH) else { return nothing() };
    closed.iter().zip(&marched).map(|(closed, marched)| closed.min(*marched)).collect()
}

/// Brings lives forward to where the march ends them.
fn sooner(lives: &mut [VapourLife], marched: &[f64]) {
    for (life, marched) in lives.iter_mut().zip(marched) {
        if *marched < life.time_min {
            // The course still meets the end at the time told.
            let by = life.time_min - marched;
            life.course.midpoint_min -= if by.is_finite() { by } else { 0.0 };
            life.time_min = *marched;
        }
    }
}

/// A copy in which everything errs towards a shorter life: scores of the inputs in their places, and of
/// the model.
struct Adverse {
    inputs: Vec<f64>,
    model: f64,
}

/// Such a copy for the vapour at `index`, whose time is `from`: each input moves the way that shortens that
/// time, and as far as it counts in it. What ends another vapour says nothing of this one.
///
/// Where one input shortens past [`MOST_SHORTENED`], up to a life that only begins to end with it, the
/// logarithm is far from even: the model then errs by all that a normal may, whatever the inputs do.
fn adverse(alone: &[Alone], (index, from): (usize, f64), deviation: f64) -> Adverse {
    let strongest = |alone: &Alone| {
        let towards = |times: &[f64], way: f64| (shortening(from, at(times, index)), way);
        let (down, up) = (towards(&alone.down, -1.0), towards(&alone.up, 1.0));
        if down.0 < up.0 { up } else { down }
    };
    let strongest: Vec<(f64, f64)> = alone.iter().map(strongest).collect();
    let part = |(shortened, way): &(f64, f64)| way * shortened.min(MOST_SHORTENED) / ONE_SIDED_95;
    let parts: Vec<f64> = strongest.iter().map(part).collect();
    let squares: f64 = parts.iter().map(|part| part * part).sum();
    let scale = FAR_OUT / (squares + deviation * deviation).sqrt();
    let greatest = strongest.iter().map(|(shortened, _)| *shortened).fold(0.0, f64::max);
    let uneven = (greatest / MOST_SHORTENED - 1.0).clamp(0.0, 1.0);
    Adverse {
        inputs: parts.iter().map(|part| scale * part).collect(),
        model: scale * deviation * (1.0 - uneven) + FAR_OUT * uneven,
    }
}

/// Times with one input alone at its 95 % points.
#[derive(Clone)]
struct Alone {
    of: &'static str,
    down: Vec<f64>,
    up: Vec<f64>,
}

impl Alone {
    fn of(case: &SteadyCase, spread: &Spread, place: usize) -> Option<Self> {
        let at = |score: f64| {
            let copy = Moved::by(spread, &[place], &[score * ONE_SIDED_95]).steady(case);
            let nothing = |_| vec![0.0; case.streams.len()];
            lives_of(&copy).map_or_else(nothing, |lives| times(&copy, &lives))
        };
        Some(Self { of: INPUTS.get(place)?.of, down: at(-1.0), up: at(1.0) })
    }

    /// How much the input shortens one life, in the direction that shortens it more.
    fn shortening(&self, index: usize, from: f64) -> f64 {
        shortening(from, at(&self.down, index).min(at(&self.up, index)))
    }
}

/// What `samples` copies of a steady case come to: one output for each vapour, then one for the
/// shortest of them; the names of the inputs go with the indices. Each copy is marched where the case is,
/// see [`bounded_life`].
///
/// Refuses what [`steady_life`] refuses.
pub fn explore_life(
    case: &SteadyCase,
    spread: &Spread,
    sampling: Sampling,
    progress: &Progress,
) -> Result<(Vec<&'static str>, Exploration), LifeError> {
    let count = steady_life(case)?.len();
    let places = spread.inexact();
    let estimated = case.streams.iter().map(|stream| stream.vapour.estimated);
    let deviation = widest(case.air.humidity, count, estimated);
    let model = |scores: &[f64]| {
        let longer = error_factor(scores, places.len(), deviation);
        let copy = Moved::by(spread, &places, scores).steady(case);
        let mut times: Vec<f64> = shortest(&copy).iter().map(|time| time * longer).collect();
        times.push(times.iter().copied().fold(f64::INFINITY, f64::min));
        times
    };
    let explored = explore_watched(places.len() + 1, count + 1, (sampling, progress), &model);
    Ok((named(&places), explored))
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
    let settings = if count > 1 { Settings::ROUGH } else { Settings::SAMPLING };
    pattern.run(&settings)?;
    let places = spread.inexact();
    let estimated = pattern.vapours.iter().map(|vapour| vapour.vapour.estimated);
    let deviation = widest(pattern.wettest(), count, estimated);
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
    let of = |estimated| deviation(&model_parts(humidity, vapours, estimated));
    estimated.map(of).fold(0.0, f64::max)
}

/// Standard deviation of independent parts together.
fn deviation(parts: &[(&'static str, f64)]) -> f64 {
    parts.iter().map(|(_, part)| part * part).sum::<f64>().sqrt()
}

/// Scores of every copy, one for each of [`INPUTS`] in their order.
fn scores() -> &'static [Vec<f64>] {
    static SCORES: OnceLock<Vec<Vec<f64>>> = OnceLock::new();
    SCORES.get_or_init(|| {
        let sobol = Sobol::new(INPUTS.len(), SEED);
        (0..COPIES).map(|copy| sobol.normal(copy)).collect()
    })
}

/// Times of all vapours by the closed form.
fn times(case: &SteadyCase, lives: &[VapourLife]) -> Vec<f64> {
    let parts = lives.iter().zip(&case.streams);
    parts.map(|(life, stream)| reached(life, stream.end_ppm)).collect()
}

fn at(times: &[f64], index: usize) -> f64 {
    times.get(index).copied().unwrap_or(0.0)
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
    let (dry, full) = HUMID_FROM;
    let humid = ((humidity - dry) / (full - dry)).clamp(0.0, 1.0);
    let parts = [
        (true, MODEL, MODEL_ERROR),
        (humid > 0.0, "humid air", HUMID_ERROR * humid),
        (vapours > 1, "mixture", MIXTURE_ERROR),
        (estimated.psat, "estimated vapour pressure", 0.10),
        (estimated.density, "estimated liquid density", 0.05),
        (estimated.polarisation, "estimated molar polarisation", 0.10),
    ];
    parts.into_iter().filter_map(|(used, of, part)| used.then_some((of, part))).collect()
}
