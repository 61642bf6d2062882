//! The bound of a round of work, wherever in it a fresh set is opened.

use crate::bed::Air;
use crate::life::{SteadyCase, lives_of};
use crate::march::{SegmentKind, Settings};
use crate::moved::{Moved, RATE, Spread};
use crate::pattern::{Pattern, PatternError, Run, Stretch};
use crate::spread::{Adverse, Alone, ONE_SIDED_95, adverse, times, widest};

/// Most stretches with whose end a life is looked for: those in which most enters.
const MOST_ENDS: usize = 3;

/// Halvings of the wear that ends with such a stretch.
const HALVINGS: u32 = 6;

/// Shortest first march, min with the mask on.
const SHORTEST_MIN: f64 = 30.0;

/// A shorter piece of a stretch is none, min.
const LEAST_PIECE_MIN: f64 = 1e-3;

/// A best estimate and what is reached or passed with 95 % confidence, in minutes with the mask on;
/// infinite where what was marched is over before.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ends {
    /// Best estimate.
    pub best_min: f64,
    /// Lower bound.
    pub lower_min: f64,
}

/// When in a round a fresh set is opened.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Opened {
    /// In which stretch, by its place in the round.
    pub stretch: usize,
    /// How many minutes into it.
    pub into_min: f64,
}

/// Rounds of work marched from where in them a fresh set lasts shortest.
#[derive(Debug, Clone, PartialEq)]
pub struct WorstStart {
    /// Where that is.
    pub opened: Opened,
    /// What was marched from there.
    pub marched: Pattern,
    /// Its best estimate.
    pub run: Run,
    /// Until each vapour reaches its end.
    pub vapours: Vec<Ends>,
    /// Until the mixture does.
    pub together: Ends,
    /// The inputs on which the bound rests most.
    pub limited_by: Vec<&'static str>,
}

/// The life where the stretches of `round` come again and again, from the opening from which it is shortest,
/// as far as `most_min` minutes with the mask on.
///
/// Time counts while the mask is on: clean air through the elements is no wear. The bound is the
/// life of one copy in which every input and the error of the model err at once towards a shorter life,
/// as [`crate::bounded_life`] has it for several vapours; how far each input counts is judged in the
/// steady air in which most enters. So few marches answer while a person waits; [`crate::explore_pattern`]
/// samples thousands, and its 5 % point lies up to a fifth above. Openings are looked for at the start
/// of each stretch, and so that the end falls at that of a stretch in which most enters; from elsewhere the
/// life may be a hundredth or two shorter.
///
/// Refuses what [`Pattern::run`] refuses.
pub fn worst_start(
    round: &Pattern,
    most_min: f64,
    spread: &Spread,
) -> Result<WorstStart, PatternError> {
    let settings = settings(round);
    let mut starts = starts(round);
    let likely = starts.first().copied().unwrap_or(Opened { stretch: 0, into_min: 0.0 });
    let whole = from(round, likely, most_min);
    let places = spread.inexact();
    let errs = Errs::of(&whole, spread, &places);
    let copy_for = |vapour: usize, opened: Opened, worn: f64| {
        let usual = from(round, opened, worn);
        let Some(adverse) = errs.adverse.get(vapour) else { return usual };
        let mut copy = Moved::by(spread, &places, &adverse.inputs).pattern(&usual);
        copy.capacity_factor *= (-errs.model * adverse.model).exp();
        copy
    };
    let copy = |opened, worn| copy_for(errs.critical, opened, worn);
    let mut horizon = errs.shortest_min.max(SHORTEST_MIN).min(most_min);
    let mut least = f64::INFINITY;
    while least.is_infinite() {
        least = first(&ends(&copy(likely, horizon), &settings));
        if most_min <= horizon {
            break;
        }
        horizon = (2.0 * horizon).min(most_min);
    }
    let look = |openings: &[Opened], found: (Opened, f64)| {
        openings.iter().fold(found, |(worst, least), opened| {
            let ends = first(&ends(&copy(*opened, least.min(most_min)), &settings));
            if ends < least { (*opened, ends) } else { (worst, least) }
        })
    };
    let most: Vec<usize> = starts.iter().take(MOST_ENDS).map(|opened| opened.stretch).collect();
    starts.retain(|opened| *opened != likely);
    let (mut worst, mut least) = look(&starts, (likely, least));
    for stretch in most {
        // The shortest wear that ends with this stretch: the longer it is, the more has entered.
        let (mut short, mut long) = (0.0, least.min(most_min));
        for _ in 0..HALVINGS {
            let middle = f64::midpoint(short, long);
            let opened = before_end(round, stretch, middle);
            let ends = first(&ends(&copy(opened, middle), &settings));
            if ends < least {
                (worst, least) = (opened, ends);
            }
            if ends.is_finite() { long = middle } else { short = middle }
        }
    }
    let (marched, run) = best(round, worst, (least, most_min))?;
    let worn = marched.worn_min(f64::MAX);
    let each =
        (0..round.vapours.len()).map(|vapour| ends(&copy_for(vapour, worst, worn), &settings));
    let lower = each.reduce(|a, b| a.iter().zip(&b).map(|(a, b)| a.min(*b)).collect());
    let mut lower = lower.unwrap_or_default();
    // A level that only just passes its end may miss it on the grid of a longer march.
    if let Some(lower) = lower.get_mut(errs.critical) {
        *lower = lower.min(least);
    }
    let best = told(&marched, &run);
    let mut vapours = bounded(&best, &lower, errs.model);
    let never = Ends { best_min: f64::INFINITY, lower_min: f64::INFINITY };
    let together = vapours.pop().unwrap_or(never);
    Ok(WorstStart { opened: worst, marched, run, vapours, together, limited_by: errs.limited_by })
}

