use askama::Template;
use axum::extract::State;
use program::due::{Urgency, due};

use crate::app::AppState;
use crate::due_view::{DuePart, groups};
use crate::fields::Fields;
use crate::shell::{Page, Room, Shell, page};
use crate::site_choice::SiteChoice;
use crate::wording;

#[derive(Template)]
#[template(path = "pages/today.html")]
struct TodayPage {
    shell: Shell,
    sites: SiteChoice,
    at: String,
    now: usize,
    soon: usize,
    due: DuePart,
}

/// `GET /`: what needs a person now, and what will within thirty days.
pub(crate) async fn show(State(app): State<AppState>, fields: Fields) -> Page {
    let state = app.state().await?;
    let now = app.now();
    let sites = SiteChoice::of(&state, "/", fields.get("site"));
    let mut all = due(&state, now);
    all.retain(|due| due.site.as_ref().is_none_or(|site| sites.shows(site)));
    let count = |urgency| all.iter().filter(|due| due.urgency == urgency).count();
    page(&TodayPage {
        shell: Shell::new(&app, Room::Today, "Today"),
        at: wording::moment(now, &sites.zone(&state)),
        now: count(Urgency::Now),
        soon: count(Urgency::Soon),
        due: DuePart { groups: groups(&state, &all) },
        sites,
    })
}
