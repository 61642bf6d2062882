//! A computed life as a person reads it: the schedule in words, then the figures, then the curve.

use askama::Template;
use program::life::{
    BedAnswer, BedOf, Bounds, ContaminantLife, InputShare, LifeAnswer, OpenedAt, RestartAnswer,
    Sampled, SampledTime, Schedule,
};
use program::schedule::TaskSchedule;

use crate::chart::{Chart, Mark};
use crate::component::Findings;
use crate::fields::Fields;
use crate::wording;

/// The answer of a life, ready to be shown.
#[derive(Template)]
#[template(path = "parts/life.html")]
pub(crate) struct LifeView {
    schedule: String,
    limited_by: String,
    /// The computed schedule, where a stricter one is in force.
    computed: Option<String>,
    life: Option<(String, String)>,
    max_wear: String,
    rows: Vec<Row>,
    chart: Option<String>,
    bed: Option<BedView>,
    sampled: Option<SampledView>,
    method: &'static str,
    sources: Vec<String>,
    findings: Findings,
    stopped: bool,
}

/// The life against one contaminant.
struct Row {
    name: String,
    cas: String,
    inlet: String,
    end: String,
    best: String,
    lower: String,
    limited_by: String,
    refused: String,
}

impl LifeView {
    /// The view of a schedule in force that was adopted beside the computed one, of a set that is
    /// `usable` there or not.
    pub(crate) fn in_force(set: &TaskSchedule, usable: bool, id: &str) -> Self {
        let computed = set.adopted.is_some().then(|| set.life.schedule.text.clone());
        Self { computed, stopped: !usable, ..Self::with(&set.schedule, &set.life, id) }
    }

    /// The view of `answer`; `id` tells the charts of one page apart.
    pub(crate) fn of(answer: &LifeAnswer, id: &str) -> Self {
        Self::with(&answer.schedule, answer, id)
    }

    fn with(schedule: &Schedule, answer: &LifeAnswer, id: &str) -> Self {
        let shortened = |life: &ContaminantLife| life.breathed.is_some_and(|ratio| ratio < 1.0);
        let breathed = answer.contaminants.iter().any(shortened);
        let vapours = answer.contaminants.iter().filter(|life| life.refused.is_none()).count();
        // Where nothing ends there is nothing to be sure of.
        let ends = |sampled: &&Sampled| {
            sampled.ends.iter().any(|end| end.low.is_finite() || end.best.is_finite())
        };
        let sampled = answer.sampled.as_ref().filter(ends);
        Self {
            computed: None,
            schedule: schedule.text.clone(),
            limited_by: schedule.limited_by.clone(),
            life: answer.life_min.map(in_words),
            max_wear: wording::minutes(schedule.max_wear.as_min()),
            rows: answer.contaminants.iter().map(Row::of).collect(),
            chart: chart(answer).and_then(|chart| chart.draw(id)),
            bed: answer.bed.as_ref().map(BedView::of),
            sampled: sampled.map(|sampled| SampledView::of(sampled, vapours, breathed)),
            method: answer.method,
            sources: answer.sources.clone(),
            findings: Findings::of(&answer.findings),
            stopped: schedule.max_wear.as_min() <= 0.0,
        }
    }
}

/// What the march of the bed gave beyond the times.
struct BedView {
    lead: String,
    mixture: String,
    rows: Vec<BedRow>,
    restarts: Vec<String>,
}

/// One contaminant in the bed.
struct BedRow {
    name: String,
    inlet: String,
    outlet: String,
    /// The points of its load along the bed, in a drawing of 100 by 30.
    profile: String,
    roll_up: String,
    grid: String,
    balance: String,
}

