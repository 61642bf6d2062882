//! The points of an inspection: a question for each, asked once the respirator and the occasion are
//! known.

use askama::Template;
use ledger::Hash;
use program::{PointFound, PointResult, State, UnitId};
use rulebook::checklist::{Occasion, Point, points};
use serde_json::Value;

use super::Ask;
use crate::component::{Choice, Field};
use crate::fields::Fields;
use crate::named::is_same;
use crate::photos::{chosen, is_of_photo, kept};
use crate::wording;

const RESULTS: [(&str, PointResult); 3] = [
    ("pass", PointResult::Pass),
    ("fail", PointResult::Fail),
    ("not-applicable", PointResult::NotApplicable),
];

/// The questions, or what is needed before they can be asked.
#[derive(Template)]
#[template(path = "parts/points.html")]
struct PointsPart {
    name: &'static str,
    error: Option<String>,
    rows: Vec<Row>,
    why_none: &'static str,
}

/// A question: its field, and folded away under it the fields of its note and its photo.
struct Row {
    choice: String,
    citation: &'static str,
    looks_at: &'static str,
    /// There is something to see in what is folded away.
    open: bool,
    note: String,
    photo: String,
}

/// A field for a photo, with the one that is already kept.
#[derive(Template)]
#[template(path = "parts/photo.html")]
struct PhotoPart<'a> {
    chosen: String,
    kept: String,
    /// The hash of the one that is kept, else empty.
    hash: &'a str,
    of: &'a str,
    error: Option<&'a str>,
}

/// The points of the respirator in the field `unit` on the occasion in the field `occasion`; what
/// stands in the way where they cannot be told.
pub(super) fn asked(state: &State, fields: &Fields) -> Result<Vec<&'static Point>, &'static str> {
    let typed = fields.get("occasion");
    let Ok(occasion) = serde_json::from_value::<Occasion>(typed.into()) else {
        return Err("Choose the occasion, then show the points.");
    };
    let tag = fields.get("unit");
    let found = state.unit(&UnitId::new(tag)).or_else(|| {
        let mut all = state.units();
        all.find(|(id, _)| is_same(id.as_str(), tag)).map(|(_, unit)| unit)
    });
    let Some(unit) = found else {
        return Err("Say which respirator, then show the points.");
    };
    match state.model(&unit.model) {
        Some(model) => Ok(points(&model.device, unit.emergency, occasion)),
        None => {
            Err("Its model is not listed. List the model first: it tells which points are asked.")
        }
    }
}

/// The name of the field of a point.
pub(super) fn name(ask: &Ask, point: &str) -> String {
    format!("{}~{point}", ask.path)
}

fn note(ask: &Ask, point: &str) -> String {
    format!("{}~{point}~note", ask.path)
}

pub(super) fn draw(ask: &Ask, fields: &Fields, state: &State) -> Result<String, askama::Error> {
    let (points, why_none) = match asked(state, fields) {
        Ok(points) => (points, ""),
        Err(why) => (Vec::new(), why),
    };
    let row = |point: &&'static Point| {
        let (own, beside) = (name(ask, &point.id), note(ask, &point.id));
        let none = Some(("not-applicable", "not applicable")).filter(|_| point.may_not_apply);
        let options = [("", "choose"), ("pass", "pass"), ("fail", "fail")];
        let options = options.into_iter().chain(none);
        let choice = Choice::named(fields, &own, &point.asks, options).render()?;
        let label = format!("Note on {}", point.looks_at);
        let note = Field::named(fields, &beside, &label).render()?;
        let photo = photo(fields, &own, &point.looks_at).render()?;
        let (citation, looks_at) = (&point.citation, &point.looks_at);
        Ok(Row { choice, citation, looks_at, open: has_more(fields, &own, &beside), note, photo })
    };
    let rows = points.iter().map(row).collect::<Result<_, askama::Error>>()?;
    let error = fields.why_wrong(ask.path).map(str::to_owned);
    PointsPart { name: ask.path, error, rows, why_none }.render()
}

/// Whether more than a result was given at a point, or is needed there.
fn has_more(fields: &Fields, point: &str, note: &str) -> bool {
    let filled = [note, &kept(point)].into_iter().any(|name| fields.filled(name).is_some());
    let wrong = [note, &chosen(point)].into_iter().any(|name| fields.why_wrong(name).is_some());
    filled || wrong || fields.get(point) == "fail"
}

fn photo<'a>(fields: &'a Fields, point: &str, of: &'a str) -> PhotoPart<'a> {
    let (chosen, kept) = (chosen(point), kept(point));
    let error = fields.why_wrong(&chosen);
    // An address may fill in anything; only a hash leads to a picture.
    let hash = fields.filled(&kept).filter(|hash| hash.parse::<Hash>().is_ok());
    PhotoPart { hash: hash.unwrap_or_default(), of, error, chosen, kept }
}

/// What was found at each point; a point left out is told beside it.
pub(super) fn answers(ask: &Ask, fields: &mut Fields, state: &State) -> Option<Value> {
    let points = match asked(state, fields) {
        Ok(points) => points,
        Err(why) => {
            fields.refuse(ask.path, why);
            return None;
        }
    };
    let mut found = Vec::new();
    for point in points {
        let (own, beside) = (name(ask, &point.id), note(ask, &point.id));
        let result = RESULTS.iter().find(|(word, _)| *word == fields.get(&own));
        let note = fields.get(&beside).to_owned();
        match result.map(|(_, result)| *result) {
            None => fields.refuse(&own, "look at this point, and choose"),
            Some(PointResult::NotApplicable) if !point.may_not_apply => {
                fields.refuse(&own, "this point applies to every respirator of this class");
            }
            Some(PointResult::Fail) if note.is_empty() => {
                fields.refuse(&beside, "say what was seen");
            }
            Some(result) => {
                let picture = fields.filled(&kept(&own)).map(str::to_owned);
                found.push(PointFound { point: point.id.clone(), result, note, picture });
            }
        }
    }
    serde_json::to_value(found).ok()
}

/// The fields as they were filled in.
pub(super) fn typed_again(ask: &Ask, found: &[Value]) -> Vec<(String, String)> {
    let found = found.iter().filter_map(|value| serde_json::from_value(value.clone()).ok());
    let fields = found.flat_map(|found: PointFound| {
        let result = RESULTS.iter().find(|(_, result)| *result == found.result);
        let word = result.map_or("", |(word, _)| *word).to_owned();
        let own = name(ask, &found.point);
        let picture = found.picture.map(|hash| (kept(&own), hash));
        [(own, word), (note(ask, &found.point), found.note)].into_iter().chain(picture)
    });
    fields.collect()
}

/// How many points passed, and what was found at the others.
pub(super) fn spoken(ask: &Ask, fields: &Fields) -> String {
    let start = name(ask, "");
    let told = fields.starting_with(&start).filter(|(name, _)| !is_of_photo(name));
    let (notes, results): (Vec<_>, Vec<_>) = told.partition(|(name, _)| name.ends_with("~note"));
    let noted = notes.into_iter().map(|(_, text)| text).filter(|text| !text.is_empty());
    let noted = noted.collect::<Vec<_>>().join("; ");
    let failed = results.iter().filter(|(_, result)| *result == "fail").count();
    let noted = if noted.is_empty() { noted } else { format!(": {noted}") };
    format!(
        "{} looked at, {failed} failed{noted}",
        wording::count(results.len(), "point", "points")
    )
}