/// Each end with its bound, which is no more than what the error of the model alone leaves.
fn bounded(best: &[f64], lower: &[f64], model: f64) -> Vec<Ends> {
    let by_model = (-model * ONE_SIDED_95).exp();
    let ends = best.iter().zip(lower);
    ends.map(|(best, lower)| Ends { best_min: *best, lower_min: lower.min(by_model * best) })
        .collect()
}

/// The best estimate, marched until something ends or as far as is asked, from twice the bound on.
fn best(
    round: &Pattern,
    opened: Opened,
    (lower, most_min): (f64, f64),
) -> Result<(Pattern, Run), PatternError> {
    let mut horizon = (2.0 * lower).max(SHORTEST_MIN).min(most_min);
    loop {
        let marched = from(round, opened, horizon);
        // The grid of the one march that is shown tells its own error.
        let run = marched.run(&Settings { estimate: true, ..settings(round) })?;
        if most_min <= horizon || first(&told(&marched, &run)).is_finite() {
            return Ok((marched, run));
        }
        horizon = (2.0 * horizon).min(most_min);
    }
}

/// Openings at the start of each stretch with the mask on, that in which most enters first.
fn starts(round: &Pattern) -> Vec<Opened> {
    let on = round.stretches.iter().enumerate().filter(|(_, s)| s.kind == SegmentKind::On);
    let mut on: Vec<(usize, f64)> = on.map(|(place, s)| (place, entering(s))).collect();
    on.sort_by(|(_, a), (_, b)| b.total_cmp(a));
    on.into_iter().map(|(stretch, _)| Opened { stretch, into_min: 0.0 }).collect()
}

/// The opening from which the end of a stretch is reached after so many minutes with the mask on.
fn before_end(round: &Pattern, place: usize, worn_min: f64) -> Opened {
    let count = round.stretches.len();
    let back = (0..count).cycle().skip(count - 1 - place.min(count - 1));
    let mut left = worn_min;
    for stretch in back.map(|steps| count - 1 - steps) {
        let Some(told) = round.stretches.get(stretch) else { break };
        let minutes = if told.kind == SegmentKind::On { told.minutes } else { 0.0 };
        if left <= minutes {
            return Opened { stretch, into_min: minutes - left };
        }
        left -= minutes;
    }
    Opened { stretch: place, into_min: 0.0 }
}

/// The stretches of a round from an opening on, again and again until the mask has been on for so many
/// minutes.
fn from(round: &Pattern, opened: Opened, worn_min: f64) -> Pattern {
    let per_round: f64 = round.stretches.iter().map(on_min).sum();
    let mut stretches = Vec::new();
    let mut worn = 0.0;
    if per_round > 0.0 {
        for (place, stretch) in round.stretches.iter().cycle().skip(opened.stretch).enumerate() {
            if worn_min <= worn {
                break;
            }
            let into = if place == 0 { opened.into_min } else { 0.0 };
            let minutes = stretch.minutes - into;
            if minutes > LEAST_PIECE_MIN {
                let piece = Stretch { minutes, ..stretch.clone() };
                worn += on_min(&piece);
                stretches.push(piece);
            }
        }
    }
    Pattern { stretches, ..round.clone() }
}

fn on_min(stretch: &Stretch) -> f64 {
    if stretch.kind == SegmentKind::On { stretch.minutes } else { 0.0 }
}

fn settings(pattern: &Pattern) -> Settings {
    if pattern.vapours.len() > 1 { Settings::ROUGH } else { Settings::SAMPLING }
}

/// How a copy errs.
struct Errs {
    /// Of each vapour the copy in which everything errs towards a shorter life against it.
    adverse: Vec<Adverse>,
    /// The vapour that ends first in steady air.
    critical: usize,
    /// Standard deviation of the error of the model.
    model: f64,
    /// Life in steady air of the worst stretch.
    shortest_min: f64,
    limited_by: Vec<&'static str>,
}

