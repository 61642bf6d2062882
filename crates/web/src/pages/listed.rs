//! Sites, models of respirators and kinds of elements: what is opened and listed once, and what was
//! said of it.

use askama::Template;
use axum::extract::{Path, State};
use program::state::State as Records;
use program::{ElementTypeId, EntryId, ModelId, SiteId};

use crate::app::AppState;
use crate::due_view::encoded;
use crate::fields::Fields;
use crate::named::{Thing, near};
use crate::record::{self, OffersPart, forms, offered, recorded};
use crate::shell::{Page, PageError, Room, Shell, page};
use crate::telling::HistoryPart;

#[derive(Template)]
#[template(path = "pages/listed/list.html")]
struct ListPage {
    shell: Shell,
    /// What is said where there is none.
    none: &'static str,
    add: (&'static str, &'static str),
    rows: Vec<(String, String)>,
}

#[derive(Template)]
#[template(path = "pages/listed/show.html")]
struct ShowPage {
    shell: Shell,
    recorded: String,
    offers: OffersPart,
    facts: Vec<(&'static str, String)>,
    links: Vec<(String, &'static str)>,
    history: HistoryPart,
}

/// `GET /sites`.
pub(crate) async fn sites(State(app): State<AppState>) -> Page {
    list(&app, Thing::Site).await
}

/// `GET /sites/{id}`.
pub(crate) async fn site(state: State<AppState>, id: Path<String>, fields: Fields) -> Page {
    show(&state, Thing::Site, id.0, &fields).await
}

/// `GET /models`.
pub(crate) async fn models(State(app): State<AppState>) -> Page {
    list(&app, Thing::Model).await
}

/// `GET /models/{id}`.
pub(crate) async fn model(state: State<AppState>, id: Path<String>, fields: Fields) -> Page {
    show(&state, Thing::Model, id.0, &fields).await
}

/// `GET /elements`.
pub(crate) async fn elements(State(app): State<AppState>) -> Page {
    list(&app, Thing::ElementType).await
}

/// `GET /elements/{id}`.
pub(crate) async fn element(state: State<AppState>, id: Path<String>, fields: Fields) -> Page {
    show(&state, Thing::ElementType, id.0, &fields).await
}

async fn list(app: &AppState, thing: Thing) -> Page {
    let state = app.state().await?;
    let (title, none, add) = match thing {
        Thing::Site => ("Sites", "No site is opened yet.", "site-opened"),
        Thing::Model => ("Models of respirators", "No model is listed yet.", "model-listed"),
        _ => ("Cartridges, canisters and filters", "None is listed yet.", "element-type-listed"),
    };
    let rows = thing.all(&state).into_iter().map(|(id, name)| (thing.page(&id), name));
    page(&ListPage {
        shell: Shell::new(app, Room::Record, title),
        none,
        add: forms::at(add).map(|form| (form.path(), form.link)).unwrap_or_default(),
        rows: rows.collect(),
    })
}

async fn show(app: &AppState, thing: Thing, asked: String, fields: &Fields) -> Page {
    let state = app.state().await?;
    let Some(entry) = listed(&state, thing, &asked).and_then(|id| state.entry(&id)) else {
        let all = thing.all(&state);
        let near = near(&asked, all.iter().map(|(id, _)| (id.as_str(), "")));
        let near = near.into_iter().map(|id| (thing.page(&id), id));
        return Err(PageError::NotFound { what: thing.one(), asked, near: near.collect() });
    };
    let form = forms::of_kind(&super::record::kind(&entry.fact));
    let links = match thing {
        Thing::Site => site_links(&asked),
        _ => Vec::new(),
    };
    page(&ShowPage {
        shell: Shell::new(app, Room::Record, thing.name(&state, &asked)),
        recorded: recorded(&state, fields),
        offers: offered(&state, thing, &asked),
        facts: form.map(|form| record::spoken(form, entry, &state)).unwrap_or_default(),
        links,
        history: HistoryPart::of(&state, std::iter::once(entry), fields.get("history")),
    })
}

/// The entry that made the thing known.
fn listed(state: &Records, thing: Thing, id: &str) -> Option<EntryId> {
    let at = match thing {
        Thing::Site => &state.site(&SiteId::new(id))?.at,
        Thing::Model => &state.model(&ModelId::new(id))?.at,
        Thing::ElementType => &state.element_type(&ElementTypeId::new(id))?.at,
        _ => return None,
    };
    Some(at.entry.clone())
}

/// What stands at a site.
fn site_links(site: &str) -> Vec<(String, &'static str)> {
    let of = |page: &str| format!("{page}?site={}", encoded(site));
    vec![
        (of("/"), "What is due here"),
        (of("/respirators"), "Respirators"),
        (of("/wearers"), "Wearers"),
        (of("/tasks"), "Tasks"),
    ]
}
