use askama::Template;
use axum::extract::State;
use program::{Fact, TaskId, UnitId};
use quantity::Minutes;

use super::{Form, moment, suggest_now};
use crate::app::AppState;
use crate::component::Field;
use crate::due_view::encoded;
use crate::fields::Fields;
use crate::named::{self, Lists};
use crate::shell::{Page, Room};

const FORM: Form = Form {
    room: Room::Wear,
    title: "Record a wear",
    lead: "The minutes in contaminated air count towards the change of the elements.",
    action: "/record/wear",
    button: "Record the wear",
};

/// The longest wear that one entry tells of, min: a day.
const LONGEST_MIN: f64 = 1440.0;

/// `GET /record/wear?tag=&wearer=&task=`.
pub(crate) async fn form(State(app): State<AppState>, fields: Fields) -> Page {
    draw(&app, fields).await
}

/// `POST /record/wear`.
pub(crate) async fn keep(State(app): State<AppState>, mut fields: Fields) -> Page {
    let id = super::entry_id(&fields)?;
    let state = app.state().await?;
    let unit = named::unit(&state, &mut fields, "tag");
    let wearer = named::wearer(&state, &mut fields, "wearer");
    let task = named::task(&state, &mut fields, "task");
    let time = minutes(&mut fields);
    let site = task.as_ref().and_then(|task| state.task(task)).map(|task| task.site.clone());
    let when = site.as_ref().and_then(|site| moment(&app, &state, &mut fields, site));
    drop(state);
    let told = unit.zip(wearer).zip(task).zip(time).zip(site).zip(when);
    match told {
        Some((((((unit, wearer), task), time), site), when)) => {
            let address = format!("/respirators/{}", encoded(unit.as_str()));
            let fact = Fact::Worn { unit, wearer, task, time };
            super::keep(&app, &[app.entry(id, site, when, fact)], &address).await
        }
        None => draw(&app, fields).await,
    }
}

/// The label names the unit, so that digits alone will do; another unit may be written.
fn minutes(fields: &mut Fields) -> Option<Minutes> {
    let text = fields.need("minutes", "say how long it was worn in contaminated air")?;
    let read = match text.parse::<f64>() {
        Ok(number) => Minutes::from_min(number),
        Err(_) => text.parse(),
    };
    match read {
        Ok(time) if time.as_min() > 0.0 && time.as_min() <= LONGEST_MIN => Some(time),
        Ok(_) => {
            fields.refuse("minutes", "one wear is longer than nothing and no longer than a day");
            None
        }
        Err(error) => {
            fields.refuse("minutes", error.to_string());
            None
        }
    }
}

async fn draw(app: &AppState, mut fields: Fields) -> Page {
    let state = app.state().await?;
    let of_task = fields.filled("task").map(TaskId::new);
    let of_tag = fields.filled("tag").map(UnitId::new);
    let site = of_task.and_then(|task| state.task(&task)).map(|task| task.site.clone());
    let site =
        site.or_else(|| of_tag.and_then(|tag| state.unit(&tag)).map(|unit| unit.site.clone()));
    suggest_now(app, &state, &mut fields, site.as_ref());
    let fields = &fields;
    let drawn = vec![
        Field::text(fields, "tag", "Tag of the respirator").list("units").required().render()?,
        Field::text(fields, "wearer", "Wearer").list("wearers").required().render()?,
        Field::text(fields, "task", "Task").list("tasks").required().render()?,
        Field::text(fields, "minutes", "Minutes in contaminated air")
            .hint("from start to stop, such as 45 or 1.5 h")
            .required()
            .render()?,
        Field::text(fields, "when", "Stopped at")
            .hint("on the clock of the site; left empty, it means now")
            .kind("datetime-local")
            .render()?,
    ];
    super::draw(app, &FORM, fields, drawn, Lists::of(&state))
}
