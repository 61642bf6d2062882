//! States of a part of the entries.

use std::collections::{BTreeMap, BTreeSet};

use jiff::Timestamp;
use program::{Ask, Entry, Part, SiteId, State, Subject, needs};

use super::about::number;
use super::{Derived, Page};
use crate::store::{ReadError, Store};

/// The entries of some pages.
pub(super) fn read(pages: &[Page]) -> Result<Vec<Entry>, ReadError> {
    pages.iter().flat_map(Page::kept).map(|kept| kept?.read().map(|(_, entry)| entry)).collect()
}

/// Every entry about some things. Those that happened at an instant, in microseconds, or before may
/// be left out.
pub(super) async fn about<C: Derived>(
    connection: &mut C,
    things: &[i64],
    happened_after: i64,
) -> Result<Vec<Page>, ReadError> {
    let mut all = Vec::new();
    let mut after = i64::MIN;
    loop {
        let page = connection.entries_about(things, happened_after, after).await?;
        let Some(last) = page.last() else { return Ok(all) };
        after = last;
        let is_full = i64::from(super::ROWS_OF_A_PAGE) <= page.entries;
        all.push(page);
        if !is_full {
            return Ok(all);
        }
    }
}

/// A state that is asked for more and more things.
#[derive(Default)]
pub(super) struct Partial {
    pub(super) state: State,
    read: BTreeSet<Subject>,
}

impl Partial {
    /// A state that holds what is folded into `things`.
    pub(super) fn of(state: State, things: &[Subject]) -> Self {
        Self { state, read: things.iter().cloned().collect() }
    }

    /// Adds what is folded into the things of `wanted` that are not read yet; tells whether there
    /// were any.
    pub(super) async fn read<C: Derived>(
        &mut self,
        connection: &mut C,
        wanted: BTreeSet<Subject>,
    ) -> Result<bool, ReadError> {
        let new: Vec<Subject> = wanted.difference(&self.read).cloned().collect();
        if new.is_empty() {
            return Ok(false);
        }
        self.add(connection, Part::Folded, &new, i64::MIN).await?;
        self.read.extend(new);
        Ok(true)
    }

    /// Adds the entries that have a part in things.
    pub(super) async fn add<C: Derived>(
        &mut self,
        connection: &mut C,
        part: Part,
        things: &[Subject],
        happened_after: i64,
    ) -> Result<(), ReadError> {
        let numbers: Vec<i64> = things.iter().map(|thing| number(part, thing)).collect();
        for entry in read(&about(connection, &numbers, happened_after).await?)? {
            self.state.take(entry);
        }
        Ok(())
    }

    /// Adds everything by which the things of this state are judged, and what names those of
    /// `things` that nobody made known; what is read often is kept in `judges`.
    pub(super) async fn add_for_due<C: Derived>(
        &mut self,
        connection: &mut C,
        things: &[Subject],
        judges: &mut Judges,
    ) -> Result<(), ReadError> {
        let unknown: Vec<Subject> =
            things.iter().filter(|thing| !self.state.knows(thing)).cloned().collect();
        if !unknown.is_empty() {
            self.add(connection, Part::Named, &unknown, i64::MIN).await?;
        }
        let mut looked_at = 0;
        loop {
            let mut needed = needs::for_due(self.state.entries().skip(looked_at));
            needed.append(&mut needs::for_due_as_it_stands(&self.state, things));
            looked_at = self.state.len();
            let (often, others): (BTreeSet<Subject>, BTreeSet<Subject>) =
                needed.difference(&self.read).cloned().partition(judges_many);
            for thing in &often {
                if !judges.0.contains_key(thing) {
                    let numbers = [number(Part::Folded, thing)];
                    let entries = read(&about(connection, &numbers, i64::MIN).await?)?;
                    judges.0.insert(thing.clone(), entries);
                }
                let entries = judges.0.get(thing).into_iter().flatten();
                entries.for_each(|entry| self.state.apply(entry));
            }
            let new = !often.is_empty();
            self.read.extend(often);
            if !self.read(connection, others).await? && !new {
                return Ok(());
            }
        }
    }
}

/// Whether many things are judged by this one, so that its entries are worth keeping at hand.
const fn judges_many(thing: &Subject) -> bool {
    matches!(
        thing,
        Subject::Site(_) | Subject::Model(_) | Subject::ElementType(_) | Subject::Task(_)
    )
}

/// Sites, models, kinds of elements and tasks, by which many things are judged.
#[derive(Default)]
pub(super) struct Judges(BTreeMap<Subject, Vec<Entry>>);

/// The state that a verdict looks at.
pub(crate) async fn for_verdict<S: Store>(
    store: &S,
    ask: &Ask,
    now: Timestamp,
) -> Result<State, ReadError> {
    let mut reading = store.reading().await?;
    let mut partial = Partial::default();
    while partial.read(&mut *reading, needs::for_verdict(ask, &partial.state)).await? {}
    let named = [Subject::Wearer(ask.wearer.clone()), Subject::Task(ask.task.clone())];
    let ahead = needs::named_after(now).as_microsecond();
    partial.add(&mut *reading, Part::Named, &named, ahead).await?;
    Ok(partial.state)
}

/// The state of what was entered about sites.
pub(super) async fn of_site<C: Derived>(
    connection: &mut C,
    sites: impl Iterator<Item = SiteId>,
) -> Result<State, ReadError> {
    let mut partial = Partial::default();
    partial.read(connection, sites.map(Subject::Site).collect()).await?;
    Ok(partial.state)
}
