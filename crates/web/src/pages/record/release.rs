use askama::Template;
use axum::extract::State;
use program::Fact;

use super::Form;
use crate::app::AppState;
use crate::component::Field;
use crate::due_view::encoded;
use crate::fields::Fields;
use crate::named::{self, Lists};
use crate::shell::{Page, Room};

const FORM: Form = Form {
    room: Room::Respirators,
    title: "Release a respirator",
    lead: "Release it once what was wrong is put right; it must pass an inspection before anyone wears it.",
    action: "/record/release",
    button: "Release it",
};

/// `GET /record/release?tag=`.
pub(crate) async fn form(State(app): State<AppState>, fields: Fields) -> Page {
    draw(&app, &fields).await
}

/// `POST /record/release`.
pub(crate) async fn keep(State(app): State<AppState>, mut fields: Fields) -> Page {
    let id = super::entry_id(&fields)?;
    let state = app.state().await?;
    let unit = named::unit(&state, &mut fields, "tag");
    let done = fields.need("done", "say what was done to it");
    let site = unit.as_ref().and_then(|unit| state.unit(unit)).map(|unit| unit.site.clone());
    drop(state);
    match (unit, done, site) {
        (Some(unit), Some(done), Some(site)) => {
            let address = format!("/respirators/{}", encoded(unit.as_str()));
            let entry = app.entry(id, site, app.now(), Fact::Released { unit, done });
            super::keep(&app, &[entry], &address).await
        }
        _ => draw(&app, &fields).await,
    }
}

async fn draw(app: &AppState, fields: &Fields) -> Page {
    let state = app.state().await?;
    let drawn = vec![
        Field::text(fields, "tag", "Tag of the respirator").list("units").required().render()?,
        Field::text(fields, "done", "What was done to it?").required().render()?,
    ];
    super::draw(app, &FORM, fields, drawn, Lists::of(&state))
}
