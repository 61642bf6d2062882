//! Deriving what is not derived yet.

use std::collections::BTreeSet;

use program::due::{DERIVATION, DueKind};
use program::{Entry, EntryId, Fact, Part, Subject};

use super::about::{self, Bond, Trees};
use super::{Derived, Through, anew, derive, load};
use crate::store::{ReadError, Store, Writing};

/// Derives what follows from entries that came since. Several processes may do it at once: the
/// later ones find it done.
pub(crate) async fn catch_up<S: Store>(store: &S) -> Result<(), ReadError> {
    if store.is_derived(&derivation()).await? {
        return Ok(());
    }
    let mut writing = store.begin().await?;
    let anew = advance(writing.connection()).await?;
    writing.commit().await?;
    if anew {
        store.tidy().await;
    }
    Ok(())
}

/// Whether everything is derived up to the last entry.
pub(crate) async fn is_derived<S: Store>(store: &S) -> Result<bool, ReadError> {
    Ok(store.is_derived(&derivation()).await?)
}

/// Derives everything again and puts right what stands otherwise; gives the number of entries.
pub(crate) async fn rebuild<S: Store>(store: &S) -> Result<u64, ReadError> {
    let mut writing = store.begin().await?;
    let last = writing.connection().last().await?;
    let through = writing.connection().through().await?;
    let stands = through.is_some_and(|one| one.derived == derivation());
    let done = anew::derive(writing.connection(), stands).await?;
    note(writing.connection(), last).await?;
    writing.commit().await?;
    if done.changed {
        store.tidy().await;
    }
    Ok(done.entries)
}

/// By which rules it is derived: what is noted under another name is derived anew.
fn derivation() -> String {
    format!("{DERIVATION} of {} kinds", DueKind::ALL.len())
}

/// Derives up to the last entry; tells whether everything was derived anew.
async fn advance<C: Derived>(connection: &mut C) -> Result<bool, ReadError> {
    let last = connection.last().await?;
    let through = connection.through().await?;
    let start = through.filter(|one| one.derived == derivation()).map_or(0, |one| one.position);
    let new = if start == 0 { None } else { Some(New::index(connection, start).await?) };
    let anew = match new {
        Some(mut new) if !new.change_a_site => {
            new.add_dependents(connection).await?;
            derive::derive(connection, &new.things).await?;
            false
        }
        _ => {
            anew::derive(connection, false).await?;
            true
        }
    };
    note(connection, last).await?;
    Ok(anew)
}

/// Notes that everything is derived up to this position.
async fn note<C: Derived>(connection: &mut C, position: i64) -> Result<(), ReadError> {
    Ok(connection.set_through(&Through { position, derived: derivation() }).await?)
}

/// What the new entries touch.
#[derive(Default)]
struct New {
    things: BTreeSet<Subject>,
    /// Those of them that an entry is folded into.
    changed: BTreeSet<Subject>,
    /// Tasks whose change schedules changed: the elements worn in them are judged by these.
    schedules: BTreeSet<Subject>,
    /// Entries that correct another, or that an earlier one corrects.
    correcting: BTreeSet<EntryId>,
    change_a_site: bool,
}

impl New {
    /// Indexes every entry after position `start`.
    async fn index<C: Derived>(connection: &mut C, start: i64) -> Result<Self, ReadError> {
        let mut new = Self::default();
        let mut after = start;
        loop {
            let page = connection.entries_after(after).await?;
            let Some(last) = page.last() else { break };
            after = last;
            let (mut ids, mut bonds) = (Vec::new(), Vec::new());
            for kept in page.kept() {
                let kept = kept?;
                let (seq, entry) = kept.read()?;
                new.change_a_site |= seq > 1 && entry.changes_the_site();
                new.schedules.extend(schedule(&entry));
                let subjects = entry.subjects();
                bonds.extend(Bond::of(kept.position, &entry, &subjects));
                for (part, thing) in subjects {
                    if part == Part::Folded {
                        new.changed.insert(thing.clone());
                    }
                    if part != Part::RestsOn {
                        new.things.insert(thing);
                    }
                }
                if entry.corrects.is_some() {
                    new.correcting.insert(entry.id.clone());
                }
                ids.push(entry.id);
            }
            new.find_awaited(connection, ids).await?;
            bonds.sort_unstable();
            connection.add_about(&about::pieces(&bonds)).await?;
        }
        new.add_trees(connection).await?;
        Ok(new)
    }

