//! The pages, one file each; the path of the file is the path of the page.

mod bring;
pub(crate) mod calculate;
mod due;
mod entries;
mod forecast;
mod life;
mod listed;
mod pictures;
pub(crate) mod record;
mod respirators;
mod substances;
mod tasks;
mod today;
mod wear;
mod wearers;
mod year;

use askama::Template;
use axum::Router;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::middleware::from_fn_with_state;
use axum::response::{Html, IntoResponse, Response};
use axum::routing::{get, post};

use crate::app::AppState;
use crate::fields::Fields;
use crate::guard::guarded;
use crate::named::Thing;
use crate::shell::{PageError, Shell};
use crate::sign_in;

/// Every page behind its guards.
pub fn router(app: AppState) -> Router {
    let inside = Thing::LISTED
        .into_iter()
        .fold(Router::new(), with_listed)
        .route("/", get(today::show))
        .route("/due/{kind}", get(due::show))
        .route("/wear", get(wear::show))
        .route("/respirators", get(respirators::list::show))
        .route("/respirators/labels.svg", get(respirators::labels::show))
        .route("/respirators/{tag}", get(respirators::show::show))
        .route("/wearers", get(wearers::list::show))
        .route("/wearers/{id}", get(wearers::show::show))
        .route("/wearers/{id}/sheet", get(wearers::sheet::show))
        .route("/tasks", get(tasks::list::show))
        .route("/tasks/{id}", get(tasks::show::show))
        .route("/substances", get(substances::list::show))
        .route("/substances/{cas}", get(substances::show::show))
        .route("/life", get(life::show))
        .route("/entries/{id}", get(entries::show))
        .route("/pictures/{hash}", get(pictures::show))
        .route("/calculate", get(calculate::list))
        .route("/bath", get(calculate::bath::show))
        .route("/fit", get(calculate::fit::show))
        .route("/calibrate", get(calculate::calibrate::show))
        .route("/what-if", get(calculate::what_if::show))
        .route("/air", get(calculate::air::show))
        .route("/exposure", get(calculate::exposure::show))
        .route("/sites/{id}/year", get(year::show))
        .route("/record", get(record::list))
        .route("/forecast", get(forecast::show))
        .route("/leave", post(sign_in::leave))
        .fallback(missing)
        .layer(from_fn_with_state(app.clone(), sign_in::session_only));
    let outside = Router::new()
        .route("/enter/{token}", get(sign_in::enter))
        .route("/style.css", get(style))
        .route("/icon.svg", get(icon))
        .route("/healthz", get(|| async { "ok\n" }));
    let lists = Router::new()
        .route("/bring", get(bring::form).post(bring::look))
        .route("/bring/write", post(bring::write))
        .layer(from_fn_with_state(app.clone(), sign_in::session_only));
    let forms = Router::new()
        .route("/record/{kind}", get(record::form).post(record::keep))
        .route("/entries/{id}/correct", get(record::correct).post(record::keep_correction))
        .layer(from_fn_with_state(app.clone(), sign_in::session_only));
    let pages = outside.merge(inside).with_state(app.clone());
    guarded(pages, lists.with_state(app.clone()), forms.with_state(app))
}

/// The list of one kind of thing, and the page of each.
fn with_listed(router: Router<AppState>, thing: Thing) -> Router<AppState> {
    let list = move |State(app): State<AppState>, fields: Fields| listed::list(thing, app, fields);
    let show = move |State(app): State<AppState>, Path(id): Path<String>, fields: Fields| {
        listed::show(thing, app, id, fields)
    };
    let address = format!("/{}", thing.list());
    router.route(&address, get(list)).route(&format!("{address}/{{id}}"), get(show))
}

async fn missing(uri: axum::http::Uri) -> PageError {
    PageError::NotFound { what: "page", asked: uri.path().to_owned(), near: Vec::new() }
}

async fn style() -> Response {
    fixed("text/css; charset=utf-8", include_str!("../assets/style.css"))
}

async fn icon() -> Response {
    fixed("image/svg+xml", include_str!("../assets/icon.svg"))
}

fn fixed(kind: &'static str, text: &'static str) -> Response {
    ([(CONTENT_TYPE, kind), (CACHE_CONTROL, "no-cache")], text).into_response()
}

#[derive(Template)]
#[template(path = "pages/signed_out.html")]
struct SignedOutPage {
    shell: Shell,
}

/// The page for one who has no session: how to sign in, and nothing else.
pub(crate) fn signed_out(status: StatusCode) -> Response {
    match (SignedOutPage { shell: Shell::outside("Signed out") }).render() {
        Ok(html) => (status, Html(html)).into_response(),
        Err(error) => PageError::Draw(error).into_response(),
    }
}
