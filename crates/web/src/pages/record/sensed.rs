use askama::Template;
use axum::extract::State;
use program::{EntryId, Fact, SeriousSign};

use super::Form;
use crate::app::AppState;
use crate::component::{Choice, Field};
use crate::due_view::encoded;
use crate::fields::Fields;
use crate::named::{self, Lists};
use crate::shell::{Page, Room};
use crate::telling;

const FORM: Form = Form {
    room: Room::Wear,
    title: "Report a smell, taste or irritation",
    lead: "First leave the area and tell your supervisor. Then report it here: the respirator is held back at once.",
    action: "/record/sensed",
    button: "Report it and hold the respirator back",
};

/// What may be noticed, as the form sends it.
const SIGNS: [(&str, &str, SeriousSign); 4] = [
    ("smell", "a smell", SeriousSign::Smell),
    ("taste", "a taste", SeriousSign::Taste),
    ("irritation", "irritation of eyes, nose or throat", SeriousSign::Irritation),
    ("resistance", "breathing became hard", SeriousSign::Resistance),
];

/// `GET /record/sensed?tag=&wearer=&task=`.
pub(crate) async fn form(State(app): State<AppState>, fields: Fields) -> Page {
    draw(&app, &fields).await
}

/// `POST /record/sensed`: what was noticed, and the hold that follows, in one batch.
pub(crate) async fn keep(State(app): State<AppState>, mut fields: Fields) -> Page {
    let id = super::entry_id(&fields)?;
    let state = app.state().await?;
    let unit = named::unit(&state, &mut fields, "tag");
    let wearer = named::wearer(&state, &mut fields, "wearer");
    let task = named::task(&state, &mut fields, "task");
    let site = unit.as_ref().and_then(|unit| state.unit(unit)).map(|unit| unit.site.clone());
    drop(state);
    let sign = SIGNS.iter().find(|(value, _, _)| *value == fields.get("sign")).map(|found| found.2);
    if sign.is_none() {
        fields.refuse("sign", "choose what was noticed");
    }
    match unit.zip(wearer).zip(task).zip(sign).zip(site) {
        Some(((((unit, wearer), task), sign), site)) => {
            let address = format!("/respirators/{}", encoded(unit.as_str()));
            let why = format!("{} was noticed inside it", telling::sign(sign));
            let held = EntryId::new(format!("{id}-held"));
            let hold = Fact::Held { unit: unit.clone(), why };
            let sensed = Fact::BreakthroughSensed { unit, wearer, task, sign };
            let now = app.now();
            let entries =
                [app.entry(id, site.clone(), now, sensed), app.entry(held, site, now, hold)];
            super::keep(&app, &entries, &address).await
        }
        None => draw(&app, &fields).await,
    }
}

async fn draw(app: &AppState, fields: &Fields) -> Page {
    let state = app.state().await?;
    let signs = SIGNS.iter().map(|(value, words, _)| (*value, *words));
    let drawn = vec![
        Field::text(fields, "tag", "Tag of the respirator").list("units").required().render()?,
        Field::text(fields, "wearer", "Wearer").list("wearers").required().render()?,
        Field::text(fields, "task", "Task").list("tasks").required().render()?,
        Choice::of(fields, ("sign", "What was noticed?"), signs).render()?,
    ];
    super::draw(app, &FORM, fields, drawn, Lists::of(&state))
}