impl BedView {
    fn of(bed: &BedAnswer) -> Self {
        let shifts = wording::count(usize::from(bed.shifts), "shift", "shifts");
        let mixture = bed.mixture_min.filter(|_| bed.contaminants.len() > 1).map(|mixture| {
            let (best, lower) = in_words(mixture);
            format!("The sum of level over limit reaches one after {lower} at least, {best} by the best estimate.")
        });
        let uncounted = if bed.without_limit.is_empty() {
            String::new()
        } else {
            format!(" Not in that sum, for no limit is known: {}.", bed.without_limit.join(", "))
        };
        let restart = |restart: &RestartAnswer| {
            let levels = restart.greatest_ppm.iter().zip(&bed.contaminants);
            let levels = levels.map(|(ppm, of)| format!("{} {} ppm", of.name, small(*ppm, 0.001)));
            let levels = levels.collect::<Vec<_>>().join(", ");
            let used = wording::minutes(restart.after_use_min);
            format!("Worn again after {used} of use: at most {levels} in the first 5 min")
        };
        Self {
            lead: match bed.opened {
                None => {
                    format!("Marched for {} of wear on {shifts}.", wording::minutes(bed.worn_min))
                }
                Some(opened) => format!(
                    "Marched for {} of wear as the usual shift goes, for a set that is opened at its worst moment: {}.",
                    wording::minutes(bed.worn_min),
                    moment(opened)
                ),
            },
            mixture: format!("{}{uncounted}", mixture.unwrap_or_default()),
            rows: bed.contaminants.iter().map(BedRow::of).collect(),
            restarts: bed.restarts.iter().map(restart).collect(),
        }
    }
}

/// A moment of the usual shift.
fn moment(opened: OpenedAt) -> String {
    if opened.into_min < 0.5 {
        format!("at the start of segment {}", opened.segment)
    } else {
        format!("{} into segment {}", wording::minutes(opened.into_min), opened.segment)
    }
}

impl BedRow {
    fn of(of: &BedOf) -> Self {
        let load = |place: Option<&f64>| {
            format!("{} mg/g", wording::number(place.copied().unwrap_or(0.0) * 1e3))
        };
        let most = of.load_g_per_g.iter().copied().fold(0.0, f64::max);
        let cells = of.load_g_per_g.len().saturating_sub(1).max(1);
        let point = |(place, load): (usize, &f64)| {
            let across = 100.0 * parts(place) / parts(cells);
            let up = if most > 0.0 { 29.0 * (1.0 - load / most) + 0.5 } else { 29.5 };
            format!("{across:.1},{up:.1}")
        };
        let points = of.load_g_per_g.iter().enumerate().map(point);
        Self {
            name: of.name.clone(),
            inlet: load(of.load_g_per_g.first()),
            outlet: load(of.load_g_per_g.last()),
            profile: points.collect::<Vec<_>>().join(" "),
            roll_up: match of.roll_up > 1.0 {
                true => format!("up to {} times what enters", wording::number(of.roll_up)),
                false => "none".to_owned(),
            },
            grid: of.grid_error_min.map_or_else(
                || "the end is not reached".to_owned(),
                |error| format!("{} min", small(error, 0.01)),
            ),
            balance: format!("off by {:.0e} of what entered", of.balance_error.abs()),
        }
    }
}

/// A number as a person says it, and no digits of what is less than anyone can tell.
fn small(value: f64, least: f64) -> String {
    if value < least { format!("under {least}") } else { wording::number(value) }
}

/// A number of cells of a bed.
fn parts(cells: usize) -> f64 {
    f64::from(u32::try_from(cells).unwrap_or(u32::MAX))
}

