use askama::Template;
use axum::extract::{Path, State};
use jiff::tz::TimeZone;
use program::due::{DAYS_AHEAD, due_of};
use program::state::{Carried, State as Records, Unit};
use program::supply::pressure_of;
use program::{Subject, UnitId};

use super::list::condition;
use crate::app::AppState;
use crate::due_view::{DuePart, encoded, groups};
use crate::fields::Fields;
use crate::named::{self, Thing};
use crate::record::{OffersPart, next_words, offered, recorded};
use crate::shell::{Page, Room, Shell, page};
use crate::telling::{self, HistoryPart};
use crate::wording;

#[derive(Template)]
#[template(path = "pages/respirators/show.html")]
struct ShowPage {
    shell: Shell,
    address: String,
    recorded: String,
    offers: OffersPart,
    class: &'static str,
    condition: String,
    retired: bool,
    facts: Vec<(&'static str, String)>,
    elements: Vec<(&'static str, String)>,
    due: DuePart,
    history: HistoryPart,
}

/// `GET /respirators/{tag}`.
pub(crate) async fn show(
    State(app): State<AppState>,
    Path(asked): Path<String>,
    fields: Fields,
) -> Page {
    let id = UnitId::new(&asked);
    let (thing, shown) = (Subject::Unit(id.clone()), telling::shown(&fields));
    let state = app.state_about(std::slice::from_ref(&thing), shown).await?;
    let Some(unit) = state.unit(&id) else {
        return Err(named::missing(&app, Thing::Unit, asked).await);
    };
    let zone = telling::zone(&state, &unit.site);
    let due = due_of(&state, [thing.clone()], (app.now(), DAYS_AHEAD));
    let (class, condition) = condition(unit, &due);
    page(&ShowPage {
        shell: Shell::new(&app, Room::Respirators, format!("{id}: {}", telling::unit(&state, &id))),
        address: encoded(id.as_str()),
        recorded: recorded(&state, &fields),
        offers: offered(&state, Thing::Unit, id.as_str()),
        class,
        condition,
        retired: unit.retired.is_some(),
        facts: facts(&state, unit, &zone),
        elements: state.carried(unit).map(|on| elements(&state, on, &zone)).unwrap_or_default(),
        due: DuePart { groups: groups(&state, &due) },
        history: HistoryPart::of(&state, &thing, shown),
    })
}

fn facts(state: &Records, unit: &Unit, zone: &TimeZone) -> Vec<(&'static str, String)> {
    let model = state.model(&unit.model);
    let elements = state.carried(unit).and_then(|on| state.element_type(on.element_type));
    let kind = model.map(|m| rulebook::describe(&m.device, elements.map(|kind| &kind.elements)));
    let holders = unit.holders.iter().map(|(person, at)| {
        format!("{} since {}", telling::person(state, person), wording::moment(at.when, zone))
    });
    let holders = holders.collect::<Vec<_>>().join("; ");
    let on = |at: &program::state::At| wording::moment(at.when, zone);
    let never = || "never".to_owned();
    let mut facts = vec![
        ("What it is", kind.unwrap_or_else(|| "its model is not listed".to_owned())),
        (
            "Who has it",
            if holders.is_empty() { "nobody: it is in the store".to_owned() } else { holders },
        ),
        ("Use", if unit.shared { "shared by several wearers" } else { "one wearer" }.to_owned()),
        ("Site", telling::site(state, &unit.site)),
        ("Serial number", unit.serial.clone()),
        ("Approval", model.map_or_else(String::new, |model| model.approval.clone())),
        ("Cleaned", unit.cleaned.as_ref().map_or_else(never, on)),
        ("Disinfected", unit.disinfected.as_ref().map_or_else(never, |done| on(&done.at))),
        ("Inspected", unit.inspected.as_ref().map_or_else(never, |done| on(&done.at))),
    ];
    if let Some(record) = program::care::of(state, &unit.id) {
        let stage = record.care.stage();
        facts.push(("Stage of care", format!("{stage}. {}", next_words(&record))));
        let told = record.forbidden.iter().rev().take(3).map(rulebook::Finding::text);
        let told: Vec<String> = told.collect();
        if !told.is_empty() {
            facts.push(("Done out of order", told.join("; ")));
        }
    }
    if unit.emergency {
        facts.push(("Kept for", "emergencies: on the monthly round".to_owned()));
    }
    if let Some((cylinder, at)) = &unit.mounted {
        facts.push(("Cylinder", format!("{cylinder}, {}", on(at))));
    }
    if let Some(read) = pressure_of(state, (&unit.id, unit)) {
        let part = wording::of_rated(read.read, read.rated);
        let rated = wording::bar(read.rated);
        facts.push(("Gauge", format!("{part} of {rated}, {}", on(read.at))));
    }
    facts
}

fn elements(state: &Records, on: Carried<'_>, zone: &TimeZone) -> Vec<(&'static str, String)> {
    let kind = state.element_type(on.element_type);
    let name = kind.map_or_else(|| on.element_type.to_string(), |kind| kind.name.clone());
    let wears = wording::count(on.worn().count(), "wear", "wears");
    let until = on.shelf_life_until.map_or_else(|| "not known".to_owned(), wording::day);
    vec![
        ("Elements", name),
        ("Lot", on.lot.to_owned()),
        ("Shelf life until", until),
        ("Seal opened", wording::moment(on.opened, zone)),
        ("Worn so far", format!("{} in {wears}", wording::minutes(on.worn_min()))),
    ]
}
