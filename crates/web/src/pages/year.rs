//! The record of a year of one site: what an inspector asks, answered from the entries as they were
//! made, with the proof that none was changed.

use std::collections::BTreeMap;

use askama::Template;
use axum::extract::{Path, State};
use jiff::civil::Date;
use jiff::tz::TimeZone;
use program::state::State as Records;
use program::{Entry, Fact, PersonId, SiteId};

use crate::app::AppState;
use crate::due_view::encoded;
use crate::fields::Fields;
use crate::named::{self, Thing};
use crate::shell::{Page, PageError, Room, Shell, page};
use crate::{telling, wording};

/// What is asked, and the kinds of entries that answer it, each without its version.
const QUESTIONS: [(&str, &[&str]); 13] = [
    ("Who was fit tested?", &["fit-tested"]),
    ("Who was cleared to wear?", &["clearance-given"]),
    ("Who was trained, and who was told?", &["trained", "voluntary-information-given"]),
    ("What was inspected?", &["inspected", "battery-checked", "powered-flow-checked"]),
    ("What was cleaned and disinfected?", &["cleaned", "care-step-done", "disinfected"]),
    (
        "What was held back, repaired, released or retired?",
        &["held", "repaired", "repair-tested", "released", "retired"],
    ),
    ("What was smelled, tasted or felt?", &["breakthrough-sensed"]),
    ("Which elements were changed?", &["elements-fitted", "elements-discarded"]),
    (
        "How was the air that is breathed looked after?",
        &[
            "cylinder-read",
            "breathing-air-tested",
            "cylinder-mounted",
            "cylinder-filled",
            "cylinder-gauged",
            "cylinder-requalified",
            "cylinder-withdrawn",
            "supply-connected",
            "air-sampled",
            "sorbent-bed-changed",
            "carbon-monoxide-alarm-checked",
        ],
    ),
    (
        "What was measured, and which schedules were set?",
        &["reading-taken", "exposure-measured", "schedule-adopted", "reuse-accepted", "policy-set"],
    ),
    (
        "Was the program evaluated, and what was put right?",
        &[
            "program-written",
            "program-evaluated",
            "workers-consulted",
            "action-opened",
            "action-closed",
            "duty-shown",
            "role-given",
            "role-ended",
        ],
    ),
    (
        "Who had which respirator, and when was it worn?",
        &[
            "issued",
            "returned",
            "worn",
            "seal-checked",
            "stored",
            "facepiece-taken",
            "stock-counted",
        ],
    ),
    (
        "What is new or gone?",
        &[
            "site-opened",
            "model-listed",
            "element-type-listed",
            "unit-received",
            "wearer-enrolled",
            "wearer-left",
            "task-described",
            "exposure-group-described",
            "maker-instructions-noted",
            "place-listed",
            "stock-received",
            "cylinder-listed",
            "supply-listed",
        ],
    ),
];

/// How many entries of a question are shown before the rest is folded away.
const FIRST: usize = 8;

#[derive(Template)]
#[template(path = "pages/year.html")]
struct YearPage {
    shell: Shell,
    years: Vec<(String, i16, bool)>,
    entries: usize,
    corrected: usize,
    wearers: Vec<WearerRow>,
    questions: Vec<Question>,
    chain: Option<(u64, String)>,
    verify: String,
    verified: Option<Result<String, String>>,
}

struct WearerRow {
    address: String,
    name: String,
    fit_tested: String,
    cleared: String,
    trained: String,
}

struct Question {
    heading: &'static str,
    first: Vec<Line>,
    rest: Vec<Line>,
}

struct Line {
    id: String,
    when: String,
    words: String,
    by: String,
    corrected: bool,
}

/// `GET /sites/{id}/year?year=&verify=`.
pub(crate) async fn show(
    State(app): State<AppState>,
    Path(asked): Path<String>,
    fields: Fields,
) -> Page {
    let id = SiteId::new(&asked);
    let state = app.ledger().state_of_site(&id).await?;
    let Some(site) = state.site(&id) else {
        return Err(named::missing(&app, Thing::Site, asked).await);
    };
    let zone = telling::zone(&state, &id);
    let head = app.ledger().head(&id).await?;
    let own = || state.entries().filter(|entry| entry.site == id);
    let day = |entry: &Entry| entry.happened.to_zoned_datetime(zone.clone()).date();
    let this_year = app.now().to_zoned_datetime(zone.clone()).date().year();
    let year = fields.get("year").parse::<i16>().unwrap_or(this_year);
    let first_year = own().map(|entry| day(entry).year()).min().unwrap_or(this_year);
    let mut entries: Vec<&Entry> = own().filter(|entry| day(entry).year() == year).collect();
    entries.sort_by_key(|entry| (entry.happened, entry.entered, &entry.id));
    let address = |year: i16| format!("/sites/{}/year?year={year}", encoded(id.as_str()));
    let verified = match fields.filled("verify") {
        Some(_) => Some(verified(&app).await?),
        None => None,
    };
    page(&YearPage {
        shell: Shell::new(&app, Room::Record, format!("{}: record of {year}", site.name)),
        years: (first_year..=this_year).rev().map(|one| (address(one), one, one == year)).collect(),
        entries: entries.len(),
        corrected: entries.iter().filter(|entry| is_corrected(&state, entry)).count(),
        wearers: wearers(&state, &id, (&entries, &zone, year)),
        questions: questions(&state, &entries, &zone),
        chain: head.map(|head| (head.seq, head.hash.to_string())),
        verify: format!("{}&verify=yes#proof", address(year)),
        verified,
    })
}