impl Errs {
    /// The copy in which everything errs, and the inputs that count most in it.
    fn of(pattern: &Pattern, spread: &Spread, places: &[usize]) -> Self {
        let case = steadiest(pattern);
        let lives = case.as_ref().and_then(|case| lives_of(case).ok().map(|lives| (case, lives)));
        let best = lives.map_or_else(Vec::new, |(case, lives)| times(case, &lives));
        let alone = |place: &usize| Alone::of(case.as_ref()?, spread, *place);
        let mut alone: Vec<Alone> = places.iter().filter_map(alone).collect();
        let shortest_min = first(&best);
        let rate = places.iter().position(|place| *place == RATE);
        if let Some(rate) = rate.and_then(|rate| alone.get_mut(rate)) {
            by_march(rate, pattern, spread, &best);
        }
        let estimated = pattern.vapours.iter().map(|vapour| vapour.vapour.estimated);
        let model = widest(pattern.wettest(), pattern.vapours.len(), estimated);
        let shortens = |alone: &Alone| {
            let each = best.iter().enumerate();
            each.map(|(index, from)| alone.shortening(index, *from)).fold(0.0, f64::max)
        };
        let mut parts: Vec<(&'static str, f64)> =
            alone.iter().map(|alone| (alone.of, shortens(alone))).collect();
        parts.push(("model", ONE_SIDED_95 * model));
        parts.sort_by(|a, b| b.1.total_cmp(&a.1));
        let limited_by = parts.into_iter().take(3).map(|(of, _)| of).collect();
        let each = best.iter().enumerate();
        let adverse = each.map(|(index, from)| adverse(&alone, (index, *from), model)).collect();
        let critical = best.iter().position(|time| *time == shortest_min).unwrap_or(0);
        Self { adverse, critical, model, shortest_min, limited_by }
    }
}

/// Takes what a slow rate shortens by from the march of the steady air in which most enters, where slow fronts
/// reach into each other.
fn by_march(rate: &mut Alone, pattern: &Pattern, spread: &Spread, best: &[f64]) {
    let Some(most) = most_enters(pattern) else { return };
    let longest = best.iter().copied().filter(|min| min.is_finite()).fold(SHORTEST_MIN, f64::max);
    let levels_ppm = pattern.peaks();
    let steady = Stretch { minutes: 3.0 * longest, levels_ppm, ..most.clone() };
    let steady = Pattern { stretches: vec![steady], ..pattern.clone() };
    let by = |score: f64| {
        ends(&Moved::by(spread, &[RATE], &[score]).pattern(&steady), &settings(pattern))
    };
    let (usual, slow) = (by(0.0), by(-ONE_SIDED_95));
    let parts = rate.down.iter_mut().zip(best).zip(usual.iter().zip(&slow));
    for ((down, best), (usual, slow)) in parts.filter(|(_, (usual, _))| usual.is_finite()) {
        *down = down.min(best * slow / usual.max(f64::MIN_POSITIVE));
    }
}

/// Steady air as that of the stretch in which most enters, with each vapour at its highest level.
fn steadiest(pattern: &Pattern) -> Option<SteadyCase> {
    let air = Air { humidity: pattern.wettest(), ..most_enters(pattern)?.air };
    Some(pattern.steady(air, &pattern.peaks()))
}

fn most_enters(pattern: &Pattern) -> Option<&Stretch> {
    pattern.stretches.iter().max_by(|a, b| entering(a).total_cmp(&entering(b)))
}

/// What enters in a minute, ppm of all vapours together times L/min; none while the mask is not on.
fn entering(stretch: &Stretch) -> f64 {
    let on = stretch.kind == SegmentKind::On;
    if on { stretch.air.flow_l_per_min * stretch.levels_ppm.iter().sum::<f64>() } else { 0.0 }
}

/// Minutes with the mask on until each vapour ends, and last the mixture; at once where the copy cannot be
/// marched.
fn ends(copy: &Pattern, settings: &Settings) -> Vec<f64> {
    match copy.run_beside(settings) {
        Ok(run) => told(copy, &run),
        Err(_) => vec![0.0; copy.vapours.len() + 1],
    }
}

fn told(pattern: &Pattern, run: &Run) -> Vec<f64> {
    let vapours = (0..pattern.vapours.len()).map(|index| run.ends_min(index));
    let all = vapours.chain([run.ends_together_min()]);
    all.map(|in_use| if in_use.is_finite() { pattern.worn_min(in_use) } else { in_use }).collect()
}

fn first(ends: &[f64]) -> f64 {
    ends.iter().copied().fold(f64::INFINITY, f64::min)
}
