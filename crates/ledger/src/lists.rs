//! Looking at a part of a ledger: its lists, and the state of a few things.

use std::collections::BTreeSet;

use program::{SiteId, State, Subject, needs};

use crate::projection::{self, ListQuestion, ListedThing, SetsInUse};
use crate::store::ReadError;
use crate::{Kind, Ledger};

impl Ledger {
    /// A page of the list of one kind of thing: those that are gone after the others, by name.
    pub async fn list(&self, question: &ListQuestion<'_>) -> Result<Vec<ListedThing>, ReadError> {
        self.catch_up().await?;
        on!(self, store => projection::list(store, question).await)
    }

    /// The things of a kind, as [`Subject::kind`] counts, that somebody may have meant by `text`:
    /// the one of this id, those of this name, those that hold it, or those that begin like it.
    /// Empty only where there is none of the kind.
    pub async fn called(&self, kind: u8, text: &str) -> Result<Vec<ListedThing>, ReadError> {
        self.catch_up().await?;
        on!(self, store => projection::called(store, kind, text).await)
    }

    /// The models in service at a site with the elements on them, and how many there are of each.
    pub async fn sets_in_use(&self, site: &SiteId) -> Result<Vec<SetsInUse>, ReadError> {
        self.catch_up().await?;
        on!(self, store => projection::sets_in_use(store, site).await)
    }

    /// The state of all that some things are judged by when it is asked what is due, and of the last
    /// `named` entries that only speak of each of them.
    pub async fn state_about(&self, things: &[Subject], named: usize) -> Result<State, ReadError> {
        self.catch_up().await?;
        on!(self, store => projection::state_about(store, things, named).await)
    }

    /// `state` with what is folded into some more things, for their names.
    pub async fn state_with(
        &self,
        state: State,
        things: BTreeSet<Subject>,
    ) -> Result<State, ReadError> {
        on!(self, store => projection::with(store, state, things).await)
    }

    /// The state of every entry of a site, and of the models and elements of other sites of which
    /// they speak.
    pub async fn state_of_site(&self, site: &SiteId) -> Result<State, ReadError> {
        self.catch_up().await?;
        let mut state = State::default();
        let mut after = 0;
        loop {
            let page = self.read(Some(site), after).await?;
            let Some(last) = page.last() else { break };
            after = last.position;
            page.iter().for_each(|stored| state.apply(&stored.entry));
        }
        let elsewhere = needs::for_due(state.entries());
        let elsewhere = elsewhere.into_iter().filter(|thing| !state.knows(thing)).collect();
        self.state_with(state, elsewhere).await
    }
}