async fn verified(app: &AppState) -> Result<Result<String, String>, PageError> {
    let verification = app.verified().await?;
    Ok(match verification.broken {
        None => Ok(format!(
            "{} entries read anew, and every link of the chain holds.",
            verification.entries
        )),
        Some(broken) => Err(format!(
            "Broken at entry {} (number {} of site {}): {}",
            broken.id, broken.seq, broken.site, broken.why
        )),
    })
}

fn is_corrected(state: &Records, entry: &Entry) -> bool {
    state.counted_instead_of(&entry.id).is_some()
}

/// The question that a kind of entry answers.
fn question_of(kind: &str) -> Option<usize> {
    let path = kind.split_once('.').map_or(kind, |(path, _)| path);
    QUESTIONS.iter().position(|(_, kinds)| kinds.contains(&path))
}

fn questions(state: &Records, entries: &[&Entry], zone: &TimeZone) -> Vec<Question> {
    let mut lines: BTreeMap<usize, Vec<Line>> = BTreeMap::new();
    for entry in entries {
        // A kind that no question asks for is shown with what is new.
        let place = question_of(&super::record::kind(&entry.fact)).unwrap_or(QUESTIONS.len() - 1);
        lines.entry(place).or_default().push(Line {
            id: entry.id.to_string(),
            when: wording::moment(entry.happened, zone),
            words: telling::told(state, entry),
            by: telling::person(state, &entry.by),
            corrected: is_corrected(state, entry),
        });
    }
    let asked = QUESTIONS.iter().enumerate().map(|(place, (heading, _))| {
        let mut own = lines.remove(&place).unwrap_or_default().into_iter();
        Question { heading, first: own.by_ref().take(FIRST).collect(), rest: own.collect() }
    });
    asked.collect()
}

/// When each wearer was last fit tested, cleared and trained within the year.
fn wearers(
    state: &Records,
    site: &SiteId,
    (entries, zone, year): (&[&Entry], &TimeZone, i16),
) -> Vec<WearerRow> {
    type Dates = [Option<Date>; 3];
    let mut dates: BTreeMap<&PersonId, Dates> = BTreeMap::new();
    for entry in entries.iter().filter(|entry| !is_corrected(state, entry)) {
        let (wearer, place) = match &entry.fact {
            Fact::FitTested { wearer, .. } | Fact::FitMeasured { wearer, .. } => (wearer, 0),
            Fact::ClearanceGiven { wearer, .. } => (wearer, 1),
            Fact::Trained { wearer, .. } => (wearer, 2),
            _ => continue,
        };
        let day = entry.happened.to_zoned_datetime(zone.clone()).date();
        if let Some(latest) = dates.entry(wearer).or_default().get_mut(place) {
            *latest = (*latest).max(Some(day));
        }
    }
    let here = state.wearers().filter(|(_, wearer)| {
        let left =
            wearer.left.as_ref().map(|left| left.at.when.to_zoned_datetime(zone.clone()).date());
        let enrolled = wearer.enrolled.when.to_zoned_datetime(zone.clone()).date();
        wearer.site == *site
            && enrolled.year() <= year
            && left.is_none_or(|left| left.year() >= year)
    });
    let rows = here.map(|(id, wearer)| {
        let [fit_tested, cleared, trained] = dates.get(id).copied().unwrap_or_default();
        let said =
            |date: Option<Date>| date.map_or_else(|| "not in this year".to_owned(), wording::day);
        WearerRow {
            address: Thing::Wearer.page(id.as_str()),
            name: wearer.name.clone(),
            fit_tested: said(fit_tested),
            cleared: said(cleared),
            trained: said(trained),
        }
    });
    rows.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::forms;

    #[test]
    fn every_kind_of_entry_answers_one_question() {
        for form in forms::all() {
            assert!(question_of(form.kind).is_some(), "no question asks for `{}`", form.kind);
        }
        let mut all: Vec<&str> = QUESTIONS.iter().flat_map(|(_, kinds)| *kinds).copied().collect();
        let count = all.len();
        all.sort_unstable();
        all.dedup();
        assert_eq!(all.len(), count);
    }
}
