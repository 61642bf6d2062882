//! The wear check: may this wearer wear this respirator for this task, now?

use askama::Template;
use axum::extract::State;
use jiff::Timestamp;
use program::check::is_within_a_day;
use program::{Ask, PersonId, TaskId, UnitId};
use quantity::Minutes;

use crate::app::AppState;
use crate::component::{Field, Findings, Verdict};
use crate::due_view::encoded;
use crate::fields::Fields;
use crate::named::{self, Lists, ListsPart, Thing};
use crate::shell::{Page, Room, Shell, page};
use crate::{telling, wording};

#[derive(Template)]
#[template(path = "pages/wear.html")]
struct WearPage {
    shell: Shell,
    fields: Vec<Field>,
    lists: ListsPart,
    wrong: usize,
    answer: Option<Answer>,
}

struct Answer {
    verdict: Verdict,
    findings: Findings,
    rules: usize,
    at: String,
    allowed: bool,
    /// Something is missing of those who stand by outside.
    nobody_outside: bool,
    unit: String,
    query: String,
}

/// `GET /wear`: the form, and the verdict above it once it is filled in.
pub(crate) async fn show(State(app): State<AppState>, mut fields: Fields) -> Page {
    let mut answer = None;
    // A scan gives the tag alone: that is a form half filled in, not one with mistakes.
    if fields.filled("wearer").is_some() || fields.filled("task").is_some() {
        let asked = [(Thing::Unit, "tag"), (Thing::Wearer, "wearer"), (Thing::Task, "task")];
        let asked = asked.map(|(thing, field)| (thing, fields.get(field)));
        let state = named::state_of_meant(&app, asked).await?;
        let unit = named::unit(&state, &mut fields, "tag");
        let wearer = named::wearer(&state, &mut fields, "wearer");
        let task = named::task(&state, &mut fields, "task");
        let planned_wear = fields.read::<Minutes>("planned");
        if planned_wear.is_some_and(|time| !is_within_a_day(time)) {
            let why = "this is no wear that can be planned\nwrite more than 0 min and no more than a day, or leave it empty";
            fields.refuse("planned", why);
        }
        if let (Some(unit), Some(wearer), Some(task)) = (unit, wearer, task)
            && !fields.has_errors()
        {
            let (ask, now) = (Ask { wearer, unit, task, planned_wear }, app.now());
            let state = app.ledger().state_for(&ask, now).await?;
            let verdict = program::may_wear(&state, &ask, now);
            let verdict = verdict.from_guarded(&app.ledger().unguarded().await?);
            answer = Some(told(&state, &verdict, now));
        }
    }
    page(&WearPage {
        shell: Shell::new(&app, Room::Wear, "Wear check"),
        fields: vec![
            Field::text(&fields, "tag", "Tag of the respirator").list("respirators").required(),
            Field::text(&fields, "wearer", "Wearer")
                .hint("number or name")
                .list("wearers")
                .required(),
            Field::text(&fields, "task", "Task")
                .hint("short name or name")
                .list("tasks")
                .required(),
            Field::text(&fields, "planned", "Planned wear")
                .hint("such as 45 min or 2 h; left empty: as long as the task plans"),
        ],
        lists: ListsPart {
            lists: Lists::of_things(&app, [Thing::Unit, Thing::Wearer, Thing::Task]).await?,
        },
        wrong: fields.errors(),
        answer,
    })
}

fn told(state: &program::State, verdict: &program::Verdict, now: Timestamp) -> Answer {
    let ask = &verdict.ask;
    let zone = state.task(&ask.task).map(|task| telling::zone(state, &task.site));
    let Ask { unit, wearer, task, planned_wear } = ask;
    let planned = planned_wear.or(state.task(task).map(|task| task.spec.wear_per_shift));
    let planned =
        planned.map_or_else(String::new, |time| format!(", {}", wording::minutes(time.as_min())));
    let line = format!(
        "{} ({wearer}), {unit} ({}), {}{planned}",
        state.wearer(wearer).map_or("not known", |known| &known.name),
        telling::unit(state, unit),
        telling::task(state, task)
    );
    Answer {
        allowed: verdict.decision == rulebook::Decision::Allowed,
        nobody_outside: verdict.findings.iter().any(|one| one.rule.id.starts_with("standby.")),
        verdict: Verdict::on_wear(verdict.decision, line),
        findings: Findings::of(&verdict.findings),
        rules: verdict.checked.len(),
        at: zone.map_or_else(|| now.to_string(), |zone| wording::moment(now, &zone)),
        unit: encoded(unit.as_str()),
        query: query(unit, wearer, task),
    }
}

/// The three of a wear as they stand in an address.
fn query(unit: &UnitId, wearer: &PersonId, task: &TaskId) -> String {
    format!(
        "unit={}&wearer={}&task={}",
        encoded(unit.as_str()),
        encoded(wearer.as_str()),
        encoded(task.as_str())
    )
}