/// What sampling the uncertain inputs gave.
struct SampledView {
    lead: String,
    ends: Vec<EndRow>,
    /// Each input, its part of the variance by itself, and with others.
    inputs: Vec<(&'static str, String, String)>,
}

/// One end in the samples.
struct EndRow {
    of: String,
    bound: String,
    low: String,
    best: String,
    high: String,
    settled: String,
}

impl SampledView {
    fn of(sampled: &Sampled, contaminants: usize, breathed: bool) -> Self {
        let end = |end: &SampledTime| EndRow {
            of: end.of.clone(),
            bound: wording::minutes(end.bound),
            low: wording::minutes(end.low),
            best: wording::minutes(end.best),
            high: wording::minutes(end.high),
            settled: match end.low_error.is_finite() {
                true => format!("± {} min", wording::number(end.low_error)),
                false => "not told".to_owned(),
            },
        };
        let share = |share: &InputShare| {
            let (by_itself, with_others) = share.in_percent();
            (input(share.of), by_itself, with_others)
        };
        let matter = sampled.inputs.iter().any(|input| input.total > 0.0);
        let steadily = if breathed {
            " They draw steadily: what breathing takes off comes on top."
        } else {
            ""
        };
        Self {
            lead: format!(
                "{} runs with varied inputs, in the ranges in which each is uncertain. In {} of them every input was varied: the bound rests on these and is, with 95 % confidence, no more than the time that 95 of 100 of all copies reach.{steadily}",
                counted(sampled.samples),
                counted(sampled.copies)
            ),
            // With one contaminant there is no mixture, and the first of all is its own end.
            ends: sampled
                .ends
                .iter()
                .take(if contaminants > 1 { usize::MAX } else { 1 })
                .map(end)
                .collect(),
            inputs: sampled.inputs.iter().filter(|_| matter).map(share).collect(),
        }
    }
}

/// An input in words; what none explains is how far the equations themselves are off.
fn input(of: &'static str) -> &'static str {
    if of == "model" { "the equations themselves" } else { of }
}

fn counted(runs: usize) -> String {
    wording::number(f64::from(u32::try_from(runs).unwrap_or(u32::MAX)))
}

/// Most runs that a page computes: few seconds of a small machine.
const MOST_SAMPLES: usize = 20_000;

/// How many runs the field `samples` asks for.
pub(crate) fn samples(fields: &mut Fields) -> Option<usize> {
    let text = fields.filled("samples")?.to_owned();
    match text.parse::<usize>() {
        Ok(copies) if (1..=MOST_SAMPLES).contains(&copies) => Some(copies),
        _ => {
            let why = format!(
                "`{text}` is no number of runs that a page computes\n  write 1 to {MOST_SAMPLES}; the command line takes more"
            );
            fields.refuse("samples", why);
            None
        }
    }
}

impl Row {
    fn of(life: &ContaminantLife) -> Self {
        let ppm = |level: Option<f64>| {
            level.map_or_else(|| "—".to_owned(), |ppm| format!("{} ppm", wording::number(ppm)))
        };
        let (best, lower) = match life.time_min {
            Some(bounds) => in_words(bounds),
            None => ("—".to_owned(), "—".to_owned()),
        };
        Self {
            name: life.name.clone(),
            cas: life.cas.to_string(),
            inlet: ppm(life.inlet_ppm),
            end: ppm(life.end_ppm),
            best,
            lower,
            limited_by: life.limited_by.iter().map(|of| input(of)).collect::<Vec<_>>().join(", "),
            refused: life.refused.clone().unwrap_or_default(),
        }
    }
}

fn in_words(bounds: Bounds) -> (String, String) {
    (wording::minutes(bounds.best), wording::minutes(bounds.lower))
}

/// One curve in ppm with its end level; several as parts of their end levels, so that they share
/// one line.
fn chart(answer: &LifeAnswer) -> Option<Chart> {
    let drawn: Vec<&ContaminantLife> =
        answer.contaminants.iter().filter(|life| life.curve.len() > 1).take(4).collect();
    let names = drawn.iter().map(|life| life.name.as_str()).collect::<Vec<_>>().join(", ");
    let (up, end_level, shared) = match drawn.as_slice() {
        [] => return None,
        [one] => {
            let words = |ppm| format!("life ends at {} ppm", wording::number(ppm));
            let end = one.end_ppm.map(|ppm| (ppm, words(ppm)));
            ("level after the elements, ppm".to_owned(), end, false)
        }
        _ => {
            let end = (1.0, "life ends at 1".to_owned());
            ("part of the level that ends the life".to_owned(), Some(end), true)
        }
    };
    let curves = drawn.iter().map(|life| {
        let unit = if shared { life.end_ppm.unwrap_or(1.0) } else { 1.0 };
        let points = life.curve.iter().map(|point| (point.minutes, point.ppm / unit));
        // Several curves are drawn to three times the end level: what comes later hides the rest.
        let top = if shared { 3.0 } else { f64::INFINITY };
        (life.name.clone(), points.take_while(|point| point.1 <= top).collect())
    });
    let (best, lower) = answer.life_min.map(|life| (life.best, life.lower))?;
    Some(Chart {
        title: format!("Level after the elements over time: {names}"),
        description: format!(
            "The level stays low, then rises. The best estimate of the life is {}; with 95 % \
             confidence it is at least {}.",
            wording::minutes(best),
            wording::minutes(lower)
        ),
        up,
        curves: curves.collect(),
        end_level,
        marks: vec![
            Mark {
                minutes: lower,
                words: format!("at least {}", wording::minutes(lower)),
                class: "lower",
            },
            Mark {
                minutes: best,
                words: format!("best estimate {}", wording::minutes(best)),
                class: "best",
            },
        ],
    })
}
