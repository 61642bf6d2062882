//! What is so, as far as it was entered: entries folded into sites, models, sets, wearers, tasks.
//!
//! INVARIANT (order of arrival): the state depends on which entries arrived, never on the order in
//! which they did. Each thing keeps the entries about it, and is folded from them in the order
//! (happened, entered, id); whatever arrives out of that order makes the thing fold again when it
//! is next looked at.

mod contradiction;
mod correction;
mod elements;
mod listing;
mod log;
mod place;
mod subjects;
mod task;
mod unit;
mod wearer;

use std::collections::{BTreeMap, BTreeSet, HashMap};

use crate::entry::Entry;
use crate::ids::{ElementTypeId, EntryId, ModelId, PersonId, SiteId, TaskId, UnitId};

pub use contradiction::Contradiction;
pub use elements::{FittedElements, Stint};
pub use listing::{ElementType, Model, Site};
pub use subjects::{Part, Subject};
pub use task::{AdoptedSchedule, Found, Reading, Task};
pub use unit::{
    AirTested, CylinderReading, Disinfection, FlowCheck, Happening, Inspection, Reason, Sensed,
    Unit,
};
pub use wearer::{ClearanceRecord, FitTest, Training, Wearer};

use correction::Corrections;
use log::{Log, Slots};
use subjects::Subjects;

/// Where and when a fact stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct At {
    /// The entry.
    pub entry: EntryId,
    /// When it happened.
    pub when: jiff::Timestamp,
    /// Its place in the fold of its thing: of two facts about one thing, the higher came later.
    pub step: u32,
}

/// Everything that was entered, folded into things.
///
/// `apply` keeps an entry and marks what it touches; a thing is folded when it is looked at, and
/// entries that arrive in order are then added to it without folding again.
#[derive(Debug, Default, Clone)]
pub struct State {
    slots: Slots,
    by_id: HashMap<EntryId, usize>,
    corrections: Corrections,
    /// Ids under which two different entries arrived.
    reused: BTreeSet<EntryId>,
    sites: BTreeMap<SiteId, Log<Site>>,
    models: BTreeMap<ModelId, Log<Model>>,
    element_types: BTreeMap<ElementTypeId, Log<ElementType>>,
    units: BTreeMap<UnitId, Log<Unit>>,
    wearers: BTreeMap<PersonId, Log<Wearer>>,
    tasks: BTreeMap<TaskId, Log<Task>>,
}

