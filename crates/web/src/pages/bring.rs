//! Bringing a list: a form, a preview of every row, and a second step that writes what was shown.

mod sent;

use askama::Template;
use axum::extract::{Multipart, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect};
use program::SiteId;
use program::bring::{Ask, Fate, Field as ListField, Kind, Preview, Refusal, RowFate, Table};
use program::bring::{content_mark, preview};
use program::state::State as Records;

use crate::app::{AppState, Recorded};
use crate::component::{Choice, Field};
use crate::due_view::encoded;
use crate::fields::Fields;
use crate::shell::{Page, Room, Shell};
use sent::Sent;

/// The name of the entries' device.
const DEVICE: &str = "web page";

#[derive(Template)]
#[template(path = "pages/bring.html")]
struct BringPage {
    shell: Shell,
    /// What went wrong, or became of it.
    said: String,
    written: String,
    kind: String,
    site: String,
    dates: String,
    sheet: String,
    columns: String,
    every_row: String,
    pasted: String,
    /// The file as it was sent, so that it need not be chosen again.
    content: String,
    content_mark: String,
    list_fields: &'static [ListField],
    shown: Option<Shown>,
}

/// A preview as the page shows it.
struct Shown {
    counts: (usize, usize, usize),
    columns: Vec<(String, Option<&'static str>)>,
    every_row: Vec<(String, String)>,
    rows: Vec<Row>,
    mark: String,
}

struct Row {
    line: usize,
    class: &'static str,
    word: &'static str,
    understood: String,
    because: String,
    refused: Vec<Refusal>,
}

/// `GET /bring?kind=&site=`.
pub(crate) async fn form(State(app): State<AppState>, mut fields: Fields) -> Page {
    fields.or_set("kind", Kind::Wearers.word());
    let sent = Sent::of(fields);
    draw(&app, &sent, None, String::new()).await
}

/// `POST /bring`: shows what would become of each row.
pub(crate) async fn look(State(app): State<AppState>, multipart: Multipart) -> Page {
    let sent = sent::receive(multipart).await?;
    let state = app.whole_state().await?;
    match seen(&app, &state, &sent) {
        Ok(preview) => draw(&app, &sent, Some(&preview), String::new()).await,
        Err(said) => draw(&app, &sent, None, said).await,
    }
}

/// `POST /bring/write`: writes the rows that were shown, and none other.
pub(crate) async fn write(State(app): State<AppState>, multipart: Multipart) -> Page {
    let sent = sent::receive(multipart).await?;
    let state = app.whole_state().await?;
    let preview = match seen(&app, &state, &sent) {
        Ok(preview) => preview,
        Err(said) => return draw(&app, &sent, None, said).await,
    };
    let whole = content_mark(&sent.content) == sent.fields.get("content_mark");
    if !whole || preview.mark() != sent.fields.get("mark") {
        let said = "What would be written is no longer what was shown. Nothing was written; look at the rows again.";
        return draw(&app, &sent, Some(&preview), said.to_owned()).await;
    }
    drop(state);
    let entries = preview.entries();
    match app.record(&entries).await? {
        Recorded::Kept => {
            let (kind, site) = (preview.kind.word(), encoded(preview.site.as_str()));
            let written = entries.len();
            let address = format!("/bring?kind={kind}&site={site}&written={written}");
            Ok(Redirect::to(&address).into_response())
        }
        Recorded::Clash => {
            let said = "Some of these rows were brought a moment ago in another way. Nothing was written; look at the rows again.";
            draw(&app, &sent, None, said.to_owned()).await
        }
    }
}

/// What would become of what was sent, or why that cannot be said.
fn seen(app: &AppState, state: &Records, sent: &Sent) -> Result<Preview, String> {
    let kind = sent.fields.get("kind").parse::<Kind>().map_err(|error| error.to_string())?;
    let choices = sent.choices()?;
    let sheet = sent.fields.filled("sheet");
    let table = Table::read(&sent.content, sheet).map_err(|error| error.to_string())?;
    let site = SiteId::new(sent.fields.get("site"));
    let (now, by) = (app.now(), app.user());
    let ask = Ask { kind, table: &table, choices: &choices, site: &site, now, by, device: DEVICE };
    preview(state, &ask).map_err(|error| error.to_string())
}

async fn draw(app: &AppState, sent: &Sent, preview: Option<&Preview>, said: String) -> Page {
    let fields = &sent.fields;
    let kinds = Kind::ALL.map(|kind| (kind.word(), kind.title()));
    let listed = app.sites().await?;
    let sites = listed.iter().map(|site| (site.id.as_str(), site.name.as_str()));
    let orders = [
        ("", "dates are written like 2026-03-04"),
        ("dmy", "the day comes first: 4/3/2026"),
        ("mdy", "the month comes first: 3/4/2026"),
    ];
    let kind = fields.get("kind").parse::<Kind>().ok();
    let ok = said.is_empty();
    let html = BringPage {
        shell: Shell::new(app, Room::Elsewhere, "Bring a list"),
        written: fields.get("written").chars().filter(char::is_ascii_digit).collect(),
        said,
        kind: Choice::of(fields, ("kind", "The list holds"), kinds).render()?,
        site: Choice::of(fields, ("site", "Site"), sites).render()?,
        dates: Choice::of(fields, ("dates", "Dates"), orders).render()?,
        sheet: Field::text(fields, "sheet", "Sheet").hint("of a workbook with several").render()?,
        columns: fields.get("columns").to_owned(),
        every_row: fields.get("every_row").to_owned(),
        pasted: fields.get("pasted").to_owned(),
        content: sent.as_hex(),
        content_mark: content_mark(&sent.content),
        list_fields: kind.map(Kind::fields).unwrap_or_default(),
        shown: preview.map(Shown::of),
    };
    let status = if ok { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    Ok((status, Html(html.render()?)).into_response())
}

impl Shown {
    fn of(preview: &Preview) -> Self {
        Self {
            counts: preview.counts(),
            columns: preview.columns.iter().map(|c| (c.head.clone(), c.fills)).collect(),
            every_row: preview.every_row.clone(),
            rows: preview.rows.iter().map(Row::of).collect(),
            mark: preview.mark(),
        }
    }
}

impl Row {
    fn of(row: &RowFate) -> Self {
        let (class, word, because, refused) = match &row.fate {
            Fate::New(_) if row.stands_against.is_empty() => {
                ("allowed", "New", String::new(), Vec::new())
            }
            Fate::New(_) => {
                ("caution", "New, with a reason to stop", row.stands_against.join("; "), Vec::new())
            }
            Fate::Known { because } => ("note", "Known, adds nothing", because.clone(), Vec::new()),
            Fate::Refused(all) => ("stop", "Refused", String::new(), all.clone()),
        };
        let understood = row.understood.iter().map(|(field, words)| format!("{field}: {words}"));
        let understood = understood.collect::<Vec<_>>().join("; ");
        Self { line: row.line, class, word, understood, because, refused }
    }
}
