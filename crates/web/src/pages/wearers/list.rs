use askama::Template;
use axum::extract::State;
use program::due::{About, DAYS_AHEAD, Urgency, due_of};
use program::{PersonId, Subject};

use super::{in_hand, with_units};
use crate::app::AppState;
use crate::fields::Fields;
use crate::named::Thing;
use crate::paging::{Paging, SearchPart};
use crate::shell::{Page, Room, Shell, page};
use crate::site_choice::SiteChoice;

#[derive(Template)]
#[template(path = "pages/wearers/list.html")]
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
    now: Vec<String>,
    soon: Vec<String>,
}

/// `GET /wearers?q=&site=&after=`: a page of the wearers, and what is due for each.
pub(crate) async fn show(State(app): State<AppState>, fields: Fields) -> Page {
    let sites = SiteChoice::of(&app, "/wearers", fields.get("site")).await?;
    let list = Paging::of(&app, (Thing::Wearer, "/wearers"), Some(&sites), &fields).await?;
    let ids: Vec<PersonId> = list.things.iter().map(|one| PersonId::new(&one.id)).collect();
    let things: Vec<Subject> = ids.iter().cloned().map(Subject::Wearer).collect();
    let state = app.ledger().state_about(&things, 0).await?;
    let state = app.ledger().state_with(state, in_hand(&app, &things).await?).await?;
    let all = due_of(&state, with_units(&things, &state), (app.now(), DAYS_AHEAD));
    let words = |id: &PersonId, urgency: Urgency| {
        let about = About::Wearer(id.clone());
        let own = all.iter().filter(|due| due.about == about && due.urgency == urgency);
        own.map(|due| due.finding.text()).collect::<Vec<_>>()
    };
    let row = |id: &PersonId| {
        Some(Row {
            id: id.to_string(),
            name: state.wearer(id)?.name.clone(),
            now: words(id, Urgency::Now),
            soon: words(id, Urgency::Soon),
        })
    };
    page(&ListPage {
        shell: Shell::new(&app, Room::Wearers, "Wearers"),
        search: SearchPart::of(&fields, ("/wearers", "Name or number"), Some(&sites)),
        sites,
        shown: list.told("wearer", "wearers"),
        rows: ids.iter().filter_map(row).collect(),
        pages: list.links()?,
    })
}
