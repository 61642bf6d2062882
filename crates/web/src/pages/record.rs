//! Forms that make entries. Each is shown with an id of its own, which goes with the form: sent
//! twice, it is one entry.

pub(crate) mod hold;
pub(crate) mod reading;
pub(crate) mod release;
pub(crate) mod sensed;
pub(crate) mod wear;

use askama::Template;
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};
use jiff::civil::DateTime;
use jiff::{SignedDuration, Timestamp};
use program::state::State as Records;
use program::{Entry, EntryId, SiteId};

use crate::app::{AppState, Recorded};
use crate::fields::Fields;
use crate::named::{Lists, ListsPart};
use crate::shell::{Page, PageError, Room, Shell, problem};
use crate::{telling, wording};

/// How far a clock of a phone may run ahead.
const CLOCKS_DIFFER: SignedDuration = SignedDuration::from_mins(5);

#[derive(Template)]
#[template(path = "pages/record/form.html")]
struct FormPage {
    shell: Shell,
    lead: &'static str,
    action: &'static str,
    fields: Vec<String>,
    entry: String,
    button: &'static str,
    wrong: usize,
    lists: ListsPart,
}

/// A form and its words.
struct Form {
    room: Room,
    title: &'static str,
    lead: &'static str,
    action: &'static str,
    button: &'static str,
}

/// The drawn form; one with mistakes comes back as it was typed.
fn draw(app: &AppState, form: &Form, fields: &Fields, drawn: Vec<String>, lists: Lists) -> Page {
    let wrong = fields.errors();
    let entry = fields.filled("entry").map_or_else(|| app.new_id(), str::to_owned);
    let html = FormPage {
        shell: Shell::new(app, form.room, form.title),
        lead: form.lead,
        action: form.action,
        fields: drawn,
        entry,
        button: form.button,
        wrong,
        lists: ListsPart { lists },
    };
    let status = if wrong == 0 { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    Ok((status, Html(html.render()?)).into_response())
}

/// The id that came with the form.
fn entry_id(fields: &Fields) -> Result<EntryId, PageError> {
    let id = fields.filled("entry").filter(|id| {
        id.len() <= 64 && id.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'-')
    });
    id.map(EntryId::new).ok_or_else(|| {
        PageError::NotUnderstood(
            "The form came without its id. Open it again and send it once more.".to_owned(),
        )
    })
}

/// Fills the field `when` with the time now at the site, where it is empty and the site is known. Of
/// an unknown site the field stays empty, which means now: the clock of another site would put the
/// fact hours away from where it belongs.
fn suggest_now(app: &AppState, state: &Records, fields: &mut Fields, site: Option<&SiteId>) {
    let only = || (state.sites().count() == 1).then(|| state.sites().next()).flatten();
    let site = site.or_else(|| only().map(|(id, _)| id));
    if let Some(site) = site {
        fields.or_set("when", wording::form_moment(app.now(), &telling::zone(state, site)));
    }
}

/// The moment in the field `when`, on the clock of `site`; now where it is empty.
fn moment(
    app: &AppState,
    state: &Records,
    fields: &mut Fields,
    site: &SiteId,
) -> Option<Timestamp> {
    let now = app.now();
    if fields.get("when").is_empty() {
        return Some(now);
    }
    let zone = telling::zone(state, site);
    let read = fields.get("when").parse::<DateTime>().ok();
    let Some(at) = read.and_then(|local| zone.to_timestamp(local).ok()) else {
        fields.refuse("when", "this is not a date and a time\nwrite it like 2026-11-25T14:05");
        return None;
    };
    if at > now.saturating_add(CLOCKS_DIFFER).unwrap_or(now) {
        fields.refuse("when", "this lies ahead\nrecord what has happened");
        return None;
    }
    Some(at)
}

/// Keeps `entries` and goes to `address`, where the first of them is shown as recorded.
async fn keep(app: &AppState, entries: &[Entry], address: &str) -> Page {
    let Some(first) = entries.first() else {
        return Err(PageError::NotUnderstood("There was nothing to record.".to_owned()));
    };
    match app.record(entries).await? {
        Recorded::Kept => {
            let id = crate::due_view::encoded(first.id.as_str());
            Ok(Redirect::to(&format!("{address}?recorded={id}")).into_response())
        }
        Recorded::Clash => Ok(clash()),
    }
}

fn clash() -> Response {
    let said = "This form was sent before with other content, and that stands. Open the form again \
                to record something new.";
    problem(StatusCode::CONFLICT, said, Vec::new())
}
