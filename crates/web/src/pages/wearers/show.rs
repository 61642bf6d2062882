use askama::Template;
use axum::extract::{Path, State};
use program::PersonId;
use program::due::{About, due};

use crate::app::AppState;
use crate::due_view::{DuePart, encoded, groups};
use crate::fields::Fields;
use crate::named::{Thing, near};
use crate::record::{OffersPart, offered, recorded};
use crate::shell::{Page, PageError, Room, Shell, page};
use crate::telling::{self, HistoryPart};
use crate::wording;

#[derive(Template)]
#[template(path = "pages/wearers/show.html")]
struct ShowPage {
    shell: Shell,
    address: String,
    recorded: String,
    offers: OffersPart,
    site: String,
    clearance: String,
    fit_tests: Vec<FitRow>,
    training: Vec<(&'static str, String)>,
    holds: Vec<(String, String)>,
    due: DuePart,
    history: HistoryPart,
}

struct FitRow {
    model: String,
    size: String,
    passed: bool,
    method: String,
    when: String,
    note: String,
}

/// `GET /wearers/{id}`.
pub(crate) async fn show(
    State(app): State<AppState>,
    Path(asked): Path<String>,
    fields: Fields,
) -> Page {
    let state = app.state().await?;
    let id = PersonId::new(&asked);
    let Some(wearer) = state.wearer(&id) else {
        let near = near(&asked, state.wearers().map(|(id, _)| (id.as_str(), "")));
        let near = near.into_iter().map(|id| (format!("/wearers/{}", encoded(&id)), id));
        return Err(PageError::NotFound { what: "wearer", asked, near: near.collect() });
    };
    let zone = telling::zone(&state, &wearer.site);
    let about = About::Wearer(id.clone());
    let due: Vec<_> = due(&state, app.now()).into_iter().filter(|due| due.about == about).collect();
    let clearance = wearer.clearance.as_ref().map(|record| {
        let until = record.until.map(|day| format!(", until {}", wording::day(day)));
        format!("{}{}", telling::clearance(&record.clearance), until.unwrap_or_default())
    });
    let fit_tests = wearer.fit_tests.values().map(|test| FitRow {
        model: state.model(&test.model).map_or_else(|| test.model.to_string(), |m| m.name.clone()),
        size: test.size.clone(),
        passed: test.passed,
        method: telling::method(test.method),
        when: wording::moment(test.at.when, &zone),
        note: match (test.hair_in_seal, test.seal_note.as_str()) {
            (true, note) => format!("hair in the seal {note}"),
            (false, note) => note.to_owned(),
        },
    });
    let training = wearer.training.iter().map(|(topic, done)| {
        let shown = if done.understood { "understood" } else { "not yet understood" };
        (telling::topic(*topic), format!("{}, {shown}", wording::moment(done.at.when, &zone)))
    });
    let holds = state.units().filter(|(_, unit)| unit.holders.contains_key(&id));
    page(&ShowPage {
        shell: Shell::new(&app, Room::Wearers, &wearer.name),
        address: encoded(id.as_str()),
        recorded: recorded(&state, &fields),
        offers: offered(&state, Thing::Wearer, id.as_str()),
        site: telling::site(&state, &wearer.site),
        clearance: clearance.unwrap_or_else(|| "none recorded".to_owned()),
        fit_tests: fit_tests.collect(),
        training: training.collect(),
        holds: holds.map(|(id, _)| (id.to_string(), telling::unit(&state, id))).collect(),
        due: DuePart { groups: groups(&state, &due) },
        history: HistoryPart::of(&state, state.history_of_wearer(&id), fields.get("history")),
    })
}
