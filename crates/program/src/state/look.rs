//! Looking at things and at what happened to them.

use std::collections::BTreeMap;

use super::log::{self, Log, Slots};
use super::{
    Cylinder, ElementType, Group, Instrument, Model, Person, Site, State, Stock, StoragePlace,
    Subject, Supply, Task, Unit, Watch, Wearer,
};
use crate::entry::Entry;
use crate::ids::{
    CylinderId, ElementTypeId, GroupId, InstrumentId, ModelId, PersonId, PlaceId, SiteId, StockId,
    SupplyId, TaskId, UnitId,
};

impl State {
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

    /// The person, once given a part in the program.
    #[must_use]
    pub fn person(&self, id: &PersonId) -> Option<&Person> {
        self.people.get(id)?.thing(&self.slots)
    }

    /// The cylinder, once it was listed.
    #[must_use]
    pub fn cylinder(&self, id: &CylinderId) -> Option<&Cylinder> {
        self.cylinders.get(id)?.thing(&self.slots)
    }

    /// The supply of air, once it was listed.
    #[must_use]
    pub fn supply(&self, id: &SupplyId) -> Option<&Supply> {
        self.supplies.get(id)?.thing(&self.slots)
    }

    /// The place, once it was listed.
    #[must_use]
    pub fn storage_place(&self, id: &PlaceId) -> Option<&StoragePlace> {
        self.places.get(id)?.thing(&self.slots)
    }

    /// The box, once it came in.
    #[must_use]
    pub fn stock(&self, id: &StockId) -> Option<&Stock> {
        self.stocks.get(id)?.thing(&self.slots)
    }

    /// The exposure group, once it was described.
    #[must_use]
    pub fn group(&self, id: &GroupId) -> Option<&Group> {
        self.groups.get(id)?.thing(&self.slots)
    }

    /// Who stands by on a day of universal time, where anything was entered of it.
    #[must_use]
    pub fn watch(&self, day: &str) -> Option<&Watch> {
        self.watches.get(day)?.thing(&self.slots)
    }

