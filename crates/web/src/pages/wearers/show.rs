use std::collections::BTreeSet;

use askama::Template;
use axum::extract::{Path, State};
use ledger::ReadError;
use program::due::{DAYS_AHEAD, due_of};
use program::state::State as Records;
use program::{Fact, PersonId, Subject, UnitId};

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
    let state = app.ledger().state_with(state, in_hand(&app, &thing).await?).await?;
    let Some(wearer) = state.wearer(&id) else {
        return Err(named::missing(&app, Thing::Wearer, asked).await);
    };
    let zone = telling::zone(&state, &wearer.site);
    let due = due_of(&state, [thing.clone()], (app.now(), DAYS_AHEAD));
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
        history: HistoryPart::of(&state, &thing, shown),
    })
}

/// The respirators that were given to a wearer and not taken back, and their models: whether they are
/// still in those hands, the respirators tell.
async fn in_hand(app: &AppState, wearer: &Subject) -> Result<BTreeSet<Subject>, ReadError> {
    let state = app.ledger().state_about(std::slice::from_ref(wearer), usize::MAX).await?;
    let mut units: BTreeSet<UnitId> = BTreeSet::new();
    for entry in state.history(wearer).filter(|entry| state.counts(&entry.id)) {
        match &entry.fact {
            Fact::Issued { unit, .. } | Fact::FacepieceTaken { unit, .. } => {
                units.insert(unit.clone());
            }
            Fact::Returned { unit, .. } => {
                units.remove(unit);
            }
            _ => {}
        }
    }
    let units: BTreeSet<Subject> = units.into_iter().map(Subject::Unit).collect();
    let state = app.ledger().state_with(Records::default(), units.clone()).await?;
    let models = state.units().map(|(_, unit)| Subject::Model(unit.model.clone()));
    Ok(models.chain(units).collect())
}