impl State {
    /// The state of all `entries`, in whatever order they come.
    pub fn from_entries<'e>(entries: impl IntoIterator<Item = &'e Entry>) -> Self {
        let mut state = Self::default();
        for entry in entries {
            state.apply(entry);
        }
        state
    }

    /// Adds `entry`. The same entry a second time adds nothing; another entry under an id already
    /// used is a contradiction, and the earlier of the two counts.
    pub fn apply(&mut self, entry: &Entry) {
        match self.by_id.get(&entry.id) {
            Some(&slot) => self.meet_again(slot, entry),
            None => {
                let slot = self.slots.push(entry.clone());
                self.by_id.insert(entry.id.clone(), slot);
                self.attach(slot, entry);
            }
        }
    }

    /// How many entries are kept.
    #[must_use]
    pub fn len(&self) -> usize {
        self.slots.len()
    }

    /// Whether nothing was entered yet.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.slots.len() == 0
    }

    /// Every entry, in the order of arrival.
    pub fn entries(&self) -> impl Iterator<Item = &Entry> {
        self.slots.entries()
    }

    /// Every set, wearer and task of which anything was entered, and every set of entries about
    /// whose corrections there is doubt.
    pub fn subjects(&self) -> impl Iterator<Item = Subject> {
        let units = self.units.keys().cloned().map(Subject::Unit);
        let wearers = self.wearers.keys().cloned().map(Subject::Wearer);
        let tasks = self.tasks.keys().cloned().map(Subject::Task);
        let doubts = self.corrections.in_doubt().map(|(root, _)| root).chain(&self.reused);
        let doubts: BTreeSet<EntryId> = doubts.cloned().collect();
        units.chain(wearers).chain(tasks).chain(doubts.into_iter().map(Subject::Correction))
    }

    /// Whether the entry that makes a thing known is here.
    #[must_use]
    pub fn knows(&self, thing: &Subject) -> bool {
        match thing {
            Subject::Site(id) => self.site(id).is_some(),
            Subject::Model(id) => self.model(id).is_some(),
            Subject::ElementType(id) => self.element_type(id).is_some(),
            Subject::Unit(id) => self.unit(id).is_some(),
            Subject::Wearer(id) => self.wearer(id).is_some(),
            Subject::Task(id) => self.task(id).is_some(),
            Subject::Correction(_) => true,
        }
    }

    /// The entries of each set of entries that correct each other.
    #[must_use]
    pub fn corrections(&self) -> Vec<Vec<&Entry>> {
        let trees = self.corrections.trees(&self.slots, &self.by_id);
        let entries =
            |tree: Vec<usize>| tree.into_iter().filter_map(|slot| self.slots.entry(slot)).collect();
        trees.into_iter().map(entries).collect()
    }

    /// The entry with this id.
    #[must_use]
    pub fn entry(&self, id: &EntryId) -> Option<&Entry> {
        self.slots.entry(*self.by_id.get(id)?)
    }

    /// The entry that counts in place of the one with this id, where it was corrected.
    #[must_use]
    pub fn counted_instead_of(&self, id: &EntryId) -> Option<&Entry> {
        let slot = *self.by_id.get(id)?;
        if self.slots.counts(slot) {
            return None;
        }
        let winner = self.corrections.winner(slot, &self.slots, &self.by_id);
        self.slots.entry(winner)
    }

    /// The site, once it was opened.
    #[must_use]
    pub fn site(&self, id: &SiteId) -> Option<&Site> {
        self.sites.get(id)?.thing(&self.slots)
    }

    /// The model, once it was listed.
    #[must_use]
    pub fn model(&self, id: &ModelId) -> Option<&Model> {
        self.models.get(id)?.thing(&self.slots)
    }

    /// The kind of element, once it was listed.
    #[must_use]
    pub fn element_type(&self, id: &ElementTypeId) -> Option<&ElementType> {
        self.element_types.get(id)?.thing(&self.slots)
    }

    /// The set, once it was received.
    #[must_use]
    pub fn unit(&self, id: &UnitId) -> Option<&Unit> {
        self.units.get(id)?.thing(&self.slots)
    }

    /// The wearer, once enrolled.
    #[must_use]
    pub fn wearer(&self, id: &PersonId) -> Option<&Wearer> {
        self.wearers.get(id)?.thing(&self.slots)
    }

    /// The task, once it was described.
    #[must_use]
    pub fn task(&self, id: &TaskId) -> Option<&Task> {
        self.tasks.get(id)?.thing(&self.slots)
    }

    /// Every opened site.
    pub fn sites(&self) -> impl Iterator<Item = (&SiteId, &Site)> {
        things(&self.sites, &self.slots)
    }

    /// Every listed model.
    pub fn models(&self) -> impl Iterator<Item = (&ModelId, &Model)> {
        things(&self.models, &self.slots)
    }

    /// Every listed kind of element.
    pub fn element_types(&self) -> impl Iterator<Item = (&ElementTypeId, &ElementType)> {
        things(&self.element_types, &self.slots)
    }

    /// Every received set.
    pub fn units(&self) -> impl Iterator<Item = (&UnitId, &Unit)> {
        things(&self.units, &self.slots)
    }

    /// Every enrolled wearer.
    pub fn wearers(&self) -> impl Iterator<Item = (&PersonId, &Wearer)> {
        things(&self.wearers, &self.slots)
    }

    /// Every described task.
    pub fn tasks(&self) -> impl Iterator<Item = (&TaskId, &Task)> {
        things(&self.tasks, &self.slots)
    }

    /// Every entry about the set in the order of time, also what was corrected.
    pub fn history_of_unit(&self, id: &UnitId) -> impl DoubleEndedIterator<Item = &Entry> {
        history(self.units.get(id), &self.slots)
    }

    /// Every entry about the wearer in the order of time, also what was corrected.
    pub fn history_of_wearer(&self, id: &PersonId) -> impl DoubleEndedIterator<Item = &Entry> {
        history(self.wearers.get(id), &self.slots)
    }

    /// Every entry about the task in the order of time, also what was corrected.
    pub fn history_of_task(&self, id: &TaskId) -> impl DoubleEndedIterator<Item = &Entry> {
        history(self.tasks.get(id), &self.slots)
    }

    /// Entries about the wearer, the set or the task that happened after `instant` and count, each
    /// once, the last first.
    pub(crate) fn after(
        &self,
        instant: jiff::Timestamp,
        wearer: &PersonId,
        unit: &UnitId,
        task: &TaskId,
    ) -> Vec<&Entry> {
        let later = |entry: &&Entry| instant < entry.happened;
        let of_wearer = self.history_of_wearer(wearer).rev().take_while(later);
        let of_unit = self.history_of_unit(unit).rev().take_while(later);
        let of_task = self.history_of_task(task).rev().take_while(later);
        let mut all: Vec<&Entry> = of_wearer.chain(of_unit).chain(of_task).collect();
        all.retain(|entry| self.counts(&entry.id));
        all.sort_by_key(|entry| (std::cmp::Reverse(entry.happened), &entry.id));
        all.dedup_by_key(|entry| &entry.id);
        all
    }

    /// A different entry arrived under an id already used. Which of the two counts must not depend
    /// on which came first: it is the one that is smaller by time and then by its content.
    fn meet_again(&mut self, slot: usize, entry: &Entry) {
        let rank = |entry: &Entry| (entry.happened, entry.entered, format!("{entry:?}"));
        let Some(kept) = self.slots.entry(slot) else { return };
        if kept == entry {
            return;
        }
        let smaller = rank(entry) < rank(kept);
        self.reused.insert(entry.id.clone());
        if smaller {
            self.detach(slot);
            self.slots.replace(slot, entry.clone());
            self.attach(slot, entry);
        }
    }

    fn attach(&mut self, slot: usize, entry: &Entry) {
        let slots = &self.slots;
        let about = Subjects::of(entry);
        add(&mut self.sites, about.site, slot, slots);
        add(&mut self.models, about.model, slot, slots);
        add(&mut self.element_types, about.element_type, slot, slots);
        add(&mut self.units, about.unit, slot, slots);
        add(&mut self.wearers, about.wearer, slot, slots);
        add(&mut self.tasks, about.task, slot, slots);
        if self.corrections.learn(entry, slot) {
            self.settle(entry);
        }
    }

    fn detach(&mut self, slot: usize) {
        let Some(entry) = self.slots.entry(slot).cloned() else { return };
        let about = Subjects::of(&entry);
        remove(&mut self.sites, about.site, slot);
        remove(&mut self.models, about.model, slot);
        remove(&mut self.element_types, about.element_type, slot);
        remove(&mut self.units, about.unit, slot);
        remove(&mut self.wearers, about.wearer, slot);
        remove(&mut self.tasks, about.task, slot);
        if let Some(target) = &entry.corrects {
            self.corrections.forget(target, slot);
            let freed = self.by_id.get(target).and_then(|slot| self.slots.entry(*slot)).cloned();
            if let Some(freed) = freed {
                self.settle(&freed);
            }
        }
    }

    /// Decides anew which entry counts among those that correct each other.
    fn settle(&mut self, entry: &Entry) {
        for slot in self.corrections.settle(entry, &mut self.slots, &self.by_id) {
            let Some(entry) = self.slots.entry(slot) else { continue };
            let about = Subjects::of(entry);
            refold(&mut self.sites, about.site);
            refold(&mut self.models, about.model);
            refold(&mut self.element_types, about.element_type);
            refold(&mut self.units, about.unit);
            refold(&mut self.wearers, about.wearer);
            refold(&mut self.tasks, about.task);
        }
    }
}

