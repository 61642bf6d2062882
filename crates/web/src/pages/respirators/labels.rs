use axum::extract::State;
use axum::http::header::CONTENT_TYPE;
use axum::response::IntoResponse;
use paper::{LABELS_PER_SHEET, Label, label_sheet};
use program::{Subject, UnitId};

use crate::app::AppState;
use crate::fields::Fields;
use crate::named::Thing;
use crate::paging::Paging;
use crate::shell::{Page, PageError};
use crate::site_choice::SiteChoice;

/// `GET /respirators/labels.svg?sheet=&q=&site=&after=`: labels of the respirators in service on one
/// page of their list, one sheet at a time; or `?tag=`, of one.
pub(crate) async fn show(State(app): State<AppState>, fields: Fields) -> Page {
    let ids: Vec<UnitId> = match fields.filled("tag") {
        Some(tag) => vec![UnitId::new(tag)],
        None => {
            let sites = SiteChoice::of(&app, "/respirators", fields.get("site")).await?;
            let list = (Thing::Unit, "/respirators");
            let list = Paging::of(&app, list, Some(&sites), &fields).await?;
            let sheet: usize = fields.filled("sheet").map_or(Ok(1), str::parse).unwrap_or(1).max(1);
            let in_service = list.things.iter().filter(|one| !one.gone);
            let before = (sheet - 1).saturating_mul(LABELS_PER_SHEET);
            let own = in_service.skip(before).take(LABELS_PER_SHEET);
            own.map(|one| UnitId::new(&one.id)).collect()
        }
    };
    let things: Vec<Subject> = ids.iter().cloned().map(Subject::Unit).collect();
    let state = app.ledger().state_about(&things, 0).await?;
    let label = |id: &UnitId| {
        let unit = state.unit(id)?;
        let model = state.model(&unit.model);
        Some(Label {
            tag: id.to_string(),
            size: unit.size.clone(),
            model: model.map_or_else(|| unit.model.to_string(), |m| m.name.clone()),
        })
    };
    let labels: Vec<Label> = ids.iter().filter_map(label).collect();
    match label_sheet(&labels) {
        Ok(svg) => Ok(([(CONTENT_TYPE, "image/svg+xml")], svg).into_response()),
        Err(error) => Err(PageError::NotUnderstood(error.to_string())),
    }
}
