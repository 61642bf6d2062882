use askama::Template;
use axum::extract::State;
use program::due::{About, Urgency, due};

use crate::app::AppState;
use crate::component::Field;
use crate::fields::Fields;
use crate::shell::{Page, Room, Shell, page};
use crate::site_choice::SiteChoice;

#[derive(Template)]
#[template(path = "pages/wearers/list.html")]
struct ListPage {
    shell: Shell,
    sites: SiteChoice,
    field: Field,
    rows: Vec<Row>,
}

struct Row {
    id: String,
    name: String,
    now: Vec<String>,
    soon: Vec<String>,
}

/// `GET /wearers?q=&site=`: every wearer, and what is due for each.
pub(crate) async fn show(State(app): State<AppState>, fields: Fields) -> Page {
    let state = app.state().await?;
    let sites = SiteChoice::of(&state, "/wearers", fields.get("site"));
    let wanted = fields.get("q").to_lowercase();
    let all = due(&state, app.now());
    let words = |id: &program::PersonId, urgency: Urgency| {
        let about = About::Wearer(id.clone());
        let own = all.iter().filter(|due| due.about == about && due.urgency == urgency);
        own.map(|due| due.finding.text()).collect::<Vec<_>>()
    };
    let mut rows: Vec<Row> = state
        .wearers()
        .filter(|(_, wearer)| sites.shows(&wearer.site))
        .filter(|(id, wearer)| format!("{id} {}", wearer.name).to_lowercase().contains(&wanted))
        .map(|(id, wearer)| Row {
            id: id.to_string(),
            name: wearer.name.clone(),
            now: words(id, Urgency::Now),
            soon: words(id, Urgency::Soon),
        })
        .collect();
    rows.sort_by(|a, b| (&a.name, &a.id).cmp(&(&b.name, &b.id)));
    page(&ListPage {
        shell: Shell::new(&app, Room::Wearers, "Wearers"),
        sites,
        field: Field::text(&fields, "q", "Name or number").kind("search"),
        rows,
    })
}
