//! The record of a year of one site: what an inspector asks, answered from the entries as they were
//! made, with the proof that none was changed.

mod standing;

use std::collections::BTreeMap;

use askama::Template;
use axum::extract::{Path, State};
use jiff::civil::Date;
use jiff::tz::TimeZone;
use program::state::{At, State as Records};
use program::{Clearance, Entry, Fact, PersonId, SiteId, TrainingTopic};

use crate::app::AppState;
use crate::due_view::encoded;
use crate::fields::Fields;
use crate::named::{self, Thing};
use crate::shell::{Page, PageError, Room, Shell, page};
use crate::{telling, wording};

use standing::Standing;

/// What is asked, and the kinds of entries that answer it, each without its version.
const QUESTIONS: [(&str, &[&str]); 15] = [
    (
        "Who was fit tested, and with what?",
        &[
            "fit-tested",
            "fit-agent-prepared",
            "instrument-listed",
            "instrument-calibrated",
            "instrument-checked",
            "instrument-withdrawn",
        ],
    ),
    ("Who was cleared to wear?", &["clearance-given", "medical-information-given"]),
    ("Who was trained, and who was told?", &["trained", "voluntary-information-given"]),
    ("What changed about a wearer?", &["renewal-asked", "seal-hair-seen"]),
    ("What was inspected?", &["inspected", "battery-checked", "powered-flow-checked"]),
    ("What was cleaned and disinfected?", &["cleaned", "care-step-done", "disinfected"]),
    (
        "What was held back, repaired, released or retired?",
        &["held", "repaired", "repair-tested", "released", "restored", "retired"],
    ),
    ("Who stood by at immediately dangerous air?", &["standby-posted", "standby-ended"]),
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
            "carbon-monoxide-tested",
            "sorbent-bed-changed",
            "supply-looked-over",
            "air-bought",
            "oxygen-certified",
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
            "makers-seal-check-shown",
            "place-listed",
            "stock-received",
            "cylinder-listed",
            "supply-listed",
        ],
    ),
];

/// How many entries of a question are shown before more are folded away.
const FIRST: usize = 8;

/// How many entries of a question stand on the page of the year; the page of the question holds all.
const ON_THE_YEAR: usize = 40;

/// How many entries stand on one page of a question: ten sheets of paper.
const ON_A_PAGE: usize = 400;

#[derive(Template)]
#[template(path = "pages/year.html")]
struct YearPage {
    shell: Shell,
    years: Vec<(String, i16, bool)>,
    entries: usize,
    corrected: usize,
    wearers: Vec<WearerRow>,
    /// The day for which it is told how the wearers stood, in words and as a field writes it.
    stood_on: (String, String),
    year: i16,
    /// How many wearers there were, and the page of all where not all are shown.
    all_wearers: (usize, Option<String>),
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
    /// How the wearer stood on the day that is asked about: fit tested, cleared, trained.
    stood: [String; 3],
}