    /// Notes the entries that one which came before them corrects.
    async fn find_awaited<C: Derived>(
        &mut self,
        connection: &mut C,
        ids: Vec<EntryId>,
    ) -> Result<(), ReadError> {
        let number = |id: &EntryId| about::number(Part::Folded, &Subject::Correction(id.clone()));
        let numbers: Vec<i64> = ids.iter().map(number).collect();
        let known = connection.known(&numbers).await?;
        self.correcting.extend(ids.into_iter().filter(|id| known.contains(&number(id))));
        Ok(())
    }

    async fn add_trees<C: Derived>(&mut self, connection: &mut C) -> Result<(), ReadError> {
        let trees = Trees::of(connection, std::mem::take(&mut self.correcting)).await?;
        self.change_a_site |= trees.change_a_site();
        self.schedules.extend(trees.entries().filter_map(schedule));
        let things = trees.bound().into_keys();
        for thing in things {
            self.changed.insert(thing.clone());
            self.things.insert(thing);
        }
        Ok(connection.add_about(&trees.pieces()).await?)
    }

    /// Adds the things that are judged by one that changed: the sets of a model, what a person
    /// released, the elements worn in a task; and the sets of a cylinder that is judged by the supply that
    /// filled it, the wearers of a model that is judged by the elements it names.
    async fn add_dependents<C: Derived>(&mut self, connection: &mut C) -> Result<(), ReadError> {
        let rests_on = |thing: &Subject| about::number(Part::RestsOn, thing);
        let mut numbers: Vec<i64> = self.changed.iter().map(rests_on).collect();
        numbers.extend(self.schedules.iter().map(|task| about::number(Part::Named, task)));
        let mut judged = judged_by(connection, &numbers).await?;
        let leads_on = |thing: &&Subject| matches!(thing, Subject::Cylinder(_) | Subject::Model(_));
        let leading: Vec<i64> = judged.iter().filter(leads_on).map(rests_on).collect();
        judged.extend(judged_by(connection, &leading).await?);
        self.things.append(&mut judged);
        Ok(())
    }
}

/// The things that are judged by what has these numbers.
async fn judged_by<C: Derived>(
    connection: &mut C,
    numbers: &[i64],
) -> Result<BTreeSet<Subject>, ReadError> {
    let mut judged = BTreeSet::new();
    if numbers.is_empty() {
        return Ok(judged);
    }
    let (mut after, mut correcting) = (i64::MIN, BTreeSet::new());
    loop {
        let page = connection.entries_about(numbers, i64::MIN, after).await?;
        let Some(last) = page.last() else { break };
        after = last;
        for entry in load::read(&[page])? {
            let folded = entry.subjects().into_iter().filter(|(part, _)| *part == Part::Folded);
            judged.extend(folded.map(|(_, thing)| thing));
            // What an entry took out of service is judged by who corrected it, on another set too.
            correcting.extend(entry.corrects.is_some().then_some(entry.id));
        }
    }
    let trees = Trees::of(connection, correcting).await?;
    judged.extend(trees.bound().into_keys());
    Ok(judged)
}

/// The task whose change schedule an entry adopts.
fn schedule(entry: &Entry) -> Option<Subject> {
    match &entry.fact {
        Fact::ScheduleAdopted { task, .. } => Some(Subject::Task(task.clone())),
        _ => None,
    }
}