    /// The instrument for fit tests, once it was listed.
    #[must_use]
    pub fn instrument(&self, id: &InstrumentId) -> Option<&Instrument> {
        self.instruments.get(id)?.thing(&self.slots)
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

    /// Everyone with a part in the program, or who had one.
    pub fn people(&self) -> impl Iterator<Item = (&PersonId, &Person)> {
        things(&self.people, &self.slots)
    }

    /// Every listed cylinder.
    pub fn cylinders(&self) -> impl Iterator<Item = (&CylinderId, &Cylinder)> {
        things(&self.cylinders, &self.slots)
    }

    /// Every listed supply of air.
    pub fn supplies(&self) -> impl Iterator<Item = (&SupplyId, &Supply)> {
        things(&self.supplies, &self.slots)
    }

    /// Every listed place of storage.
    pub fn storage_places(&self) -> impl Iterator<Item = (&PlaceId, &StoragePlace)> {
        things(&self.places, &self.slots)
    }

    /// Every box that came in.
    pub fn stocks(&self) -> impl Iterator<Item = (&StockId, &Stock)> {
        things(&self.stocks, &self.slots)
    }

    /// Every exposure group.
    pub fn groups(&self) -> impl Iterator<Item = (&GroupId, &Group)> {
        things(&self.groups, &self.slots)
    }

    /// Every listed instrument for fit tests.
    pub fn instruments(&self) -> impl Iterator<Item = (&InstrumentId, &Instrument)> {
        things(&self.instruments, &self.slots)
    }

    /// Every entry about a thing in the order of time, also what was corrected.
    pub fn history(&self, thing: &Subject) -> impl DoubleEndedIterator<Item = &Entry> {
        self.order_of(thing).iter().filter_map(|slot| self.slots.entry(*slot))
    }

    fn order_of(&self, thing: &Subject) -> &[usize] {
        let slots = &self.slots;
        match thing {
            Subject::Site(id) => order(self.sites.get(id), slots),
            Subject::Model(id) => order(self.models.get(id), slots),
            Subject::ElementType(id) => order(self.element_types.get(id), slots),
            Subject::Unit(id) => order(self.units.get(id), slots),
            Subject::Wearer(id) => order(self.wearers.get(id), slots),
            Subject::Task(id) => order(self.tasks.get(id), slots),
            Subject::Person(id) => order(self.people.get(id), slots),
            Subject::Cylinder(id) => order(self.cylinders.get(id), slots),
            Subject::Supply(id) => order(self.supplies.get(id), slots),
            Subject::Place(id) => order(self.places.get(id), slots),
            Subject::Stock(id) => order(self.stocks.get(id), slots),
            Subject::Group(id) => order(self.groups.get(id), slots),
            Subject::Watch(day) => order(self.watches.get(day), slots),
            Subject::Instrument(id) => order(self.instruments.get(id), slots),
            Subject::Lot(_) | Subject::Correction(_) => &[],
        }
    }

    /// Every entry about the set in the order of time, also what was corrected.
    pub fn history_of_unit(&self, id: &UnitId) -> impl DoubleEndedIterator<Item = &Entry> {
        history(self.units.get(id), &self.slots)
    }

    /// The same, each with whether it counts.
    pub(crate) fn told_of_unit(&self, id: &UnitId) -> impl Iterator<Item = (&Entry, bool)> {
        let slots = &self.slots;
        let told = |slot: &usize| Some((slots.entry(*slot)?, slots.counts(*slot)));
        order(self.units.get(id), slots).iter().filter_map(told)
    }

    /// Every entry about the wearer in the order of time, also what was corrected.
    pub fn history_of_wearer(&self, id: &PersonId) -> impl DoubleEndedIterator<Item = &Entry> {
        history(self.wearers.get(id), &self.slots)
    }

    /// Every entry about the task in the order of time, also what was corrected.
    pub fn history_of_task(&self, id: &TaskId) -> impl DoubleEndedIterator<Item = &Entry> {
        history(self.tasks.get(id), &self.slots)
    }

    /// Every entry about the model in the order of time, also what was corrected.
    pub fn history_of_model(&self, id: &ModelId) -> impl DoubleEndedIterator<Item = &Entry> {
        history(self.models.get(id), &self.slots)
    }

    /// Every entry about the kind of element in the order of time, also what was corrected.
    pub fn history_of_element_type(
        &self,
        id: &ElementTypeId,
    ) -> impl DoubleEndedIterator<Item = &Entry> {
        history(self.element_types.get(id), &self.slots)
    }

    /// Every entry about the site itself in the order of time, also what was corrected.
    pub fn history_of_site(&self, id: &SiteId) -> impl DoubleEndedIterator<Item = &Entry> {
        history(self.sites.get(id), &self.slots)
    }

    /// Every entry about the part of a person in the program in the order of time, also what was
    /// corrected.
    pub fn history_of_person(&self, id: &PersonId) -> impl DoubleEndedIterator<Item = &Entry> {
        history(self.people.get(id), &self.slots)
    }

    /// Every entry about the cylinder in the order of time, also what was corrected.
    pub fn history_of_cylinder(&self, id: &CylinderId) -> impl DoubleEndedIterator<Item = &Entry> {
        history(self.cylinders.get(id), &self.slots)
    }

    /// Every entry about the supply in the order of time, also what was corrected.
    pub fn history_of_supply(&self, id: &SupplyId) -> impl DoubleEndedIterator<Item = &Entry> {
        history(self.supplies.get(id), &self.slots)
    }

    /// Every entry about the place in the order of time, also what was corrected.
    pub fn history_of_place(&self, id: &PlaceId) -> impl DoubleEndedIterator<Item = &Entry> {
        history(self.places.get(id), &self.slots)
    }

    /// Every entry about the box in the order of time, also what was corrected.
    pub fn history_of_stock(&self, id: &StockId) -> impl DoubleEndedIterator<Item = &Entry> {
        history(self.stocks.get(id), &self.slots)
    }

    /// Every entry about the group in the order of time, also what was corrected.
    pub fn history_of_group(&self, id: &GroupId) -> impl DoubleEndedIterator<Item = &Entry> {
        history(self.groups.get(id), &self.slots)
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
    order(log, slots).iter().filter_map(|slot| slots.entry(*slot))
}

fn order<'s, T: log::Thing>(log: Option<&'s Log<T>>, slots: &'s Slots) -> &'s [usize] {
    log.map(|log| log.order(slots)).unwrap_or_default()
}
