//! What a laboratory report of a kind of element tells: of its carbon, and of the gases that a reaction
//! holds.

use askama::Template;
use axum::extract::State;
use program::calibrate::{BesideAnswer, CalibrationAnswer, CarbonAnswer, GasAnswer, WrittenReport};
use program::case::CaseError;

use super::{Answer, Part, SheetPage, Table, computed};
use crate::app::AppState;
use crate::component::{Field, Findings};
use crate::fields::Fields;
use crate::shell::Page;

/// A report that shows how one is written.
const EXAMPLE: &str = include_str!("../../../../../docs/cases/laboratory-report.toml");

/// What is known of the carbon is told in this order.
const NAMES: [&str; 3] =
    ["micropore volume", "characteristic energy", "rate, as a part of the computed one"];

/// Below this part, a report tells nothing of a figure that was not known before.
const LEARNED_NOTHING: f64 = 0.05;

/// `GET /calibrate`.
pub(crate) async fn show(State(app): State<AppState>, mut fields: Fields) -> Page {
    let mut sheet = SheetPage::new(
        &app,
        "What do these elements hold?",
        "/calibrate",
        "Paste the report of a laboratory: the fit stands beside what was measured, and its lines go into a case.",
    );
    sheet.example = Some("/calibrate?example=yes");
    if fields.filled("example").is_some() {
        fields.or_set("report", EXAMPLE);
    } else if fields.filled("report").is_some() {
        let (report, times) = (fields.get("report").to_owned(), fields.get("times").to_owned());
        match computed(move || calibrated(&report, &times)).await {
            Ok(answer) => sheet.answers.push(told(&answer)),
            Err((field, error)) => {
                let CaseError { line, key, message } = error;
                fields.refuse(field, format!("line {line}, {key}: {message}"));
            }
        }
    } else if !fields.is_blank() {
        fields.refuse("report", "paste the report first");
    }
    sheet.parts = vec![Part {
        legend: "The report",
        hint: "",
        fields: vec![
            Field::text(&fields, "report", "The report, as text in tables")
                .hint("the elements, the air of the tests, and a [[time]], a [[loading]] or, of a gas held by reaction, a [[held]] for each thing measured; each number with its unit")
                .kind("lines")
                .render()?,
            Field::text(&fields, "times", "Further times as a table, where there is one")
                .hint("a first row of contaminant, concentration, penetration, minutes; then one row a time, with commas between")
                .kind("lines")
                .render()?,
        ],
    }];
    sheet.drawn(&fields)
}

/// Fits the report; a refusal names the field that it is about.
fn calibrated(report: &str, times: &str) -> Result<CalibrationAnswer, (&'static str, CaseError)> {
    let of_report = |error| ("report", error);
    let mut written = WrittenReport::read(report).map_err(of_report)?;
    if !times.is_empty() {
        written.add_times(times).map_err(|error| ("times", error))?;
    }
    written.calibrate().map_err(of_report)
}

/// The figures of the carbon, each with how sure it is.
fn of_carbon(carbon: &CarbonAnswer) -> Vec<(String, String)> {
    let values = [
        format!("{:.4} cm³/g", carbon.micropore_volume),
        format!("{:.2} kJ/mol", carbon.reference_energy),
        format!("{:.3}", carbon.rate_factor),
    ];
    let known = NAMES.iter().zip(values).zip(carbon.deviations.iter().zip(carbon.learned));
    let told = known.map(|((name, value), (deviation, learned))| {
        let told = if learned < LEARNED_NOTHING { "; the report tells nothing of it" } else { "" };
        (format!("{name}, known to ± {:.1} %{told}", 100.0 * deviation), value)
    });
    told.collect()
}

/// The figures of a gas held by reaction, each with how sure it is.
fn of_gas(gas: &GasAnswer) -> Vec<(String, String)> {
    let GasAnswer { name, capacity, rate, .. } = gas;
    let [unsure, unsure_rate] = gas.deviations.map(|part| 100.0 * part);
    vec![
        (
            format!("{name} held by one element, known to ± {unsure:.1} %"),
            format!("{capacity:.3} g"),
        ),
        (
            format!("rate of its uptake, known to ± {unsure_rate:.1} %"),
            format!("{rate:.1} L/(g min)"),
        ),
    ]
}

fn told(answer: &CalibrationAnswer) -> Answer {
    let row = |beside: &BesideAnswer| {
        let digits = if beside.unit == "min" { 1 } else { 4 };
        let figure = |value: f64| format!("{value:.digits$} {}", beside.unit);
        let off = 100.0 * (beside.fitted / beside.measured - 1.0);
        vec![
            beside.of.clone(),
            figure(beside.measured),
            figure(beside.fitted),
            format!("{off:+.1} %"),
        ]
    };
    let known =
        answer.carbon.iter().flat_map(of_carbon).chain(answer.gases.iter().flat_map(of_gas));
    let misfit = ("misfit, root mean square".to_owned(), format!("{:.1} %", 100.0 * answer.misfit));
    Answer {
        verdict: None,
        headline: vec![answer.report.clone()],
        figures: known.chain([misfit]).collect(),
        table: Some(Table {
            heads: vec!["Test", "Measured", "Fitted", "Off"],
            rows: answer.beside.iter().map(row).collect(),
        }),
        lines: Some(("Lines for the case file", answer.case_lines.clone())),
        findings: Findings::of(&[]),
        method: "The carbon, and of each gas held by reaction the capacity and rate, that come nearest to every measurement, each weighed by its error; of the carbon from what was known before.".to_owned(),
        sources: vec![
            "A calibration holds for these elements and is no approval. Have it reviewed by a qualified industrial hygienist.".to_owned(),
        ],
        links: Vec::new(),
    }
}