impl WearerRow {
    /// What each needs: its name, when it was last done in the year, and how the wearer stood.
    fn cells(&self) -> [(&'static str, &str, &str); 3] {
        let [fit, clearance, training] = &self.stood;
        [
            ("Fit tested", &self.fit_tested, fit),
            ("Cleared", &self.cleared, clearance),
            ("Trained", &self.trained, training),
        ]
    }
}

struct Question {
    heading: &'static str,
    count: usize,
    first: Vec<Line>,
    rest: Vec<Line>,
    /// The page of all entries, where not all are shown.
    all: Option<String>,
}

/// A part of the record that is too long for the page of the year.
#[derive(Template)]
#[template(path = "pages/year_part.html")]
struct PartPage {
    shell: Shell,
    year: String,
    heading: &'static str,
    count: usize,
    wearers: Vec<WearerRow>,
    stood_on: String,
    lines: Vec<Line>,
    before: Option<String>,
    next: Option<String>,
}

/// The last time of one of the three that each wearer needs.
#[derive(Clone, Copy)]
struct Last {
    day: Date,
    /// What it lacked; nothing where it counts.
    lacks: &'static str,
}

/// Who was fit tested, evaluated or trained to wear: which of the three it was, and what it lacked.
fn result(fact: &Fact) -> Option<(&PersonId, usize, &'static str)> {
    let unless = |good: bool, lacks: &'static str| if good { "" } else { lacks };
    Some(match fact {
        Fact::FitTested { wearer, passed, .. } => (wearer, 0, unless(*passed, "FAILED")),
        Fact::FitMeasured { wearer, record, .. } => {
            (wearer, 0, unless(telling::fit_passed(record), "FAILED"))
        }
        Fact::ClearanceGiven { wearer, clearance, .. }
        | Fact::ClearanceWritten { wearer, clearance, .. } => {
            (wearer, 1, unless(*clearance != Clearance::NotCleared, "NOT cleared"))
        }
        Fact::Trained { wearer, topic: TrainingTopic::Wear, understood, .. } => {
            (wearer, 2, unless(*understood, "not yet understood"))
        }
        _ => return None,
    })
}

/// The part of the record that tells of each wearer.
const WEARERS: &str = "wearers";

struct Line {
    id: String,
    when: String,
    words: String,
    by: String,
    corrected: bool,
}

/// `GET /sites/{id}/year?year=&verify=`, and with `part=` and `page=` one part of it in full. It looks at
/// every entry of the site: whether each still counts, and by what name each thing goes, is told by all.
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
    let asked_day = fields.filled("day").and_then(|day| day.parse::<Date>().ok());
    let last = asked_day.or_else(|| Date::new(year, 12, 31).ok()).unwrap_or(Date::MAX);
    let standing = Standing::on(&state, (&id, &zone), (last, app.now()));
    let of_year = Year {
        state: &state,
        site: &id,
        entries: &entries,
        zone: &zone,
        year,
        standing: &standing,
    };
    if let Some(part) = fields.filled("part") {
        let own =
            asked_day.map_or_else(|| address(year), |day| format!("{}&day={day}", address(year)));
        return of_year.part(&app, part, (&fields, &own));
    }
    let mut wearers = of_year.wearers();
    let own = format!("{}&day={}", address(year), standing.day);
    let all_wearers = (wearers.len(), link(&own, WEARERS, wearers.len()));
    wearers.truncate(ON_THE_YEAR);
    let verified = match fields.filled("verify") {
        Some(_) => Some(verified(&app).await?),
        None => None,
    };
    page(&YearPage {
        shell: Shell::new(&app, Room::Record, format!("{}: record of {year}", site.name)),
        years: (first_year..=this_year).rev().map(|one| (address(one), one, one == year)).collect(),
        entries: entries.len(),
        corrected: entries.iter().filter(|entry| is_corrected(&state, entry)).count(),
        wearers,
        stood_on: (wording::day(standing.day), standing.day.to_string()),
        year,
        all_wearers,
        questions: of_year.questions(&address(year)),
        chain: head.map(|head| (head.seq, head.hash.to_string())),
        verify: format!("{}&verify=yes#proof", address(year)),
        verified,
    })
}

async fn verified(app: &AppState) -> Result<Result<String, String>, PageError> {
    let verification = app.verified().await?;
    let broken = verification.broken.as_ref().map(|broken| {
        let (id, seq, site) = (&broken.id, broken.seq, &broken.site);
        format!("Broken at entry {id} (number {seq} of site {site}): {}", broken.why)
    });
    let lost = verification.lost.first().map(|lost| format!("Cut off: {lost}"));
    let unguarded = (!verification.unguarded.is_empty()).then(|| {
        let guards = verification.unguarded.join(", ");
        format!("Guards of the database are missing, without which entries may have been changed: {guards}")
    });
    let photo = verification.broken_attachment.as_ref();
    let photo = photo.map(|hash| format!("The attachment {hash} is no longer what was attached"));
    let whole = format!(
        "{} entries read anew, every link of the chain holds, and nothing is missing that this database knows of.",
        verification.entries
    );
    Ok(broken.or(lost).or(photo).or(unguarded).map_or(Ok(whole), Err))
}

fn is_corrected(state: &Records, entry: &Entry) -> bool {
    state.counted_instead_of(&entry.id).is_some()
}

/// The question that a kind of entry answers.
fn question_of(kind: &str) -> Option<usize> {
    let path = kind.split_once('.').map_or(kind, |(path, _)| path);
    QUESTIONS.iter().position(|(_, kinds)| kinds.contains(&path))
}

/// The page of a part of the record, where it is longer than what the page of the year shows.
fn link(address: &str, part: &str, count: usize) -> Option<String> {
    (count > ON_THE_YEAR).then(|| format!("{address}&part={part}"))
}

/// What a year of a site is told from.
struct Year<'s> {
    state: &'s Records,
    site: &'s SiteId,
    /// The entries of the year, the first first.
    entries: &'s [&'s Entry],
    zone: &'s TimeZone,
    year: i16,
    standing: &'s Standing<'s>,
}

