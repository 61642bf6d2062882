//! What is so, as far as it was entered: entries folded into sites, models, sets, wearers, tasks.
//!
//! INVARIANT (order of arrival): the state depends on which entries arrived, never on the order in
//! which they did. Each thing keeps the entries about it, and is folded from them in the order
//! (happened, entered, id); whatever arrives out of that order makes the thing fold again when it
//! is next looked at.

mod alike;
mod contradiction;
mod correction;
mod cylinder;
mod elements;
mod group;
mod impossible;
mod instrument;
mod listed;
mod listing;
mod log;
mod look;
mod person;
mod place;
mod rests_on;
mod site;
mod storage;
mod subjects;
mod supply;
mod task;
mod unit;
mod watch;
mod wearer;

use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::sync::Arc;

use foldhash::fast::RandomState;

use crate::entry::Entry;
use crate::ids::{
    CylinderId, ElementTypeId, EntryId, GroupId, InstrumentId, ModelId, PersonId, PlaceId, SiteId,
    StockId, SupplyId, TaskId, UnitId,
};

pub use contradiction::Contradiction;
pub use cylinder::{Cylinder, Filling, Requalified};
pub use elements::{Carried, FittedElements, Stint};
pub(crate) use elements::{Elsewhere, earliest_of_the_same_seal, were_open};
pub use group::{Group, Measured};
pub use instrument::{Calibrated, Instrument};
pub use listed::Listed;
pub use listing::{ElementType, Instructions, Model};
pub use person::{Person, RoleHeld};
pub(crate) use place::Samples;
pub use site::{Action, Consulted, Noted, Policy, Shown, Site, Written};
pub use storage::{Stock, StoragePlace};
pub use subjects::{Part, Subject};
pub use supply::{AirSample, AlarmCheck, BedChange, Look, MonoxideTest, Supply};
pub use task::{AdoptedSchedule, Found, Reading, ReuseAcceptance, Task};
pub use unit::{
    AirTested, BatteryCheck, Checklist, CylinderReading, Disinfection, DoubtfullyDisinfected,
    FlowCheck, Happening, Inspection, Reason, Release, Repair, RepairTest, SealChecked, Sensed,
    Unit,
};
pub use watch::{Posting, Watch};
pub use wearer::{ClearanceRecord, FitTest, Informed, Training, Wearer};

