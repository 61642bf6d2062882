//! The people who wear respirators.

pub(crate) mod list;
pub(crate) mod sheet;
pub(crate) mod show;

use std::collections::BTreeSet;

use ledger::ReadError;
use program::state::State;
use program::{Fact, Subject, UnitId};

use crate::app::AppState;

/// The respirators that were given to these wearers and not taken back, and their models: whether they
/// are still in those hands, the respirators tell.
async fn in_hand(app: &AppState, wearers: &[Subject]) -> Result<BTreeSet<Subject>, ReadError> {
    let state = app.ledger().state_about(wearers, usize::MAX).await?;
    let mut all: BTreeSet<UnitId> = BTreeSet::new();
    for wearer in wearers {
        let mut own: BTreeSet<UnitId> = BTreeSet::new();
        for entry in state.history(wearer).filter(|entry| state.counts(&entry.id)) {
            match &entry.fact {
                Fact::Issued { unit, .. } | Fact::FacepieceTaken { unit, .. } => {
                    own.insert(unit.clone());
                }
                Fact::Returned { unit, .. } => {
                    own.remove(unit);
                }
                _ => {}
            }
        }
        all.append(&mut own);
    }
    let units: BTreeSet<Subject> = all.into_iter().map(Subject::Unit).collect();
    let state = app.ledger().state_with(State::default(), units.clone()).await?;
    let models = state.units().map(|(_, unit)| Subject::Model(unit.model.clone()));
    Ok(models.chain(units).collect())
}

/// The wearers, and the respirators of a state: what is due of these is due of their wearers too.
fn with_units<'s>(
    wearers: &'s [Subject],
    state: &'s State,
) -> impl Iterator<Item = Subject> + use<'s> {
    let units = state.units().map(|(id, _)| Subject::Unit(id.clone()));
    wearers.iter().cloned().chain(units)
}
