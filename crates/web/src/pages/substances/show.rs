use askama::Template;
use axum::extract::{Path, State};
use quantity::Celsius;
use substance::{Cas, Catalogue, Known, Limit, LimitKind, Mark, PropertyError, Substance};

use super::{figure, kind_words};
use crate::app::AppState;
use crate::shell::{Page, PageError, Room, Shell, page};
use crate::wording;

/// Temperature at which properties are shown, degC: that of the limit tables.
const SHOWN_AT_C: f64 = 25.0;

#[derive(Template)]
#[template(path = "pages/substances/show.html")]
struct ShowPage {
    shell: Shell,
    cas: String,
    synonyms: String,
    formula: String,
    family: String,
    class: String,
    class_basis: String,
    poor_sorbent: String,
    also_particulate: bool,
    note: String,
    at: f64,
    properties: Vec<PropertyRow>,
    limits: Vec<LimitRow>,
}

struct PropertyRow {
    name: &'static str,
    value: String,
    basis: String,
    source: String,
}

struct LimitRow {
    kind: &'static str,
    figure: String,
    used: bool,
    period: String,
    source: String,
    read: bool,
    remarks: String,
}

/// `GET /substances/{cas}`.
pub(crate) async fn show(State(app): State<AppState>, Path(asked): Path<String>) -> Page {
    let catalogue = Catalogue::builtin();
    let found = asked.parse::<Cas>().ok().and_then(|cas| catalogue.get(cas));
    let Some(substance) = found else {
        let near = catalogue.search(&asked, 5);
        let near =
            near.into_iter().map(|s| (format!("/substances/{}", s.cas()), s.name().to_owned()));
        return Err(PageError::NotFound { what: "substance", asked, near: near.collect() });
    };
    page(&ShowPage {
        shell: Shell::new(&app, Room::Substances, substance.name()),
        cas: substance.cas().to_string(),
        synonyms: substance.synonyms().join(", "),
        formula: substance.formula().to_owned(),
        family: substance.family().to_owned(),
        class: substance.class().to_string(),
        class_basis: substance.class_basis().to_owned(),
        poor_sorbent: substance.poor_sorbent().unwrap_or_default().to_owned(),
        also_particulate: substance.also_particulate(),
        note: substance.note().to_owned(),
        at: SHOWN_AT_C,
        properties: properties(substance),
        limits: substance.limits().iter().map(|limit| LimitRow::of(substance, limit)).collect(),
    })
}

fn properties(substance: &Substance) -> Vec<PropertyRow> {
    let Ok(at) = Celsius::from_celsius(SHOWN_AT_C) else { return Vec::new() };
    let mass = substance.molar_mass_g_per_mol().map_err(why);
    let index = substance.refractive_index().map_err(why);
    let boiling = substance.boiling_point_celsius().ok_or_else(|| "no table has it".to_owned());
    let pressure = substance.vapour_pressure(at).map_err(why);
    let density = substance.liquid_density(at).map_err(why);
    let polarisation = substance.molar_polarisation(at).map_err(why);
    let per_mol = |m: &f64| format!("{} g/mol", wording::number(*m));
    vec![
        PropertyRow::of("molar mass", mass, per_mol),
        PropertyRow::of("boiling point", boiling, |c| format!("{} degC", wording::number(*c))),
        PropertyRow::of("vapour pressure", pressure.as_ref().map_err(Clone::clone), |p| {
            format!("{} kPa", wording::number(p.as_kpa()))
        }),
        PropertyRow::of("liquid density", density.as_ref().map_err(Clone::clone), |d| {
            format!("{} g/cm3", wording::number(d.as_g_per_cm3()))
        }),
        PropertyRow::of("refractive index", index, |n| format!("{n:.4}")),
        PropertyRow::of("molar polarisation", polarisation.as_ref().map_err(Clone::clone), |p| {
            format!("{} cm3/mol", wording::number(*p))
        }),
    ]
}

/// Why a property is not given, in words.
fn why(error: PropertyError) -> String {
    error.to_string()
}

impl PropertyRow {
    fn of<T>(
        name: &'static str,
        known: Result<&Known<T>, String>,
        words: impl Fn(&T) -> String,
    ) -> Self {
        match known {
            Ok(known) => Self {
                name,
                value: words(&known.value),
                basis: known.basis.to_string(),
                source: known.source.clone(),
            },
            Err(why) => Self { name, value: "—".to_owned(), basis: String::new(), source: why },
        }
    }
}

impl LimitRow {
    fn of(substance: &Substance, limit: &Limit) -> Self {
        let kind: LimitKind = limit.kind;
        // The line is named where it speaks of something narrower than the substance.
        let same = limit.variant.eq_ignore_ascii_case(substance.name());
        let variant = Some(limit.variant.as_str()).filter(|_| !same);
        let remarks = variant.into_iter().chain([limit.note.as_str()]);
        let remarks: Vec<&str> = remarks.filter(|text| !text.is_empty()).collect();
        Self {
            kind: kind_words(kind),
            figure: figure(limit),
            used: substance.lowest_limit(kind) == Some(limit),
            period: limit.period.clone().unwrap_or_default(),
            source: limit.source.clone(),
            read: limit.mark == Mark::Read,
            remarks: remarks.join("; "),
        }
    }
}
