//! A computed life as a person reads it: the schedule in words, then the figures, then the curve.

use askama::Template;
use program::life::{Bounds, ContaminantLife, LifeAnswer, Schedule};
use program::schedule::TaskSchedule;

use crate::chart::{Chart, Mark};
use crate::component::Findings;
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
    /// The view of a schedule in force that was adopted beside the computed one.
    pub(crate) fn in_force(set: &TaskSchedule, id: &str) -> Self {
        let computed = set.adopted.is_some().then(|| set.life.schedule.text.clone());
        Self { computed, ..Self::with(&set.schedule, &set.life, id) }
    }

    /// The view of `answer`; `id` tells the charts of one page apart.
    pub(crate) fn of(answer: &LifeAnswer, id: &str) -> Self {
        Self::with(&answer.schedule, answer, id)
    }

    fn with(schedule: &Schedule, answer: &LifeAnswer, id: &str) -> Self {
        Self {
            computed: None,
            schedule: schedule.text.clone(),
            limited_by: schedule.limited_by.clone(),
            life: answer.life_min.map(in_words),
            max_wear: wording::minutes(schedule.max_wear.as_min()),
            rows: answer.contaminants.iter().map(Row::of).collect(),
            chart: chart(answer).and_then(|chart| chart.draw(id)),
            method: answer.method,
            sources: answer.sources.clone(),
            findings: Findings::of(&answer.findings),
            stopped: schedule.max_wear.as_min() <= 0.0,
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
            limited_by: life.limited_by.join(", "),
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
