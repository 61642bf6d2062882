//! How long the elements last in variants of a case, side by side.

use std::sync::Arc;

use askama::Template;
use axum::extract::State;
use program::case::CaseError;
use program::life::{Bounds, SampledTime};
use program::what_if::{MOST_VARIANTS, Variant, what_if};
use rulebook::Finding;

use super::{Answer, Part, SheetPage, Table, computed};
use crate::app::AppState;
use crate::component::{Field, Findings};
use crate::fields::Fields;
use crate::life_view::samples;
use crate::shell::Page;
use crate::wording;

/// A case that shows how one is written, and variants of it.
const EXAMPLE: (&str, [&str; 2]) = (
    include_str!("../../../../../docs/cases/lacquer.toml"),
    ["air.flow = 35 L/min", "air.relative_humidity = 80 %; contaminant.1.concentration = 150 ppm"],
);

/// The fields of the variants, and their labels.
const VARIANTS: [(&str, &str); MOST_VARIANTS] =
    [("b", "Variant B"), ("c", "Variant C"), ("d", "Variant D"), ("e", "Variant E")];

/// `GET /what-if`.
pub(crate) async fn show(State(app): State<AppState>, mut fields: Fields) -> Page {
    let mut sheet = SheetPage::new(
        &app,
        "What if the work were otherwise?",
        "/what-if",
        "A case, and up to four variants of it side by side: another flow, drier air, less in it, a larger bed.",
    );
    sheet.example = Some("/what-if?example=yes");
    if fields.filled("example").is_some() {
        fields.or_set("case", EXAMPLE.0);
        for ((name, _), change) in VARIANTS.into_iter().zip(EXAMPLE.1) {
            fields.or_set(name, change);
        }
    } else if fields.filled("ask").is_some() {
        answer(&mut sheet, &mut fields).await;
    }
    let variant =
        |(name, label): (&'static str, &'static str)| Field::text(&fields, name, label).render();
    let case = Field::text(&fields, "case", "Variant A: the case as it is")
        .hint("as a case file; the page on service life writes one for you")
        .kind("lines");
    let copies = Field::text(&fields, "samples", "Runs with varied inputs")
        .hint("a number, such as 2000; left empty: as many as are usual");
    sheet.parts = vec![
        Part { legend: "The case", hint: "", fields: vec![case.render()?, copies.render()?] },
        Part {
            legend: "Variants",
            hint: "What changes, as key = value, with semicolons between several: air.flow = 35 L/min; work.wear = 2 h. Tables that repeat are counted from 1: contaminant.1.concentration = 200 ppm.",
            fields: VARIANTS.into_iter().map(variant).collect::<Result<_, _>>()?,
        },
    ];
    sheet.button = "Compare";
    // A case that a link brings is not compared before it is said with what.
    sheet.hidden = vec![("ask".to_owned(), "yes".to_owned())];
    sheet.drawn(&fields)
}

async fn answer(sheet: &mut SheetPage, fields: &mut Fields) {
    let copies = samples(fields);
    let asked = VARIANTS.into_iter().filter_map(|(name, _)| Some((name, fields.filled(name)?)));
    let asked: Vec<(&str, String)> =
        asked.map(|(name, change)| (name, change.to_owned())).collect();
    let case = fields.need("case", "paste the case first");
    if asked.is_empty() {
        fields.refuse("b", "say what changes, such as air.flow = 35 L/min");
    }
    let Some(case) = case.filter(|_| !fields.has_errors()) else { return };
    let changes: Vec<String> = asked.iter().map(|(_, change)| change.clone()).collect();
    match computed(move || what_if(&case, &changes, copies, &Arc::default())).await {
        Ok(variants) => sheet.answers.push(side_by_side(&variants)),
        Err(CaseError { line, key, message }) => {
            // A refusal of a variant names its change.
            let of = |(_, change): &&(&str, String)| key.starts_with(&format!("`{change}`"));
            match asked.iter().find(of) {
                Some((name, _)) => fields.refuse(name, format!("{key}: {message}")),
                None => fields.refuse("case", format!("line {line}, {key}: {message}")),
            }
        }
    }
}

fn side_by_side(variants: &[Variant]) -> Answer {
    let lettered = || variants.iter().zip('A'..);
    let row = |(variant, letter): (&Variant, char)| {
        let Variant { change, life } = variant;
        let minutes = |of: fn(Bounds) -> f64| {
            life.life_min.map_or_else(|| "—".to_owned(), |life| wording::minutes(of(life)))
        };
        let sampled = life.sampled.as_ref().and_then(|sampled| sampled.ends.last());
        let range = |end: &SampledTime| {
            format!("{} to {}", wording::minutes(end.low), wording::minutes(end.high))
        };
        let stopped = variant.stops().map(Finding::text).collect::<Vec<_>>().join("; ");
        vec![
            format!("{letter}: {change}"),
            wording::minutes(life.schedule.max_wear.as_min()),
            life.schedule.shifts.to_string(),
            minutes(|life| life.lower),
            minutes(|life| life.best),
            sampled.map_or_else(|| "not sampled".to_owned(), range),
            life.schedule.limited_by.clone(),
            if stopped.is_empty() { "nothing".to_owned() } else { stopped },
        ]
    };
    let first = variants.first().map(|variant| &variant.life);
    Answer {
        verdict: None,
        headline: lettered()
            .map(|(variant, letter)| format!("{letter}: {}", variant.life.schedule.text))
            .collect(),
        figures: Vec::new(),
        table: Some(Table {
            heads: vec![
                "Variant",
                "Change after",
                "Shifts",
                "Lower bound",
                "Best estimate",
                "5 % to 95 % of runs",
                "Set by",
                "What stops it",
            ],
            rows: lettered().map(row).collect(),
        }),
        lines: None,
        findings: Findings::of(&[]),
        method: first.map_or_else(String::new, |life| life.method.to_owned()),
        sources: first.map(|life| life.sources.clone()).unwrap_or_default(),
        links: Vec::new(),
    }
}
