use std::collections::BTreeSet;

use askama::Template;
use axum::extract::{Path, State};
use program::case::{Mask, Storage};
use program::due::{DAYS_AHEAD, due_of};
use program::state::{State as Records, Task};
use program::{Subject, TaskId, TaskSegment, WorkRate};
use rulebook::{Assessment, Severity, list};
use substance::Catalogue;

use super::sets::{SetRow, kinds, sets};
use crate::app::AppState;
use crate::due_view::{DuePart, encoded, groups};
use crate::fields::Fields;
use crate::life_view::LifeView;
use crate::named::{self, Thing};
use crate::record::{OffersPart, offered, recorded};
use crate::shell::{Page, Room, Shell, page};
use crate::telling::{self, HistoryPart};
use crate::wording;

#[derive(Template)]
#[template(path = "pages/tasks/show.html")]
struct ShowPage {
    shell: Shell,
    address: String,
    recorded: String,
    offers: OffersPart,
    facts: Vec<(&'static str, String)>,
    segments: Vec<SegmentRow>,
    readings: Vec<ReadingRow>,
    needs: Vec<NeedRow>,
    sets: Vec<SetRow>,
    adopted: String,
    flow: String,
    life: Option<LifeView>,
    allowed: Vec<ClassRow>,
    not_allowed: Vec<ClassRow>,
    due: DuePart,
    history: HistoryPart,
}

/// A segment of the usual shift.
struct SegmentRow {
    number: usize,
    long: String,
    mask: String,
    level: String,
    otherwise: String,
}

struct ReadingRow {
    when: String,
    cas: String,
    name: String,
    level: String,
    form: &'static str,
    method: String,
    entry: String,
}

/// What is needed against one thing in the air.
struct NeedRow {
    name: String,
    level: String,
    limit: String,
    source: String,
    factor: String,
    dangerous: String,
}

/// One class of respirator, with every reason.
struct ClassRow {
    title: String,
    factor: String,
    reasons: Vec<(String, String)>,
}

/// `GET /tasks/{id}`.
pub(crate) async fn show(
    State(app): State<AppState>,
    Path(asked): Path<String>,
    fields: Fields,
) -> Page {
    let (id, now) = (TaskId::new(&asked), app.now());
    let (thing, shown) = (Subject::Task(id.clone()), telling::shown(&fields));
    let state = app.state_about(std::slice::from_ref(&thing), shown).await?;
    let Some(site) = state.task(&id).map(|task| task.site.clone()) else {
        return Err(named::missing(&app, Thing::Task, asked).await);
    };
    let in_use = app.ledger().sets_in_use(&site).await?;
    let state = app.ledger().state_with(state, kinds(&in_use)).await?;
    let (Some(task), Some(place)) = (state.task(&id), state.place_at(&id, now)) else {
        return Err(named::missing(&app, Thing::Task, asked).await);
    };
    let due = due_of(&state, [thing.clone()], (now, DAYS_AHEAD));
    let (sets, chosen) = sets(&state, (&id, in_use), now, fields.get("set"));
    let usable = sets.iter().any(|set| set.chosen && set.usable);
    let classes = list(&place);
    let needs = classes.first().map(needs).unwrap_or_default();
    let (allowed, not_allowed): (Vec<_>, Vec<_>) = classes.iter().partition(|class| class.allowed);
    let rows = |classes: Vec<&Assessment>| classes.into_iter().map(ClassRow::of).collect();
    page(&ShowPage {
        shell: Shell::new(&app, Room::Tasks, &task.spec.name),
        address: encoded(id.as_str()),
        recorded: recorded(&state, &fields),
        offers: offered(&state, Thing::Task, id.as_str()),
        facts: facts(&state, task),
        segments: task.segments.iter().zip(1..).map(SegmentRow::of).collect(),
        readings: readings(&state, task),
        needs,
        adopted: chosen
            .as_ref()
            .and_then(|set| Some(set.adopted.as_ref()?.to_string()))
            .unwrap_or_default(),
        flow: chosen.as_ref().map_or_else(String::new, |set| format!("{:.1}", set.flow)),
        life: chosen.map(|set| LifeView::in_force(&set, usable, "life")),
        sets,
        allowed: rows(allowed),
        not_allowed: rows(not_allowed),
        due: DuePart { groups: groups(&state, &due) },
        history: HistoryPart::of(&state, &thing, shown),
    })
}

fn facts(state: &Records, task: &Task) -> Vec<(&'static str, String)> {
    let spec = &task.spec;
    let known = |fact: Option<bool>| match fact {
        Some(true) => "yes".to_owned(),
        Some(false) => "no".to_owned(),
        None => "not stated".to_owned(),
    };
    let mut facts = vec![
        ("Site", telling::site(state, &task.site)),
        ("Wear per shift", wording::minutes(spec.wear_per_shift.as_min())),
        ("Work", work(spec.work_rate).to_owned()),
        (
            "Air",
            format!(
                "{:.0}, {:.0} humidity, {:.1}",
                spec.temperature, spec.relative_humidity, spec.pressure
            ),
        ),
        (
            "Oxygen",
            spec.oxygen.map_or_else(|| "not stated".to_owned(), |oxygen| oxygen.to_string()),
        ),
        ("Oil in the air", known(spec.oil_aerosol)),
        ("Irritates the eyes", known(spec.irritates_eyes)),
    ];
    if spec.immediately_dangerous {
        facts.push(("Declared", "immediately dangerous to life or health".to_owned()));
    }
    if spec.atmosphere_unknown {
        facts.push(("Atmosphere", "not known".to_owned()));
    }
    if spec.voluntary {
        facts.push(("Wearing", "by choice: no respirator is required".to_owned()));
    }
    facts
}

impl SegmentRow {
    fn of((segment, number): (&TaskSegment, usize)) -> Self {
        let mask = match (segment.mask, segment.storage) {
            (Mask::On, _) => "on",
            (Mask::CleanAir, _) => "clean air passes",
            (Mask::Off, Some(Storage::Sealed)) => "off, elements sealed",
            (Mask::Off, _) => "off, elements lying open",
        };
        let share = |share: f64| format!("{} % of the readings", wording::number(100.0 * share));
        let usual = match segment.mask {
            Mask::On => segment.share.map_or_else(|| "as read".to_owned(), share),
            _ => "—".to_owned(),
        };
        let own = segment.level.iter().map(|(cas, level)| {
            let known = Catalogue::builtin().get(*cas);
            let name = known.map_or_else(|| cas.to_string(), |known| known.name().to_owned());
            format!("{name} {level}")
        });
        let rate = segment.work_rate.map(|rate| format!("{} work", work(rate)));
        let warm = segment.temperature.map(|temperature| temperature.to_string());
        let humid = segment.relative_humidity.map(|humidity| format!("{humidity} humidity"));
        let otherwise = [rate, warm, humid].into_iter().flatten().collect::<Vec<_>>();
        Self {
            number,
            long: wording::minutes(segment.duration.as_min()),
            mask: mask.to_owned(),
            level: [usual].into_iter().chain(own).collect::<Vec<_>>().join("; "),
            otherwise: if otherwise.is_empty() { "—".to_owned() } else { otherwise.join(", ") },
        }
    }
}

const fn work(rate: WorkRate) -> &'static str {
    match rate {
        WorkRate::Light => "light",
        WorkRate::Moderate => "moderate",
        WorkRate::Heavy => "heavy",
    }
}

