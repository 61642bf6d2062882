//! A picture that an entry speaks of, as it came.

use axum::extract::{Path, State};
use axum::http::header::CONTENT_TYPE;
use axum::response::IntoResponse;
use ledger::Hash;

use crate::app::AppState;
use crate::shell::{Page, PageError};

/// `GET /pictures/{hash}`.
pub(crate) async fn show(State(app): State<AppState>, Path(asked): Path<String>) -> Page {
    let kept = match asked.parse::<Hash>() {
        Ok(hash) => app.picture(&hash).await?,
        Err(_) => None,
    };
    match kept {
        Some(kept) => Ok(([(CONTENT_TYPE, kept.media_type.name())], kept.bytes).into_response()),
        None => Err(PageError::NotFound { what: "picture", asked, near: Vec::new() }),
    }
}