use alike::Alike;
use correction::Corrections;
use log::{Log, Slots};
use rests_on::Question;
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
    by_id: HashMap<EntryId, usize, RandomState>,
    corrections: Corrections,
    /// Ids under which two different entries arrived.
    reused: BTreeSet<EntryId>,
    /// The ids of the things of a kind that look alike.
    alike: Alike,
    sites: BTreeMap<SiteId, Log<Site>>,
    models: BTreeMap<ModelId, Log<Model>>,
    element_types: BTreeMap<ElementTypeId, Log<ElementType>>,
    units: BTreeMap<UnitId, Log<Unit>>,
    wearers: BTreeMap<PersonId, Log<Wearer>>,
    people: BTreeMap<PersonId, Log<Person>>,
    tasks: BTreeMap<TaskId, Log<Task>>,
    cylinders: BTreeMap<CylinderId, Log<Cylinder>>,
    supplies: BTreeMap<SupplyId, Log<Supply>>,
    places: BTreeMap<PlaceId, Log<StoragePlace>>,
    stocks: BTreeMap<StockId, Log<Stock>>,
    groups: BTreeMap<GroupId, Log<Group>>,
    watches: BTreeMap<String, Log<Watch>>,
    instruments: BTreeMap<InstrumentId, Log<Instrument>>,
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
        self.take(entry.clone());
    }

    /// The same as [`Self::apply`] for an entry that nobody else needs.
    pub fn take(&mut self, entry: Entry) {
        self.share(Arc::new(entry));
    }

    /// The same as [`Self::apply`] for an entry that many states keep.
    pub fn share(&mut self, entry: Arc<Entry>) {
        match self.by_id.get(&entry.id) {
            Some(&slot) => self.meet_again(slot, &entry),
            None => {
                let slot = self.slots.push(Arc::clone(&entry));
                self.by_id.insert(entry.id.clone(), slot);
                self.attach(slot, &entry);
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

    /// Everything but models and kinds of elements of which anything was entered, and every set of
    /// entries about whose corrections there is doubt.
    pub fn subjects(&self) -> impl Iterator<Item = Subject> {
        let units = self.units.keys().cloned().map(Subject::Unit);
        let wearers = self.wearers.keys().cloned().map(Subject::Wearer);
        let tasks = self.tasks.keys().cloned().map(Subject::Task);
        let sites = self.sites.keys().cloned().map(Subject::Site);
        let people = self.people.keys().cloned().map(Subject::Person);
        let cylinders = self.cylinders.keys().cloned().map(Subject::Cylinder);
        let supplies = self.supplies.keys().cloned().map(Subject::Supply);
        let places = self.places.keys().cloned().map(Subject::Place);
        let stocks = self.stocks.keys().cloned().map(Subject::Stock);
        let groups = self.groups.keys().cloned().map(Subject::Group);
        let watches = self.watches.keys().cloned().map(Subject::Watch);
        let instruments = self.instruments.keys().cloned().map(Subject::Instrument);
        let doubts = self.corrections.in_doubt().map(|(root, _)| root).chain(&self.reused);
        let doubts: BTreeSet<EntryId> = doubts.cloned().collect();
        let worn = units.chain(wearers).chain(tasks);
        let kept = sites.chain(people).chain(cylinders).chain(supplies);
        let kept = kept.chain(places).chain(stocks).chain(groups).chain(watches).chain(instruments);
        worn.chain(kept).chain(doubts.into_iter().map(Subject::Correction))
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
            // Who has a part is known by it; who was only trained is asked about as a wearer.
            Subject::Person(_) => true,
            Subject::Cylinder(id) => self.cylinder(id).is_some(),
            Subject::Supply(id) => self.supply(id).is_some(),
            Subject::Place(id) => self.storage_place(id).is_some(),
            Subject::Stock(id) => self.stock(id).is_some(),
            Subject::Group(id) => self.group(id).is_some(),
            Subject::Instrument(id) => self.instrument(id).is_some(),
            Subject::Lot(_) | Subject::Watch(_) | Subject::Correction(_) => true,
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

    /// The entries that correct each other with `entry`, itself among them; none where nothing does.
    pub(crate) fn correcting(&self, entry: &Entry) -> Vec<&Entry> {
        let tree = self.corrections.with(entry, &self.slots, &self.by_id);
        tree.into_iter().filter_map(|slot| self.slots.entry(slot)).collect()
    }

    /// Whether anything that is folded into a thing corrects or was corrected; of a site, its calendar or its
    /// policy.
    pub(crate) fn was_corrected(&self, thing: &Subject) -> bool {
        self.corrections.touch(thing)
    }

    /// Whether nothing of what was entered corrects anything.
    pub(crate) fn is_uncorrected(&self) -> bool {
        self.corrections.is_empty()
    }

    /// The entry that counts in the place of the one with this id: itself, or what puts it right at last.
    #[must_use]
    pub fn in_place_of(&self, id: &EntryId) -> Option<&Entry> {
        let slot = *self.by_id.get(id)?;
        self.slots.entry(self.corrections.winner(slot, &self.slots, &self.by_id))
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

    /// Entries about the wearer, the set or the task, or about what an answer rests on beside them,
    /// that happened after `instant` and count, each once, the last first.
    pub(crate) fn after(
        &self,
        instant: jiff::Timestamp,
        wearer: &PersonId,
        unit: &UnitId,
        task: &TaskId,
    ) -> Vec<&Entry> {
        Question::of(self, (wearer, unit, task)).after(self, instant)
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
        self.each_log(entry, Act::Add(slot));
        if self.corrections.learn(entry, slot) {
            let target = entry.corrects.as_ref().and_then(|id| self.by_id.get(id));
            let target = target.and_then(|slot| self.slots.entry(*slot));
            target.into_iter().chain([entry]).for_each(|one| self.corrections.note(one));
            self.settle(entry);
        }
    }

    fn detach(&mut self, slot: usize) {
        let Some(entry) = self.slots.entry(slot).cloned() else { return };
        self.each_log(&entry, Act::Remove(slot));
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
            let Some(entry) = self.slots.entry(slot).cloned() else { continue };
            self.each_log(&entry, Act::Refold);
        }
    }

    /// Does `act` to the log of each thing that `entry` is about.
    fn each_log(&mut self, entry: &Entry, act: Act) {
        let (slots, about) = (&self.slots, Subjects::of(entry));
        let alike = &mut self.alike;
        act.on(&mut self.sites, about.site, slots, (Subject::Site, alike));
        act.on(&mut self.models, about.model, slots, (Subject::Model, alike));
        act.on(&mut self.element_types, about.element_type, slots, (Subject::ElementType, alike));
        act.on(&mut self.units, about.unit, slots, (Subject::Unit, alike));
        act.on(&mut self.wearers, about.wearer, slots, (Subject::Wearer, alike));
        act.on(&mut self.people, about.person, slots, (Subject::Person, alike));
        act.on(&mut self.tasks, about.task, slots, (Subject::Task, alike));
        act.on(&mut self.cylinders, about.cylinder, slots, (Subject::Cylinder, alike));
        act.on(&mut self.supplies, about.supply, slots, (Subject::Supply, alike));
        act.on(&mut self.places, about.place, slots, (Subject::Place, alike));
        act.on(&mut self.stocks, about.stock, slots, (Subject::Stock, alike));
        act.on(&mut self.groups, about.group, slots, (Subject::Group, alike));
        act.on(&mut self.watches, entry.watch().as_ref(), slots, (Subject::Watch, alike));
        let (people, sets) = entry.posted();
        for id in people {
            act.on(&mut self.wearers, Some(id), slots, (Subject::Wearer, alike));
        }
        for id in sets {
            act.on(&mut self.units, Some(id), slots, (Subject::Unit, alike));
        }
        act.on(&mut self.instruments, about.instrument, slots, (Subject::Instrument, alike));
    }
}

/// What is done to the log of a thing.
#[derive(Clone, Copy)]
enum Act {
    Add(usize),
    Remove(usize),
    Refold,
}

impl Act {
    fn on<K: Ord + Clone, T: log::Thing>(
        self,
        logs: &mut BTreeMap<K, Log<T>>,
        id: Option<&K>,
        slots: &Slots,
        (thing, alike): (fn(K) -> Subject, &mut Alike),
    ) {
        let Some(id) = id else { return };
        match (self, logs.get_mut(id)) {
            (Self::Add(slot), Some(log)) => log.add(slot, slots),
            (Self::Add(slot), None) => {
                let mut log = Log::default();
                log.add(slot, slots);
                logs.insert(id.clone(), log);
                alike.note(thing(id.clone()));
            }
            (Self::Remove(slot), Some(log)) => log.remove(slot),
            (Self::Refold, Some(log)) => log.refold(),
            (Self::Remove(_) | Self::Refold, None) => {}
        }
    }
}