fn readings(state: &Records, task: &Task) -> Vec<ReadingRow> {
    let zone = telling::zone(state, &task.site);
    let row = |reading: &program::state::Reading| ReadingRow {
        when: wording::moment(reading.at.when, &zone),
        cas: reading.cas.to_string(),
        name: Catalogue::builtin()
            .get(reading.cas)
            .map_or_else(|| reading.cas.to_string(), |s| s.name().to_owned()),
        level: reading
            .concentration
            .map_or_else(|| "present, level not known".to_owned(), |c| c.to_string()),
        form: telling::form(reading.form),
        method: reading.method.clone(),
        entry: reading.at.entry.to_string(),
    };
    task.readings.iter().rev().map(row).collect()
}

/// What each contaminant asks for: the same for every class.
fn needs(class: &Assessment) -> Vec<NeedRow> {
    let row = |judged: &rulebook::Judged| NeedRow {
        name: judged.name.clone(),
        level: judged
            .level
            .known()
            .map_or_else(|| "not known".to_owned(), |level| level.to_string()),
        limit: judged.limit.as_ref().map_or_else(
            || "none known".to_owned(),
            |limit| format!("{} ({})", limit.value, limit.sort),
        ),
        source: judged.limit.as_ref().map_or_else(String::new, |limit| {
            let confirm = if limit.unconfirmed { ", from memory: confirm" } else { "" };
            format!("{}{confirm}", limit.source)
        }),
        factor: judged.needed_factor.map_or_else(|| "—".to_owned(), at_least),
        dangerous: judged
            .dangerous
            .as_ref()
            .map_or_else(|| "none known".to_owned(), |limit| limit.value.to_string()),
    };
    class.contaminants.iter().map(row).collect()
}

/// A factor that must be reached, rounded up: one above 10 is not told as 10.
fn at_least(factor: f64) -> String {
    let step = if factor < 100.0 { 10.0 } else { 1.0 };
    wording::number((factor * step).ceil() / step)
}

impl ClassRow {
    /// Of a class that is not allowed the reasons that stop, of one that is all that is to be known.
    fn of(class: &Assessment) -> Self {
        let mut seen = BTreeSet::new();
        let told = class.findings.iter().filter(|finding| match class.allowed {
            true => finding.severity >= Severity::Caution,
            false => finding.severity == Severity::Stop,
        });
        let reasons = told.map(|finding| (finding.text(), finding.citation().to_owned()));
        Self {
            title: class.title.clone(),
            factor: class
                .assigned
                .as_ref()
                .map_or_else(|| "none".to_owned(), |a| wording::number(a.factor)),
            reasons: reasons.filter(|reason| seen.insert(reason.clone())).collect(),
        }
    }
}
