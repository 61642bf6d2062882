use askama::Template;
use axum::extract::State;
use program::due::{About, Urgency, due};

use crate::app::AppState;
use crate::fields::Fields;
use crate::shell::{Page, Room, Shell, page};
use crate::site_choice::SiteChoice;
use crate::{telling, wording};

#[derive(Template)]
#[template(path = "pages/tasks/list.html")]
struct ListPage {
    shell: Shell,
    sites: SiteChoice,
    rows: Vec<Row>,
}

struct Row {
    id: String,
    name: String,
    site: String,
    contaminants: String,
    wear: String,
    due: Vec<String>,
}

/// `GET /tasks?site=`.
pub(crate) async fn show(State(app): State<AppState>, fields: Fields) -> Page {
    let state = app.state().await?;
    let sites = SiteChoice::of(&state, "/tasks", fields.get("site"));
    let all = due(&state, app.now());
    let rows = state.tasks().filter(|(_, task)| sites.shows(&task.site)).map(|(id, task)| {
        let place = state.place_at(id, app.now());
        let names = place.map(|place| {
            place.contaminants.iter().map(|c| c.substance.name()).collect::<Vec<_>>().join(", ")
        });
        let about = About::Task(id.clone());
        let own = all.iter().filter(|due| due.about == about && due.urgency == Urgency::Now);
        Row {
            id: id.to_string(),
            name: task.spec.name.clone(),
            site: telling::site(&state, &task.site),
            contaminants: names
                .filter(|names| !names.is_empty())
                .unwrap_or_else(|| "not measured".to_owned()),
            wear: wording::minutes(task.spec.wear_per_shift.as_min()),
            due: own.map(|due| due.finding.text()).collect(),
        }
    });
    let rows = rows.collect();
    page(&ListPage { shell: Shell::new(&app, Room::Tasks, "Tasks"), sites, rows })
}
