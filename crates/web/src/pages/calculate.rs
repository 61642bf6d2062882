//! Calculators of the bench and the desk: the same functions as the commands, the same answers.

pub(crate) mod air;
pub(crate) mod bath;
pub(crate) mod calibrate;
pub(crate) mod exposure;
pub(crate) mod fit;
pub(crate) mod what_if;

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse};

use crate::app::AppState;
use crate::component::{Findings, Verdict};
use crate::fields::Fields;
use crate::named::{Lists, ListsPart};
use crate::shell::{Page, Room, Shell, page};

/// What a calculator says: the answer first, then its figures, findings and sources.
#[derive(Template)]
#[template(path = "pages/calculate/answer.html")]
struct Answer {
    verdict: Option<Verdict>,
    headline: Vec<String>,
    figures: Vec<(String, String)>,
    table: Option<Table>,
    /// A heading, and lines to be copied.
    lines: Option<(&'static str, String)>,
    findings: Findings,
    method: String,
    sources: Vec<String>,
    /// Where the answer leads: address and words.
    links: Vec<(String, String)>,
}

/// Figures in rows.
struct Table {
    heads: Vec<&'static str>,
    rows: Vec<Vec<String>>,
}

/// One set of fields under a heading of its own.
struct Part {
    legend: &'static str,
    hint: &'static str,
    fields: Vec<String>,
}

/// The page of a calculator: what was typed stands below its answer.
#[derive(Template)]
#[template(path = "pages/calculate/sheet.html")]
struct SheetPage {
    shell: Shell,
    lead: &'static str,
    action: &'static str,
    /// Where the form is filled in with an example.
    example: Option<&'static str>,
    answers: Vec<Answer>,
    parts: Vec<Part>,
    /// Fields that go with the form unseen.
    hidden: Vec<(String, String)>,
    button: &'static str,
    wrong: usize,
    lists: ListsPart,
}

impl SheetPage {
    fn new(app: &AppState, title: &str, action: &'static str, lead: &'static str) -> Self {
        Self {
            shell: Shell::new(app, Room::Calculate, title),
            lead,
            action,
            example: None,
            answers: Vec::new(),
            parts: Vec::new(),
            hidden: Vec::new(),
            button: "Compute",
            wrong: 0,
            lists: ListsPart { lists: Lists::default() },
        }
    }

    /// The page with the mistakes that `fields` tells of, if any.
    fn drawn(self, fields: &Fields) -> Page {
        let wrong = fields.errors();
        let status = if wrong == 0 { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
        Ok((status, Html(Self { wrong, ..self }.render()?)).into_response())
    }
}

/// Computes what takes its time, in which others are served.
pub(crate) async fn computed<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> T {
    match tokio::task::spawn_blocking(work).await {
        Ok(result) => result,
        Err(error) => std::panic::resume_unwind(error.into_panic()),
    }
}

#[derive(Template)]
#[template(path = "pages/calculate/list.html")]
struct ListPage {
    shell: Shell,
    pages: [(&'static str, &'static str, &'static str); 7],
}

/// `GET /calculate`.
pub(crate) async fn list(State(app): State<AppState>) -> Page {
    page(&ListPage {
        shell: Shell::new(&app, Room::Calculate, "Calculate"),
        pages: [
            ("/life", "Service life", "How long cartridges or canisters last in this air"),
            ("/what-if", "What if", "Up to four variants of a case side by side"),
            ("/calibrate", "Calibrate", "What a laboratory report tells of the elements"),
            ("/bath", "Bath", "How much product, how warm, how long: the bath of a cleaning"),
            ("/fit", "Fit test", "Fit factors from raw counts, and whether the test passed"),
            ("/air", "Breathing air", "Time in a cylinder, a report of the air, a hose"),
            ("/exposure", "Exposure", "What the readings of a group say of its high days"),
        ],
    })
}