fn add<K: Ord + Clone, T: log::Thing>(
    logs: &mut BTreeMap<K, Log<T>>,
    id: Option<&K>,
    slot: usize,
    slots: &Slots,
) {
    let Some(id) = id else { return };
    if let Some(log) = logs.get_mut(id) {
        log.add(slot, slots);
    } else {
        let mut log = Log::default();
        log.add(slot, slots);
        logs.insert(id.clone(), log);
    }
}

fn remove<K: Ord, T: log::Thing>(logs: &mut BTreeMap<K, Log<T>>, id: Option<&K>, slot: usize) {
    if let Some(log) = id.and_then(|id| logs.get_mut(id)) {
        log.remove(slot);
    }
}

fn refold<K: Ord, T: log::Thing>(logs: &mut BTreeMap<K, Log<T>>, id: Option<&K>) {
    if let Some(log) = id.and_then(|id| logs.get_mut(id)) {
        log.refold();
    }
}

fn things<'s, K: Ord, T: log::Thing>(
    logs: &'s BTreeMap<K, Log<T>>,
    slots: &'s Slots,
) -> impl Iterator<Item = (&'s K, &'s T)> {
    logs.iter().filter_map(|(id, log)| Some((id, log.thing(slots)?)))
}

fn history<'s, T: log::Thing>(
    log: Option<&'s Log<T>>,
    slots: &'s Slots,
) -> impl DoubleEndedIterator<Item = &'s Entry> {
    let order = log.map(|log| log.order(slots)).unwrap_or_default();
    order.iter().filter_map(|slot| slots.entry(*slot))
}
