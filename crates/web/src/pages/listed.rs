//! Things that are opened and listed once: sites, models, elements, people, cylinders, supplies,
//! places, boxes, exposure groups and instruments for fit tests.

use std::collections::BTreeSet;

use askama::Template;
use ledger::ListedThing;
use program::state::State as Records;
use program::{CylinderId, Entry, InstrumentId, ModelId, PersonId, SiteId, StockId, Subject};

use crate::app::AppState;
use crate::due_view::encoded;
use crate::fields::Fields;
use crate::named::{self, Thing};
use crate::paging::Paging;
use crate::record::{self, EntryForm, Input, Offer, OffersPart, forms, offered, recorded};
use crate::shell::{Page, Room, Shell, page};
use crate::telling::{self, HistoryPart};
use crate::wording;

#[derive(Template)]
#[template(path = "pages/listed/list.html")]
struct ListPage {
    shell: Shell,
    add: (&'static str, &'static str),
    rows: Vec<(String, String)>,
    pages: String,
}

#[derive(Template)]
#[template(path = "pages/listed/show.html")]
struct ShowPage {
    shell: Shell,
    recorded: String,
    offers: OffersPart,
    facts: Vec<(&'static str, String)>,
    links: Vec<(String, &'static str)>,
    /// What is to be put right.
    open: Vec<(String, String)>,
    history: HistoryPart,
}

/// `GET` of the list of one kind of thing.
pub(crate) async fn list(thing: Thing, app: AppState, fields: Fields) -> Page {
    let list = Paging::of(&app, (thing, &format!("/{}", thing.list())), None, &fields).await?;
    let add = forms::all().find(|form| matches!(form.offer, Offer::Program) && makes(form, thing));
    let words = |one: &ListedThing| match one.name.as_str() {
        "" => one.id.clone(),
        name if matches!(thing, Thing::Stock | Thing::Instrument) => format!("{}: {name}", one.id),
        name => name.to_owned(),
    };
    let rows = list.things.iter().map(|one| (thing.page(&one.id), words(one)));
    page(&ListPage {
        shell: Shell::new(&app, Room::Record, thing.heading()),
        add: add.map(|form| (form.path(), form.link)).unwrap_or_default(),
        rows: rows.collect(),
        pages: list.links()?,
    })
}

/// Whether a form makes such a thing known.
fn makes(form: &EntryForm, thing: Thing) -> bool {
    form.fields.iter().any(|ask| match ask.input {
        Input::New(own) | Input::NewOrKnown(own) => own == thing,
        _ => false,
    })
}

/// `GET` of the page of one thing.
pub(crate) async fn show(thing: Thing, app: AppState, asked: String, fields: Fields) -> Page {
    let shown = telling::shown(&fields);
    let state = app.state_about(&thing.subjects(&asked), shown).await?;
    if !thing.knows(&state, &asked) {
        return Err(named::missing(&app, thing, asked).await);
    }
    let about = thing.subject(&asked);
    let history: Vec<&program::Entry> = state.history(&about).collect();
    let made_known = history.iter().flat_map(|entry| telling::names(entry));
    let model = state.model(&ModelId::new(&asked)).filter(|_| thing == Thing::Model);
    let approved = model.into_iter().flat_map(|model| model.approved_elements.iter().cloned());
    let named = made_known.chain(approved.map(Subject::ElementType)).collect();
    let state = app.ledger().state_with(state.clone(), named).await?;
    let counts = |entry: &&&Entry| state.counted_instead_of(&entry.id).is_none();
    let spoken = history.iter().filter(counts).rev().find_map(|entry| {
        let form = forms::of_kind(&super::record::kind(&entry.fact))?;
        makes(form, thing).then(|| record::spoken(form, entry, &state))
    });
    page(&ShowPage {
        shell: Shell::new(&app, Room::Record, thing.name(&state, &asked)),
        recorded: recorded(&state, &fields),
        offers: offered(&state, thing, &asked),
        facts: spoken.unwrap_or_default().into_iter().chain(now(&state, thing, &asked)).collect(),
        links: links(thing, &asked),
        open: open_actions(&state, thing, &asked),
        history: HistoryPart::of(&state, &about, shown),
    })
}

/// What is so now, beside what was said when the thing was made known.
fn now(state: &Records, thing: Thing, id: &str) -> Vec<(&'static str, String)> {
    match thing {
        Thing::Cylinder => state.cylinder(&CylinderId::new(id)).map_or_else(Vec::new, |own| {
            let pressure = own.pressure.as_ref();
            let mounted = own.mounted.as_ref().map(|(unit, _)| unit.to_string());
            vec![
                (
                    "Pressure now",
                    pressure.map_or_else(
                        || "not read".to_owned(),
                        |(read, _)| wording::of_rated(*read, own.rated),
                    ),
                ),
                ("Mounted on", mounted.unwrap_or_else(|| "nothing".to_owned())),
                ("In service", if own.withdrawn.is_some() { "no" } else { "yes" }.to_owned()),
            ]
        }),
        Thing::Stock => state
            .stock(&StockId::new(id))
            .map_or_else(Vec::new, |own| vec![("Left", own.left.to_string())]),
        Thing::Instrument => of_instrument(state, id).unwrap_or_default(),
        Thing::Model => of_maker(state, id),
        Thing::Person => state.person(&PersonId::new(id)).map_or_else(Vec::new, |own| {
            let parts: BTreeSet<_> = own.parts().map(|held| telling::role(held.role)).collect();
            vec![("Parts held now", parts.into_iter().collect::<Vec<_>>().join("; "))]
        }),
        _ => Vec::new(),
    }
}

/// How an instrument stands.
fn of_instrument(state: &Records, id: &str) -> Option<Vec<(&'static str, String)>> {
    let own = state.instrument(&InstrumentId::new(id))?;
    let day = |when| wording::day(state.day_at(&own.site, when));
    let outcome = |passed: bool| if passed { "in order" } else { "NOT in order" };
    let calibrated = own.calibrations.last().map(|one| {
        let until = one.until.map(|until| format!(", at most until {}", wording::day(until)));
        format!("{}: {}{}", day(one.at.when), outcome(one.passed), until.unwrap_or_default())
    });
    let checked = own.checks.last();
    let checked = checked.map(|(passed, at)| format!("{}: {}", day(at.when), outcome(*passed)));
    let never = || "not recorded".to_owned();
    let out = own.withdrawn.last().filter(|_| own.is_withdrawn());
    let in_use = out.map_or_else(|| "yes".to_owned(), |(out, _)| format!("no: {}", out.why));
    Some(vec![
        ("Calibrated last", calibrated.unwrap_or_else(never)),
        ("Checked last", checked.unwrap_or_else(never)),
        ("In use", in_use),
    ])
}

/// What the maker asks of a model, as it was noted last.
fn of_maker(state: &Records, id: &str) -> Vec<(&'static str, String)> {
    let asked = state.model(&ModelId::new(id)).and_then(|model| model.instructions.as_ref());
    let noted = asked.and_then(|asked| state.entry(&asked.at.entry));
    let form = noted.and_then(|entry| forms::of_kind(&super::record::kind(&entry.fact)));
    let Some((entry, form)) = noted.zip(form) else {
        return vec![("What its maker asks", "not noted".to_owned())];
    };
    // The page itself is that of the model.
    let own = form.about().map_or("", |(_, ask)| ask.label);
    record::spoken(form, entry, state).into_iter().filter(|(label, _)| *label != own).collect()
}

/// What is to be put right at a site: the address of the form that closes it, and its words.
fn open_actions(state: &Records, thing: Thing, id: &str) -> Vec<(String, String)> {
    let site = state.site(&SiteId::new(id)).filter(|_| thing == Thing::Site);
    let actions = site.into_iter().flat_map(|site| &site.actions);
    let open = actions.filter(|(_, action)| action.closed.is_none()).map(|(id, action)| {
        let address = format!("/record/action-closed?action={}", encoded(id.as_str()));
        let who = telling::person(state, &action.responsible);
        (address, format!("{} ({who}, until {})", action.what, wording::day(action.until)))
    });
    open.collect()
}

/// Where a page leads on to.
fn links(thing: Thing, id: &str) -> Vec<(String, &'static str)> {
    match thing {
        Thing::Site => site_links(id),
        Thing::Group => {
            vec![(format!("/exposure?group={}", encoded(id)), "Statistics of its readings")]
        }
        Thing::Supply => vec![("/air#report".to_owned(), "Judge a report of its air")],
        Thing::Cylinder => vec![("/air".to_owned(), "How long its air lasts")],
        _ => Vec::new(),
    }
}

/// What stands at a site.
fn site_links(site: &str) -> Vec<(String, &'static str)> {
    let of = |page: &str| format!("{page}?site={}", encoded(site));
    vec![
        (format!("/sites/{}/year", encoded(site)), "Record of a year"),
        (of("/"), "What is due here"),
        (of("/respirators"), "Respirators"),
        (of("/wearers"), "Wearers"),
        (of("/tasks"), "Tasks"),
    ]
}
