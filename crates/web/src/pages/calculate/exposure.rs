//! What the readings of an exposure group say of its high days.

use std::collections::BTreeSet;

use askama::Template;
use axum::extract::State;
use program::exposure::{
    ExposureAnswer, Reading, Readings, ReadingsError, Summary, analyse, analyse_summary,
};
use program::state::State as Records;
use program::{GroupId, Subject, state};
use quantity::Concentration;
use substance::{Cas, Catalogue, LimitKind};

use rulebook::shown_beside;

use super::{Answer, Part, SheetPage};
use crate::app::AppState;
use crate::component::{Field, Findings};
use crate::fields::Fields;
use crate::shell::Page;
use crate::wording;

/// `GET /exposure`.
pub(crate) async fn show(State(app): State<AppState>, mut fields: Fields) -> Page {
    let mut sheet = SheetPage::new(
        &app,
        "Exposure of a group",
        "/exposure",
        "Readings of people who are exposed alike, one to a line; or the summary of a report.",
    );
    let group = Subject::Group(GroupId::new(fields.get("group")));
    let state = app.ledger().state_with(Records::default(), BTreeSet::from([group])).await?;
    fill_from_group(&state, &mut fields);
    let limit = fields.read::<Concentration>("limit");
    let judged = if fields.has_errors() {
        None
    } else if fields.filled("readings").is_some() {
        Some(of_readings(&mut fields, limit))
    } else if ["gm", "gsd", "n"].iter().any(|name| fields.filled(name).is_some()) {
        Some(of_summary(&mut fields, limit))
    } else {
        None
    };
    sheet.answers.extend(judged.flatten().map(|judged| answer(&judged)));
    let text = |name, label, hint| Field::text(&fields, name, label).hint(hint);
    sheet.parts = vec![
        Part {
            legend: "Readings",
            hint: "",
            fields: vec![
                text(
                    "readings",
                    "Readings, one to a line",
                    "such as 12 ppm; <0.5 ppm where nothing was detected",
                )
                .kind("lines")
                .render()?,
                text("limit", "Limit to hold the group against", "such as 50 ppm").render()?,
            ],
        },
        Part {
            legend: "Or a summary",
            hint: "of a report that gives no single readings",
            fields: vec![
                text("n", "Number of readings", "such as 12").render()?,
                text("gm", "Geometric mean", "such as 1.06 mg/m3").render()?,
                text("gsd", "Geometric standard deviation", "such as 2.3").render()?,
            ],
        },
    ];
    sheet.drawn(&fields)
}

/// Fills in the readings of the group that the address names: those of the contaminant asked for,
/// or of the one measured last.
fn fill_from_group(state: &Records, fields: &mut Fields) {
    let Some(group) = state.group(&GroupId::new(fields.get("group"))) else { return };
    let asked = fields.filled("cas").and_then(|cas| cas.parse::<Cas>().ok());
    let Some(cas) = asked.or_else(|| group.measured.last().map(|last| last.cas)) else { return };
    let line =
        |one: &state::Measured| format!("{}{}", if one.detected { "" } else { "<" }, one.level);
    let own = group.measured.iter().filter(|one| one.cas == cas);
    fields.or_set("readings", own.map(line).collect::<Vec<_>>().join("\n"));
    let substance = Catalogue::builtin().get(cas);
    let limit = substance.and_then(|known| known.lowest_limit(LimitKind::LegalTwa));
    let by_mass =
        group.measured.last().is_some_and(|one| matches!(one.level, Concentration::Mass(_)));
    let figure = limit.and_then(|limit| match by_mass {
        true => limit.mg_per_m3.map(|figure| figure.to_string()),
        false => limit.ppm.map(|figure| figure.to_string()),
    });
    if let Some(figure) = figure {
        fields.or_set("limit", figure);
    }
}

