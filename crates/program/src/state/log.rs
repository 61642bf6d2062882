use std::cmp::Ordering;
use std::sync::{Arc, OnceLock};

use rulebook::breathing_air::grade_d;
use rulebook::is_blank;

use crate::entry::{AirQuality, Clearance, Entry, Fact, SupplySource};
use crate::supply::judged;

use super::At;
use super::wearer::FitTest;

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

    /// The order of time, by when things happened and when they were entered. Which of two entries of one
    /// and the same instant came last nobody can tell: the one that takes more away counts as the later.
    fn in_time(&self, one: usize, other: usize) -> Ordering {
        let when = |slot| self.entry(slot).map(|entry| (entry.happened, entry.entered));
        let taken = |slot| self.entry(slot).map(takes_away);
        let id = |slot| self.entry(slot).map(|entry| &entry.id);
        let by_time = when(one).cmp(&when(other));
        by_time.then_with(|| taken(one).cmp(&taken(other))).then_with(|| id(one).cmp(&id(other)))
    }
}

/// How much of the leave to wear an entry takes away, as a rank.
fn takes_away(entry: &Entry) -> u8 {
    let bad = |good: bool| u8::from(!good);
    match &entry.fact {
        Fact::ClearanceGiven { clearance, .. } | Fact::ClearanceWritten { clearance, .. } => {
            match clearance {
                Clearance::Cleared => 0,
                Clearance::ClearedFor { .. } => 1,
                Clearance::NotCleared => 2,
            }
        }
        Fact::FitTested { .. } | Fact::FitMeasured { .. } => {
            let test = FitTest::of(&entry.fact, At::first(entry));
            bad(test.is_some_and(|test| test.passed && !test.hair_in_seal))
        }
        Fact::Trained { understood, .. } => bad(*understood),
        Fact::Inspected { passed, .. }
        | Fact::RepairTested { passed, .. }
        | Fact::BatteryChecked { passed, .. }
        | Fact::SealChecked { passed, .. }
        | Fact::CylinderRequalified { passed, .. }
        | Fact::CarbonMonoxideAlarmChecked { passed, .. }
        | Fact::InstrumentCalibrated { passed, .. }
        | Fact::InstrumentChecked { passed, .. } => bad(*passed),
        Fact::SealHairSeen { there, .. } => bad(!there),
        Fact::OxygenCertified { meets, .. } => bad(*meets),
        Fact::SupplyLookedOver { intake_clean, air_alone, .. } => {
            bad(*air_alone && *intake_clean == Some(true))
        }
        Fact::AirBought { certificate, .. } => bad(!is_blank(certificate)),
        Fact::BreathingAirTested { quality, .. } => bad(*quality == AirQuality::Meets),
        // Whatever its source: as strictly as air is judged that is kept in a cylinder.
        Fact::AirSampled { figures, .. } => {
            let answer = judged(SupplySource::Cylinders, figures);
            bad(answer.is_some_and(|answer| answer.meets && answer.is_dry() == Some(true)))
        }
        Fact::CarbonMonoxideTested { found, .. } => bad(*found <= grade_d().carbon_monoxide),
        Fact::WearerLeft { .. }
        | Fact::RenewalAsked { .. }
        | Fact::RoleEnded { .. }
        | Fact::Held { .. }
        | Fact::Retired { .. }
        | Fact::Worn { .. }
        | Fact::BreakthroughSensed { .. }
        | Fact::InstrumentWithdrawn { .. }
        | Fact::ElementsDiscarded { .. } => 1,
        _ => 0,
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
        let last = folded.order.last();
        let before = last.is_some_and(|last| slots.in_time(slot, *last).is_lt());
        if T::begin(entry).is_some() || before {
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

    /// The entries in the order of time, also those that no longer count.
    pub(super) fn order<'s>(&'s self, slots: &'s Slots) -> &'s [usize] {
        &self.folded(slots).order
    }

    fn folded<'s>(&'s self, slots: &'s Slots) -> &'s Folded<T> {
        self.folded.get_or_init(|| {
            let mut order = self.arrived.clone();
            order.sort_by(|one, other| slots.in_time(*one, *other));
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
