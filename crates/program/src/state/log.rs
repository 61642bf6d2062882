use std::sync::{Arc, OnceLock};

use jiff::Timestamp;

use crate::entry::Entry;
use crate::ids::EntryId;

/// Something that entries are folded into.
pub(super) trait Thing: Sized {
    /// The thing as `entry` first makes it known; none for an entry that only adds to it.
    fn begin(entry: &Entry) -> Option<Self>;

    /// Adds one entry; they come in the order of time, the one that began the thing among them.
    fn add(&mut self, entry: &Entry);
}

/// Every entry, and whether it counts or was corrected.
#[derive(Debug, Default, Clone)]
pub(super) struct Slots(Vec<(Arc<Entry>, bool)>);

impl Slots {
    pub(super) fn push(&mut self, entry: Arc<Entry>) -> usize {
        self.0.push((entry, true));
        self.0.len() - 1
    }

    pub(super) fn len(&self) -> usize {
        self.0.len()
    }

    pub(super) fn entries(&self) -> impl Iterator<Item = &Entry> {
        self.0.iter().map(|(entry, _)| &**entry)
    }

    pub(super) fn entry(&self, slot: usize) -> Option<&Entry> {
        self.0.get(slot).map(|(entry, _)| &**entry)
    }

    pub(super) fn counts(&self, slot: usize) -> bool {
        self.0.get(slot).is_some_and(|(_, counts)| *counts)
    }

    /// Tells whether that changed anything.
    pub(super) fn set_counts(&mut self, slot: usize, counts: bool) -> bool {
        match self.0.get_mut(slot) {
            Some((_, before)) if *before != counts => {
                *before = counts;
                true
            }
            _ => false,
        }
    }

    pub(super) fn replace(&mut self, slot: usize, entry: Entry) {
        if let Some(kept) = self.0.get_mut(slot) {
            *kept = (Arc::new(entry), true);
        }
    }

    fn key(&self, slot: usize) -> Option<(Timestamp, Timestamp, &EntryId)> {
        self.entry(slot).map(|entry| (entry.happened, entry.entered, &entry.id))
    }
}

/// The entries about one thing, and the thing they fold into once somebody asks.
#[derive(Debug, Clone)]
pub(super) struct Log<T> {
    arrived: Vec<usize>,
    // Apart, so that the logs of many things are moved cheaply.
    folded: OnceLock<Box<Folded<T>>>,
}

#[derive(Debug, Clone)]
struct Folded<T> {
    order: Vec<usize>,
    thing: Option<T>,
}

impl<T> Default for Log<T> {
    fn default() -> Self {
        Self { arrived: Vec::new(), folded: OnceLock::new() }
    }
}

impl<T: Thing> Log<T> {
    pub(super) fn add(&mut self, slot: usize, slots: &Slots) {
        self.arrived.push(slot);
        let Some(entry) = slots.entry(slot) else { return };
        let Some(folded) = self.folded.get_mut() else { return };
        let last = folded.order.last().and_then(|last| slots.key(*last));
        if T::begin(entry).is_some() || slots.key(slot) < last {
            self.refold();
            return;
        }
        folded.order.push(slot);
        if let Some(thing) = folded.thing.as_mut().filter(|_| slots.counts(slot)) {
            thing.add(entry);
        }
    }

    pub(super) fn remove(&mut self, slot: usize) {
        self.arrived.retain(|kept| *kept != slot);
        self.refold();
    }

    /// Forgets the fold; the next look folds again.
    pub(super) fn refold(&mut self) {
        self.folded.take();
    }

    pub(super) fn thing<'s>(&'s self, slots: &'s Slots) -> Option<&'s T> {
        self.folded(slots).thing.as_ref()
    }

    /// The entries in the order (happened, entered, id), also those that no longer count.
    pub(super) fn order<'s>(&'s self, slots: &'s Slots) -> &'s [usize] {
        &self.folded(slots).order
    }

    fn folded<'s>(&'s self, slots: &'s Slots) -> &'s Folded<T> {
        self.folded.get_or_init(|| {
            let mut order = self.arrived.clone();
            order.sort_by_key(|slot| slots.key(*slot));
            let counted = || order.iter().filter(|slot| slots.counts(**slot));
            let entries = || counted().filter_map(|slot| slots.entry(*slot));
            let mut thing = entries().rev().find_map(T::begin);
            if let Some(thing) = &mut thing {
                entries().for_each(|entry| thing.add(entry));
            }
            Box::new(Folded { order, thing })
        })
    }
}
