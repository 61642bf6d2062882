//! Everything that is due of one kind, page by page.

use askama::Template;
use axum::extract::{Path, State};
use ledger::DueQuestion;
use program::due::{DAYS_AHEAD, DueKind};

use crate::app::AppState;
use crate::due_view::{Line, encoded, heading};
use crate::fields::Fields;
use crate::shell::{Page, PageError, Room, Shell, page};
use crate::site_choice::SiteChoice;

/// How many duties stand on one page.
const ON_A_PAGE: usize = 50;

#[derive(Template)]
#[template(path = "pages/due.html")]
struct DuePage {
    shell: Shell,
    sites: SiteChoice,
    count: u64,
    first: u64,
    lines: Vec<Line>,
    before: Option<String>,
    next: Option<String>,
}

/// `GET /due/{kind}?site=&page=`.
pub(crate) async fn show(
    State(app): State<AppState>,
    Path(asked): Path<String>,
    fields: Fields,
) -> Page {
    let Some(kind) = DueKind::ALL.into_iter().find(|kind| heading(*kind).1 == asked) else {
        let near = vec![("/".to_owned(), "what is due today".to_owned())];
        return Err(PageError::NotFound { what: "kind of duty", asked, near });
    };
    let address = format!("/due/{asked}");
    let sites = SiteChoice::of(&app, &address, fields.get("site")).await?;
    let number: usize = fields.filled("page").map_or(Ok(1), str::parse).unwrap_or(1).max(1);
    let question = DueQuestion {
        site: sites.chosen.clone(),
        kind: Some(kind),
        days: DAYS_AHEAD,
        skip: (number - 1).saturating_mul(ON_A_PAGE),
        limit: ON_A_PAGE,
        of_each_kind: false,
    };
    let (answer, state) = app.ledger().due_told(&question, app.now()).await?;
    let count: u64 = answer.counts.iter().map(|count| count.duties).sum();
    let told = question.skip.saturating_add(answer.first.len());
    let site = sites.chosen.as_ref().map_or_else(String::new, |site| encoded(site.as_str()));
    let page_at = |number: usize| format!("{address}?site={site}&page={number}");
    let more = u64::try_from(told).is_ok_and(|told| told < count);
    page(&DuePage {
        shell: Shell::new(&app, Room::Today, heading(kind).0),
        sites,
        count,
        first: u64::try_from(question.skip).unwrap_or(u64::MAX).saturating_add(1),
        lines: answer.first.iter().map(|due| Line::of(&state, due)).collect(),
        before: (number > 1).then(|| page_at(number - 1)),
        next: more.then(|| page_at(number.saturating_add(1))),
    })
}
