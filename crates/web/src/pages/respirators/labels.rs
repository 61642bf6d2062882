use axum::extract::State;
use axum::http::header::CONTENT_TYPE;
use axum::response::IntoResponse;
use paper::{LABELS_PER_SHEET, Label, label_sheet};
use program::UnitId;

use crate::app::AppState;
use crate::fields::Fields;
use crate::shell::{Page, PageError};

/// `GET /respirators/labels.svg?sheet=&tag=`: labels of every respirator in service, one sheet at a
/// time, or of one.
pub(crate) async fn show(State(app): State<AppState>, fields: Fields) -> Page {
    let state = app.state().await?;
    let only = fields.filled("tag").map(UnitId::new);
    let sheet: usize = fields.filled("sheet").map_or(Ok(1), str::parse).unwrap_or(1).max(1);
    let units = state.units().filter(|(id, unit)| match &only {
        Some(only) => *id == only,
        None => unit.retired.is_none(),
    });
    let labels: Vec<Label> = units
        .skip((sheet - 1).saturating_mul(LABELS_PER_SHEET))
        .take(LABELS_PER_SHEET)
        .map(|(id, unit)| Label {
            tag: id.to_string(),
            size: unit.size.clone(),
            model: state
                .model(&unit.model)
                .map_or_else(|| unit.model.to_string(), |m| m.name.clone()),
        })
        .collect();
    match label_sheet(&labels) {
        Ok(svg) => Ok(([(CONTENT_TYPE, "image/svg+xml")], svg).into_response()),
        Err(error) => Err(PageError::NotUnderstood(error.to_string())),
    }
}
