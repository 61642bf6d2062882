use askama::Template;
use axum::extract::State;
use program::due::{DueKind, Urgency, due};
use program::state::State as Records;

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
    /// What a program is built of, as long as a part of it is missing: address, words, whether it
    /// is there.
    steps: Vec<(&'static str, &'static str, bool)>,
}

/// `GET /`: what needs a person now, and what will within thirty days.
pub(crate) async fn show(State(app): State<AppState>, fields: Fields) -> Page {
    let state = app.state().await?;
    let now = app.now();
    let sites = SiteChoice::of(&state, "/", fields.get("site"));
    let mut all = due(&state, now);
    all.retain(|due| due.site.as_ref().is_none_or(|site| sites.shows(site)));
    // What is only to be shown once would drown what stands in the way of a wear.
    let pressing = |urgency| {
        move |due: &&program::due::Due| due.urgency == urgency && due.kind != DueKind::ToShow
    };
    let count = |urgency| all.iter().filter(pressing(urgency)).count();
    page(&TodayPage {
        shell: Shell::new(&app, Room::Today, "Today"),
        at: wording::moment(now, &sites.zone(&state)),
        now: count(Urgency::Now),
        soon: count(Urgency::Soon),
        due: DuePart { groups: groups(&state, &all) },
        steps: steps(&state),
        sites,
    })
}

/// The first steps of a program, none once all are taken.
fn steps(state: &Records) -> Vec<(&'static str, &'static str, bool)> {
    let steps = [
        ("/record/site-opened", "Open a site", state.sites().next().is_some()),
        ("/record/model-listed", "List a model of respirator", state.models().next().is_some()),
        (
            "/record/element-type-listed",
            "List a cartridge, canister or filter",
            state.element_types().next().is_some(),
        ),
        ("/record/unit-received", "Receive a respirator", state.units().next().is_some()),
        ("/record/wearer-enrolled", "Enrol a wearer", state.wearers().next().is_some()),
        ("/record/role-given", "Give a person a part", state.people().next().is_some()),
        ("/record/task-described", "Describe a task", state.tasks().next().is_some()),
    ];
    match steps.iter().all(|(_, _, done)| *done) {
        true => Vec::new(),
        false => steps.to_vec(),
    }
}
