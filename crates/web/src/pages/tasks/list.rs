use askama::Template;
use axum::extract::State;
use program::due::{About, DAYS_AHEAD, Urgency, due_of};
use program::{Subject, TaskId};

use crate::app::AppState;
use crate::fields::Fields;
use crate::named::Thing;
use crate::paging::{Paging, SearchPart};
use crate::shell::{Page, Room, Shell, page};
use crate::site_choice::SiteChoice;
use crate::{telling, wording};

#[derive(Template)]
#[template(path = "pages/tasks/list.html")]
struct ListPage {
    shell: Shell,
    sites: SiteChoice,
    search: SearchPart,
    shown: String,
    rows: Vec<Row>,
    pages: String,
}

struct Row {
    id: String,
    name: String,
    site: String,
    contaminants: String,
    wear: String,
    due: Vec<String>,
}

/// `GET /tasks?q=&site=&after=`.
pub(crate) async fn show(State(app): State<AppState>, fields: Fields) -> Page {
    let sites = SiteChoice::of(&app, "/tasks", fields.get("site")).await?;
    let list = Paging::of(&app, (Thing::Task, "/tasks"), Some(&sites), &fields).await?;
    let ids: Vec<TaskId> = list.things.iter().map(|one| TaskId::new(&one.id)).collect();
    let things: Vec<Subject> = ids.iter().cloned().map(Subject::Task).collect();
    let state = app.ledger().state_about(&things, 0).await?;
    let all = due_of(&state, things, (app.now(), DAYS_AHEAD));
    let row = |id: &TaskId| {
        let task = state.task(id)?;
        let place = state.place_at(id, app.now());
        let names = place.map(|place| {
            place.contaminants.iter().map(|c| c.substance.name()).collect::<Vec<_>>().join(", ")
        });
        let about = About::Task(id.clone());
        let own = all.iter().filter(|due| due.about == about && due.urgency == Urgency::Now);
        Some(Row {
            id: id.to_string(),
            name: task.spec.name.clone(),
            site: telling::site(&state, &task.site),
            contaminants: names
                .filter(|names| !names.is_empty())
                .unwrap_or_else(|| "not measured".to_owned()),
            wear: wording::minutes(task.spec.wear_per_shift.as_min()),
            due: own.map(|due| due.finding.text()).collect(),
        })
    };
    page(&ListPage {
        shell: Shell::new(&app, Room::Tasks, "Tasks"),
        search: SearchPart::of(&fields, ("/tasks", "Name of the task"), Some(&sites)),
        sites,
        shown: list.told("task", "tasks"),
        rows: ids.iter().filter_map(row).collect(),
        pages: list.links()?,
    })
}
