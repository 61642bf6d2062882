//! The exercises of a fit test in lines: what was counted outside before, inside, and outside after;
//! or a factor; or whether the agent was noticed.

use program::FitExercise;
use serde_json::Value;

use super::Written;

pub(crate) const EXERCISES: Written = Written { read, write };

/// How a line is written, for those who wrote another.
const HOW: &str = "write `1: 2400, 12, 2380` (outside before, inside, outside after), `1: factor 250`, `1: noticed`, `1: not noticed` or `1: -`";

fn read(text: &str) -> Result<Value, String> {
    let lines = text.lines().map(str::trim).filter(|line| !line.is_empty());
    let exercises = lines.map(line).collect::<Result<Vec<FitExercise>, String>>()?;
    serde_json::to_value(exercises).map_err(|why| why.to_string())
}

fn line(text: &str) -> Result<FitExercise, String> {
    let wrong = || format!("`{text}` is not read\n{HOW}");
    let (number, said) = text.split_once(':').ok_or_else(wrong)?;
    let number = number.trim().parse().map_err(|_| wrong())?;
    let said = said.trim();
    let none = FitExercise { number, ..FitExercise::default() };
    if let Some(factor) = said.strip_prefix("factor ") {
        let factor = factor.trim().parse().map_err(|_| wrong())?;
        return Ok(FitExercise { factor: Some(factor), ..none });
    }
    match said {
        "-" => return Ok(none),
        "noticed" => return Ok(FitExercise { noticed: Some(true), ..none }),
        "not noticed" => return Ok(FitExercise { noticed: Some(false), ..none }),
        _ => {}
    }
    let (counts, peak) = match said.split_once(" peak ") {
        Some((counts, peak)) => (counts, Some(peak.parse().map_err(|_| wrong())?)),
        None => (said, None),
    };
    let counts = counts.split(',').map(|count| count.trim().parse::<f64>());
    let counts = counts.collect::<Result<Vec<f64>, _>>().map_err(|_| wrong())?;
    match counts.as_slice() {
        [before, inside, after] => Ok(FitExercise {
            ambient_before: Some(*before),
            in_mask: Some(*inside),
            ambient_after: Some(*after),
            peak,
            ..none
        }),
        _ => Err(wrong()),
    }
}

fn write(value: &Value) -> Option<String> {
    let exercises: Vec<FitExercise> = serde_json::from_value(value.clone()).ok()?;
    Some(exercises.iter().map(written).collect::<Vec<_>>().join("\n"))
}

/// One exercise as a line.
pub(crate) fn written(exercise: &FitExercise) -> String {
    let FitExercise { number, ambient_before, in_mask, ambient_after, factor, peak, noticed } =
        exercise;
    let said = match (factor, noticed, ambient_before, in_mask, ambient_after) {
        (Some(factor), ..) => format!("factor {factor}"),
        (None, Some(true), ..) => "noticed".to_owned(),
        (None, Some(false), ..) => "not noticed".to_owned(),
        (None, None, Some(before), Some(inside), Some(after)) => {
            let peak = peak.map_or_else(String::new, |peak| format!(" peak {peak}"));
            format!("{before}, {inside}, {after}{peak}")
        }
        _ => "-".to_owned(),
    };
    format!("{number}: {said}")
}
