//! The frame around every page, and how a page becomes an answer.

use askama::Template;
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Response};
use ledger::{AppendError, ReadError};

use crate::app::AppState;

/// The rooms of the house, in the order of the menu.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Room {
    Today,
    Wear,
    Respirators,
    Wearers,
    Tasks,
    Record,
    Substances,
    Calculate,
    /// A page that belongs to none.
    Elsewhere,
}

impl Room {
    const MENU: [(Self, &'static str, &'static str); 8] = [
        (Self::Today, "/", "Today"),
        (Self::Wear, "/wear", "Wear check"),
        (Self::Respirators, "/respirators", "Respirators"),
        (Self::Wearers, "/wearers", "Wearers"),
        (Self::Tasks, "/tasks", "Tasks"),
        (Self::Record, "/record", "Record"),
        (Self::Substances, "/substances", "Substances"),
        (Self::Calculate, "/calculate", "Calculate"),
    ];
}

/// What the frame shows beside the page itself.
pub(crate) struct Shell {
    pub(crate) title: String,
    room: Room,
    pub(crate) signed_in: bool,
    pub(crate) invented: bool,
}

impl Shell {
    /// The frame of a page for the signed-in user.
    pub(crate) fn new(app: &AppState, room: Room, title: impl Into<String>) -> Self {
        Self { title: title.into(), room, signed_in: true, invented: app.invented() }
    }

    /// The frame of a page for one who is not signed in: it tells nothing of the ledger.
    pub(crate) fn outside(title: impl Into<String>) -> Self {
        Self { title: title.into(), room: Room::Elsewhere, signed_in: false, invented: false }
    }

    /// The frame of a page that says what went wrong: it leads on to every room.
    fn problem(title: impl Into<String>) -> Self {
        Self { signed_in: true, ..Self::outside(title) }
    }

    /// Address, words and whether it is the room of this page.
    pub(crate) fn menu(&self) -> impl Iterator<Item = (&'static str, &'static str, bool)> {
        Room::MENU.into_iter().map(|(room, address, words)| (address, words, room == self.room))
    }
}

/// Why a page could not be shown.
#[derive(Debug)]
pub(crate) enum PageError {
    /// There is no such thing; `near` are addresses and names of things called nearly so.
    NotFound { what: &'static str, asked: String, near: Vec<(String, String)> },
    /// The request cannot be understood.
    NotUnderstood(String),
    /// More was sent than a form may hold.
    TooLarge(String),
    /// The ledger failed.
    Ledger(ReadError),
    /// The ledger did not take an entry.
    Append(AppendError),
    /// The page could not be drawn.
    Draw(askama::Error),
}

impl From<ReadError> for PageError {
    fn from(error: ReadError) -> Self {
        Self::Ledger(error)
    }
}

impl From<AppendError> for PageError {
    fn from(error: AppendError) -> Self {
        Self::Append(error)
    }
}

impl From<askama::Error> for PageError {
    fn from(error: askama::Error) -> Self {
        Self::Draw(error)
    }
}

/// What a handler gives back.
pub(crate) type Page = Result<Response, PageError>;

/// The drawn page.
pub(crate) fn page(template: &impl Template) -> Page {
    Ok(Html(template.render()?).into_response())
}

#[derive(Template)]
#[template(path = "pages/problem.html")]
struct ProblemPage {
    shell: Shell,
    said: String,
    near: Vec<(String, String)>,
}

/// A page that says what went wrong, for one who is signed in: nobody else comes so far.
pub(crate) fn problem(
    status: StatusCode,
    said: impl Into<String>,
    near: Vec<(String, String)>,
) -> Response {
    let title = status.canonical_reason().unwrap_or("Problem");
    let template = ProblemPage { shell: Shell::problem(title), said: said.into(), near };
    match template.render() {
        Ok(html) => (status, Html(html)).into_response(),
        Err(_) => (status, template.said).into_response(),
    }
}

impl IntoResponse for PageError {
    fn into_response(self) -> Response {
        match self {
            Self::NotFound { what, asked, near } => {
                let said = format!("There is no {what} `{asked}` in this ledger.");
                problem(StatusCode::NOT_FOUND, said, near)
            }
            Self::NotUnderstood(said) => problem(StatusCode::BAD_REQUEST, said, Vec::new()),
            Self::TooLarge(said) => problem(StatusCode::PAYLOAD_TOO_LARGE, said, Vec::new()),
            Self::Ledger(error) => {
                problem(StatusCode::INTERNAL_SERVER_ERROR, error.to_string(), Vec::new())
            }
            Self::Append(error) => {
                let said = format!("Nothing was recorded: {error}");
                problem(StatusCode::INTERNAL_SERVER_ERROR, said, Vec::new())
            }
            Self::Draw(error) => {
                let said = format!("This page could not be drawn: {error}");
                problem(StatusCode::INTERNAL_SERVER_ERROR, said, Vec::new())
            }
        }
    }
}
