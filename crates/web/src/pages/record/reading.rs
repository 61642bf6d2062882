use askama::Template;
use axum::extract::State;
use program::{Fact, TaskId};
use quantity::{Concentration, Minutes};
use rulebook::AirborneForm;
use substance::Catalogue;

use super::{Form, moment, suggest_now};
use crate::app::AppState;
use crate::component::{Choice, Field};
use crate::due_view::encoded;
use crate::fields::Fields;
use crate::named::{self, Lists};
use crate::shell::{Page, Room};

const FORM: Form = Form {
    room: Room::Tasks,
    title: "Record a reading",
    lead: "What was measured in the air of a task, or that something is there and its level is not known.",
    action: "/record/reading",
    button: "Record the reading",
};

/// How a contaminant may be in the air, as the form sends it.
const FORMS: [(&str, &str, AirborneForm); 3] = [
    ("vapour", "gas or vapour", AirborneForm::Vapour),
    ("particle", "particle: dust, mist or fume", AirborneForm::Particle),
    ("both", "vapour and particle", AirborneForm::VapourAndParticle),
];

/// `GET /record/reading?task=`.
pub(crate) async fn form(State(app): State<AppState>, fields: Fields) -> Page {
    draw(&app, fields).await
}

/// `POST /record/reading`.
pub(crate) async fn keep(State(app): State<AppState>, mut fields: Fields) -> Page {
    let id = super::entry_id(&fields)?;
    let state = app.state().await?;
    let task = named::task(&state, &mut fields, "task");
    let site = task.as_ref().and_then(|task| state.task(task)).map(|task| task.site.clone());
    let when = site.as_ref().and_then(|site| moment(&app, &state, &mut fields, site));
    drop(state);
    let fact = fact(&mut fields, task.clone());
    match task.zip(site).zip(when).zip(fact).filter(|_| !fields.has_errors()) {
        Some((((task, site), when), fact)) => {
            let address = format!("/tasks/{}", encoded(task.as_str()));
            super::keep(&app, &[app.entry(id, site, when, fact)], &address).await
        }
        None => draw(&app, fields).await,
    }
}

fn fact(fields: &mut Fields, task: Option<TaskId>) -> Option<Fact> {
    let cas =
        fields.need("substance", "say what was measured").and_then(
            |asked| match Catalogue::builtin().find(&asked) {
                Ok(substance) => Some(substance.cas()),
                Err(error) => {
                    fields.refuse("substance", error.to_string());
                    None
                }
            },
        );
    let known = fields.get("known") != "no";
    let concentration = if known {
        let ask = "say how much, or choose that the level is not known";
        let level = fields.read_needed::<Concentration>("concentration", ask)?;
        Some(level)
    } else {
        if fields.filled("concentration").is_some() {
            fields.refuse(
                "concentration",
                "a level is written here, and below it is not known\nchoose one",
            );
        }
        None
    };
    let form =
        FORMS.iter().find(|(value, _, _)| *value == fields.get("form")).map(|(_, _, form)| *form);
    if form.is_none() {
        fields.refuse("form", "choose one");
    }
    let sampled = fields.read::<Minutes>("sampled");
    let method = fields.need("method", "say how it was measured or estimated");
    Some(Fact::ReadingTaken {
        task: task?,
        cas: cas?,
        concentration,
        form: form?,
        sampled,
        method: method?,
    })
}

async fn draw(app: &AppState, mut fields: Fields) -> Page {
    let state = app.state().await?;
    let site = state.task(&TaskId::new(fields.get("task"))).map(|task| task.site.clone());
    suggest_now(app, &state, &mut fields, site.as_ref());
    let fields = &fields;
    let forms = FORMS.iter().map(|(value, words, _)| (*value, *words));
    let known = [("yes", "the level is known"), ("no", "it is there, its level is not known")];
    let drawn = vec![
        Field::text(fields, "task", "Task").list("tasks").required().render()?,
        Field::text(fields, "substance", "Substance")
            .hint("name or registry number")
            .list("substances")
            .required()
            .render()?,
        Field::text(fields, "concentration", "Concentration")
            .hint("such as 100 ppm or 380 mg/m3")
            .render()?,
        Choice::of(fields, ("known", "Level"), known).render()?,
        Choice::of(fields, ("form", "As"), forms).render()?,
        Field::text(fields, "sampled", "Time sampled")
            .hint("such as 8 h; may stay empty")
            .render()?,
        Field::text(fields, "method", "Method")
            .hint("such as charcoal tube, full shift")
            .required()
            .render()?,
        Field::text(fields, "when", "When")
            .hint("on the clock of the site")
            .kind("datetime-local")
            .render()?,
    ];
    super::draw(app, &FORM, fields, drawn, Lists::of(&state).and_substances())
}