impl<'s> Year<'s> {
    /// The entries that answer each question.
    fn answers(&self) -> Vec<Vec<&'s Entry>> {
        let mut all = vec![Vec::new(); QUESTIONS.len()];
        for entry in self.entries {
            // A kind that no question asks for is shown with what is new.
            let place = question_of(&super::record::kind(&entry.fact));
            if let Some(own) = all.get_mut(place.unwrap_or(QUESTIONS.len() - 1)) {
                own.push(*entry);
            }
        }
        all
    }

    fn questions(&self, address: &str) -> Vec<Question> {
        let told = |(place, own): (usize, Vec<&Entry>)| {
            let mut lines = own.iter().take(ON_THE_YEAR).map(|entry| self.line(entry));
            Question {
                heading: QUESTIONS.get(place).map_or("", |(heading, _)| heading),
                count: own.len(),
                first: lines.by_ref().take(FIRST).collect(),
                rest: lines.collect(),
                all: link(address, &(place + 1).to_string(), own.len()),
            }
        };
        self.answers().into_iter().enumerate().map(told).collect()
    }

    /// One part in full, page by page.
    fn part(&self, app: &AppState, part: &str, (fields, address): (&Fields, &str)) -> Page {
        let question = part.parse::<usize>().ok().and_then(|number| number.checked_sub(1));
        let heading = question.and_then(|place| QUESTIONS.get(place)).map(|(heading, _)| *heading);
        let heading = heading.or((part == WEARERS).then_some("Wearers"));
        let Some(heading) = heading else {
            let near = vec![(address.to_owned(), "the record of the year".to_owned())];
            return Err(PageError::NotFound {
                what: "part of the record",
                asked: part.to_owned(),
                near,
            });
        };
        let page_number: usize =
            fields.filled("page").map_or(Ok(1), str::parse).unwrap_or(1).max(1);
        let skip = (page_number - 1).saturating_mul(ON_A_PAGE);
        let mut wearers = if question.is_none() { self.wearers() } else { Vec::new() };
        let entries = question.and_then(|place| self.answers().into_iter().nth(place));
        let entries = entries.unwrap_or_default();
        let count = wearers.len().saturating_add(entries.len());
        wearers = wearers.into_iter().skip(skip).take(ON_A_PAGE).collect();
        let lines = entries.iter().skip(skip).take(ON_A_PAGE).map(|entry| self.line(entry));
        let at = |number: usize| format!("{address}&part={part}&page={number}");
        let site = telling::site(self.state, self.site);
        page(&PartPage {
            shell: Shell::new(app, Room::Record, format!("{site}: record of {}", self.year)),
            year: address.to_owned(),
            heading,
            count,
            wearers,
            stood_on: wording::day(self.standing.day),
            lines: lines.collect(),
            before: (page_number > 1).then(|| at(page_number - 1)),
            next: (skip.saturating_add(ON_A_PAGE) < count)
                .then(|| at(page_number.saturating_add(1))),
        })
    }

    fn line(&self, entry: &Entry) -> Line {
        Line {
            id: entry.id.to_string(),
            when: wording::moment(entry.happened, self.zone),
            words: telling::told(self.state, entry),
            by: telling::person(self.state, &entry.by),
            corrected: is_corrected(self.state, entry),
        }
    }

    /// When each wearer was last fit tested, cleared and trained within the year.
    fn wearers(&self) -> Vec<WearerRow> {
        let dates = self.dates();
        let day = |at: &At| at.when.to_zoned_datetime(self.zone.clone()).date();
        let here = self.state.wearers().filter(|(_, wearer)| {
            let left = wearer.left.as_ref().map(|left| day(&left.at));
            wearer.site == *self.site
                && day(&wearer.enrolled).year() <= self.year
                && left.is_none_or(|left| left.year() >= self.year)
        });
        let rows = here.map(|(id, wearer)| {
            let [fit_tested, cleared, trained] = dates.get(id).copied().unwrap_or_default();
            let said = |last: Option<Last>| match last {
                None => "not in this year".to_owned(),
                Some(Last { day, lacks: "" }) => wording::day(day),
                Some(Last { day, lacks }) => format!("{}: {lacks}", wording::day(day)),
            };
            WearerRow {
                address: Thing::Wearer.page(id.as_str()),
                name: wearer.name.clone(),
                fit_tested: said(fit_tested),
                cleared: said(cleared),
                trained: said(trained),
                stood: self.standing.of(id),
            }
        });
        rows.collect()
    }

    /// The last time in the year that each wearer was fit tested, evaluated and trained to wear, as far
    /// as it counts.
    fn dates(&self) -> BTreeMap<&'s PersonId, [Option<Last>; 3]> {
        let mut dates: BTreeMap<&PersonId, [Option<Last>; 3]> = BTreeMap::new();
        for entry in self.entries.iter().filter(|entry| !is_corrected(self.state, entry)) {
            let Some((wearer, place, lacks)) = result(&entry.fact) else { continue };
            let day = entry.happened.to_zoned_datetime(self.zone.clone()).date();
            if let Some(latest) = dates.entry(wearer).or_default().get_mut(place) {
                // The entries come in the order of time.
                *latest = Some(Last { day, lacks });
            }
        }
        dates
    }
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
