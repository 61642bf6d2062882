use askama::Template;
use axum::extract::State;
use ledger::{DueQuestion, ListQuestion, ReadError};
use program::due::{DAYS_AHEAD, DueKind, Urgency};

use crate::app::AppState;
use crate::component::Findings;
use crate::due_view::{DuePart, ON_TODAY};
use crate::fields::Fields;
use crate::named::Thing;
use crate::shell::{Page, Room, Shell, page};
use crate::site_choice::SiteChoice;
use crate::wording;

#[derive(Template)]
#[template(path = "pages/today.html")]
struct TodayPage {
    shell: Shell,
    sites: SiteChoice,
    at: String,
    now: u64,
    soon: u64,
    due: DuePart,
    /// Why nothing here can be relied on, where that is so.
    unguarded: Findings,
    /// What a program is built of, as long as a part of it is missing: address, words, whether it
    /// is there.
    steps: Vec<(&'static str, &'static str, bool)>,
}

/// `GET /`: what needs a person now, and what will within thirty days.
pub(crate) async fn show(State(app): State<AppState>, fields: Fields) -> Page {
    let now = app.now();
    let sites = SiteChoice::of(&app, "/", fields.get("site")).await?;
    let question = DueQuestion {
        site: sites.chosen.clone(),
        kind: None,
        days: DAYS_AHEAD,
        skip: 0,
        limit: ON_TODAY,
        of_each_kind: true,
    };
    let (answer, state) = app.ledger().due_told(&question, now).await?;
    // What is only to be shown once would drown what stands in the way of a wear.
    let pressing = answer.counts.iter().filter(|count| count.kind != DueKind::ToShow);
    let count = |urgency| {
        pressing.clone().filter(|count| count.urgency == urgency).map(|count| count.duties).sum()
    };
    page(&TodayPage {
        shell: Shell::new(&app, Room::Today, "Today"),
        at: wording::moment(now, &sites.zone(&app).await?),
        now: count(Urgency::Now),
        soon: count(Urgency::Soon),
        due: DuePart::counted(&state, &answer, sites.chosen.as_ref()),
        unguarded: Findings::of(answer.unguarded.as_slice()),
        steps: steps(&app).await?,
        sites,
    })
}

/// The first steps of a program, none once all are taken.
async fn steps(app: &AppState) -> Result<Vec<(&'static str, &'static str, bool)>, ReadError> {
    let steps = [
        ("/record/site-opened", "Open a site", Thing::Site),
        ("/record/model-listed", "List a model of respirator", Thing::Model),
        ("/record/element-type-listed", "List a cartridge, canister or filter", Thing::ElementType),
        ("/record/unit-received", "Receive a respirator", Thing::Unit),
        ("/record/wearer-enrolled", "Enrol a wearer", Thing::Wearer),
        ("/record/role-given", "Give a person a part", Thing::Person),
        ("/record/task-described", "Describe a task", Thing::Task),
    ];
    let mut told = Vec::new();
    for (address, words, thing) in steps {
        let kind = thing.subject("").kind();
        let question = ListQuestion { kind, site: None, words: "", after: "", limit: 1 };
        told.push((address, words, !app.ledger().list(&question).await?.is_empty()));
    }
    let all = told.iter().all(|(_, _, done)| *done);
    Ok(if all { Vec::new() } else { told })
}
