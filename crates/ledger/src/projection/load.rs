//! States of a part of the entries.

use std::collections::{BTreeMap, BTreeSet, btree_map};
use std::sync::Arc;

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
    /// So many of its entries told already by what their things are judged.
    looked_at: usize,
    named_asked: bool,
}

impl Partial {
    /// A state that holds what is folded into `things`.
    pub(super) fn of(state: State, things: &[Subject]) -> Self {
        Self { state, read: things.iter().cloned().collect(), ..Self::default() }
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
        self.take(&about(connection, &numbers, happened_after).await?)
    }

    fn take(&mut self, pages: &[Page]) -> Result<(), ReadError> {
        read(pages)?.into_iter().for_each(|entry| self.state.take(entry));
        Ok(())
    }

    /// Adds everything by which `things` of this state are judged, and what names those of them that
    /// nobody made known; what is read often is kept in `judges`.
    pub(super) async fn add_for_due<C: Derived>(
        &mut self,
        connection: &mut C,
        things: &[Subject],
        judges: &mut Judges,
    ) -> Result<(), ReadError> {
        while let Some(wanted) = self.wanted_for_due(things) {
            self.give(wanted.fetch(connection, judges).await?)?;
        }
        Ok(())
    }

    /// What is to be given next, so that in the end everything is there by which `things` are judged;
    /// none at that end.
    pub(super) fn wanted_for_due(&mut self, things: &[Subject]) -> Option<Wanted> {
        let mut wanted = Wanted::default();
        if !self.named_asked {
            let unknown = things.iter().filter(|thing| !self.state.knows(thing));
            wanted.others.extend(unknown.map(|thing| number(Part::Named, thing)));
            self.named_asked = true;
        }
        let mut needed = needs::for_due(self.state.entries().skip(self.looked_at));
        needed.append(&mut needs::for_due_as_it_stands(&self.state, things));
        self.looked_at = self.state.len();
        for thing in needed {
            if self.read.contains(&thing) {
                continue;
            }
            self.read.insert(thing.clone());
            if judges_many(&thing) {
                wanted.judges.push(thing);
            } else {
                wanted.others.push(number(Part::Folded, &thing));
            }
        }
        let any = !wanted.judges.is_empty() || !wanted.others.is_empty();
        any.then_some(wanted)
    }

    /// Adds what was wanted.
    pub(super) fn give(&mut self, given: Given) -> Result<(), ReadError> {
        given.judges.into_iter().for_each(|entry| self.state.share(entry));
        self.take(&given.others)
    }
}

/// What a state is to be given.
#[derive(Default)]
pub(super) struct Wanted {
    /// Things by which many are judged.
    judges: Vec<Subject>,
    /// The numbers of other things.
    others: Vec<i64>,
}

/// What a state is given.
pub(super) struct Given {
    judges: Vec<Arc<Entry>>,
    others: Vec<Page>,
}

impl Wanted {
    /// Reads it; what many are judged by is read once into `judges`.
    pub(super) async fn fetch<C: Derived>(
        self,
        connection: &mut C,
        judges: &mut Judges,
    ) -> Result<Given, ReadError> {
        let mut given = Given { judges: Vec::new(), others: Vec::new() };
        if !self.others.is_empty() {
            given.others = about(connection, &self.others, i64::MIN).await?;
        }
        for thing in self.judges {
            let entries = match judges.0.entry(thing) {
                btree_map::Entry::Occupied(entries) => entries.into_mut(),
                btree_map::Entry::Vacant(place) => {
                    let numbers = [number(Part::Folded, place.key())];
                    let entries = read(&about(connection, &numbers, i64::MIN).await?)?;
                    place.insert(entries.into_iter().map(Arc::new).collect())
                }
            };
            given.judges.extend(entries.iter().map(Arc::clone));
        }
        Ok(given)
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
pub(super) struct Judges(BTreeMap<Subject, Vec<Arc<Entry>>>);

/// The state that a verdict looks at.
pub(crate) async fn for_verdict<S: Store>(
    store: &S,
    ask: &Ask,
    now: Timestamp,
) -> Result<State, ReadError> {
    let mut reading = store.reading().await?;
    let mut partial = Partial::default();
    let mut lots = BTreeSet::new();
    loop {
        while partial.read(&mut *reading, needs::for_verdict(ask, &partial.state, now)).await? {}
        // Elements that were open when they were fitted may have been on another set.
        let wanted = needs::lots(&partial.state, &ask.unit).into_iter();
        let new: Vec<_> = wanted.filter(|wanted| lots.insert(wanted.clone())).collect();
        if new.is_empty() {
            break;
        }
        for (lot, after) in new {
            partial.add(&mut *reading, Part::RestsOn, &[lot], after.as_microsecond()).await?;
        }
    }
    let named: Vec<Subject> = needs::questions(ask, &partial.state, now)
        .into_iter()
        .flat_map(|one| [Subject::Wearer(one.wearer), Subject::Task(one.task)])
        .collect();
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
