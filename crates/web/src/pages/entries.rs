//! One entry as it is kept, with its place in the chain.

use askama::Template;
use axum::extract::{Path, State};
use program::EntryId;
use program::state::State as Records;

use crate::app::AppState;
use crate::record::{forms, spoken};
use crate::shell::{Page, PageError, Room, Shell, page};
use crate::{telling, wording};

#[derive(Template)]
#[template(path = "pages/entry.html")]
struct EntryPage {
    shell: Shell,
    id: String,
    words: String,
    site: String,
    happened: String,
    entered: String,
    by: String,
    device: String,
    corrects: String,
    corrected_by: String,
    seq: u64,
    hash: String,
    spoken: Vec<(&'static str, String)>,
    pictures: Vec<telling::Picture>,
    /// The entry can be put right: it counts, and there is a form for it.
    correctable: bool,
    payload: String,
}

/// `GET /entries/{id}`.
pub(crate) async fn show(State(app): State<AppState>, Path(asked): Path<String>) -> Page {
    let id = EntryId::new(&asked);
    let Some(stored) = app.kept(&id).await? else {
        return Err(PageError::NotFound { what: "entry", asked, near: Vec::new() });
    };
    let entry = &stored.entry;
    let things = telling::about_and_names(entry).collect();
    let state = app.ledger().state_with(Records::default(), things).await?;
    let zone = telling::zone(&state, &entry.site);
    let counted = state.counted_instead_of(&id).map(|counted| counted.id.to_string());
    let form = forms::of_kind(&super::record::kind(&entry.fact));
    page(&EntryPage {
        shell: Shell::new(&app, Room::Elsewhere, format!("Entry {id}")),
        id: id.to_string(),
        words: telling::told(&state, entry),
        site: telling::site(&state, &entry.site),
        happened: wording::moment(entry.happened, &zone),
        entered: wording::moment(entry.entered, &zone),
        by: telling::person(&state, &entry.by),
        device: entry.device.clone(),
        corrects: entry.corrects.as_ref().map(ToString::to_string).unwrap_or_default(),
        spoken: form.map(|form| spoken(form, entry, &state)).unwrap_or_default(),
        pictures: telling::pictures(&entry.fact),
        correctable: form.is_some() && counted.is_none(),
        corrected_by: counted.unwrap_or_default(),
        seq: stored.seq,
        hash: stored.hash.to_string(),
        payload: serde_json::to_string_pretty(&entry.fact).unwrap_or_default(),
    })
}
