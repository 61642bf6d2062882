use askama::Template;
use axum::extract::{Path, State};
use program::due::{About, DAYS_AHEAD, due_of};
use program::state::FitTest;
use program::{PersonId, Subject};

use super::{in_hand, with_units};
use crate::app::AppState;
use crate::due_view::{DuePart, encoded, groups};
use crate::fields::Fields;
use crate::named::{self, Thing};
use crate::record::{OffersPart, offered, recorded};
use crate::shell::{Page, Room, Shell, page};
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
    /// The word for one that did not pass.
    not_passed: &'static str,
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
    let id = PersonId::new(&asked);
    let (thing, shown) = (Subject::Wearer(id.clone()), telling::shown(&fields));
    let state = app.state_about(std::slice::from_ref(&thing), shown).await?;
    let wearers = std::slice::from_ref(&thing);
    let state = app.ledger().state_with(state, in_hand(&app, wearers).await?).await?;
    let Some(wearer) = state.wearer(&id) else {
        return Err(named::missing(&app, Thing::Wearer, asked).await);
    };
    let zone = telling::zone(&state, &wearer.site);
    let mut due = due_of(&state, with_units(wearers, &state), (app.now(), DAYS_AHEAD));
    // What is wrong with a respirator stands on its own page.
    let own = About::Wearer(id.clone());
    due.retain(|due| due.about == own || due.about == About::Records);
    let clearance =
        wearer.clearance.as_ref().map(|record| telling::cleared(&record.clearance, record.until));
    let fit_tests = wearer.fit_tests.values().map(|test| FitRow {
        model: state.model(&test.model).map_or_else(|| test.model.to_string(), |m| m.name.clone()),
        size: test.size.clone(),
        passed: test.passed,
        not_passed: if test.missing.is_empty() { "failed" } else { "not complete" },
        method: telling::fit_gave(test.gave),
        when: wording::moment(test.at.when, &zone),
        note: fit_note(test),
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
        history: HistoryPart::of(&state, &thing, shown),
    })
}

/// What is to be known of a fit test beside its result.
fn fit_note(test: &FitTest) -> String {
    let missing = match test.missing.as_str() {
        "" => String::new(),
        missing => format!("missing: {missing}"),
    };
    let hair = if test.hair_in_seal { "hair in the seal" } else { "" };
    let all = [missing.as_str(), hair, test.seal_note.as_str()];
    all.into_iter().filter(|note| !note.is_empty()).collect::<Vec<_>>().join("; ")
}