fn of_readings(fields: &mut Fields, limit: Option<Concentration>) -> Option<ExposureAnswer> {
    let text = fields.get("readings").to_owned();
    let lines = text.lines().flat_map(|line| line.split(';')).map(str::trim);
    let mut readings = Vec::new();
    for line in lines.filter(|line| !line.is_empty()) {
        let (detected, written) = match line.strip_prefix('<') {
            Some(rest) => (false, rest.trim()),
            None => (true, line),
        };
        match written.parse::<Concentration>() {
            Ok(level) => readings.push(Reading { level, detected }),
            Err(error) => {
                fields.refuse("readings", error.to_string());
                return None;
            }
        }
    }
    let judged = Readings::new(readings).and_then(|readings| analyse(&readings, limit));
    refused(fields, judged, "readings")
}

fn of_summary(fields: &mut Fields, limit: Option<Concentration>) -> Option<ExposureAnswer> {
    fields.need("gm", "give the geometric mean, such as 1.06 mg/m3");
    fields.need("gsd", "give the geometric standard deviation, such as 2.3");
    fields.need("n", "give the number of readings, such as 12");
    let (gm, gsd) =
        (fields.read::<Concentration>("gm"), fields.filled("gsd").map(str::parse::<f64>));
    let n = fields.filled("n").map(str::parse::<u32>);
    if matches!(gsd, Some(Err(_))) {
        fields.refuse("gsd", "this is not a number\nwrite digits alone");
    }
    if matches!(n, Some(Err(_))) {
        fields.refuse("n", "this is not a whole number\nwrite digits alone");
    }
    let summary = Summary { n: n?.ok()?, geometric_mean: gm?, geometric_sd: gsd?.ok()? };
    let judged = analyse_summary(&summary, limit);
    refused(fields, judged, "gm")
}

/// The answer, or the refusal beside its field.
fn refused(
    fields: &mut Fields,
    judged: Result<ExposureAnswer, ReadingsError>,
    otherwise: &str,
) -> Option<ExposureAnswer> {
    judged
        .map_err(|error| {
            let field = match error {
                ReadingsError::LimitUnit { .. } | ReadingsError::NoLimit(_) => "limit",
                ReadingsError::GsdBelowOne(_) => "gsd",
                ReadingsError::SummaryOfFew(_) => "n",
                _ => otherwise,
            };
            fields.refuse(field, error.to_string());
        })
        .ok()
}

fn answer(judged: &ExposureAnswer) -> Answer {
    let unit = judged.unit;
    let level = |number: f64| format!("{} {unit}", wording::number(number));
    // Beside the limit that it is held against, one above it is not rounded down to it.
    let upper = |number: f64| match &judged.against_limit {
        Some(against) if wording::number(number) == wording::number(against.limit.number()) => {
            format!("{} {unit}", shown_beside(number, against.limit.number(), 1))
        }
        _ => level(number),
    };
    let headline = match &judged.design_concentration {
        Some(design) => {
            vec![format!("Plan for {}: {}", level(design.level.number()), design.words)]
        }
        None => vec!["There is no concentration to plan for.".to_owned()],
    };
    let mut figures = vec![(
        "readings".to_owned(),
        format!("{} ({} below detection)", judged.n, judged.below_detection),
    )];
    if let Some(fitted) = &judged.fitted {
        let percentile = &fitted.percentile_95;
        figures.extend([
            ("geometric mean".to_owned(), level(fitted.geometric_mean)),
            ("geometric spread".to_owned(), wording::number(fitted.geometric_sd)),
            ("best mean".to_owned(), level(fitted.mean.best)),
            ("95th percentile".to_owned(), level(percentile.estimate)),
            ("95 % upper limit of it".to_owned(), upper(percentile.upper_95)),
        ]);
    }
    if let Some(exceedance) = judged.against_limit.as_ref().and_then(|against| against.exceedance) {
        let part = |fraction: f64| format!("{:.2} %", fraction * 100.0);
        figures.push(("shifts above the limit".to_owned(), part(exceedance.fraction)));
        figures.push(("95 % upper limit of that".to_owned(), part(exceedance.upper_95)));
    }
    Answer {
        verdict: None,
        headline,
        figures,
        table: None,
        lines: None,
        findings: Findings::of(&judged.findings),
        method: judged.method.to_owned(),
        sources: judged.sources.iter().map(|source| (*source).to_owned()).collect(),
        links: Vec::new(),
    }
}
