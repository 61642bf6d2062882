//! One respirator that can be held in the hand.

mod change;
mod parts;

use std::collections::BTreeMap;

use jiff::civil::Date;
use rulebook::Device;
use rulebook::fit_test::TestedAs;
use rulebook::unit::Changed;

pub use parts::{
    AirTested, BatteryCheck, Checklist, CylinderReading, Disinfection, DoubtfullyDisinfected,
    FlowCheck, Happening, Inspection, Reason, Release, Repair, RepairTest, SealChecked, Sensed,
};

use super::contradiction::Contradiction;
use super::elements::{FittedElements, Stint, TakenOff};
use super::{At, log::Thing};
use crate::alike;
use crate::entry::{Entry, Fact};
use crate::ids::{
    CylinderId, ElementTypeId, ModelId, PersonId, PlaceId, SiteId, StockId, SupplyId, UnitId,
};

/// One respirator and all that happened to it.
#[derive(Debug, Clone, PartialEq)]
pub struct Unit {
    /// The tag on it.
    pub id: UnitId,
    /// The site that received it.
    pub site: SiteId,
    /// Its model.
    pub model: ModelId,
    /// Its size.
    pub size: String,
    /// The maker's serial number.
    pub serial: String,
    /// Whether several wearers use it.
    pub shared: bool,
    /// Whether it is kept for emergencies.
    pub emergency: bool,
    /// Where that stands.
    pub received: At,
    /// Everyone to whom it was issued and from whom it did not come back.
    pub holders: BTreeMap<PersonId, At>,
    /// Who used it since it was last cleaned and then disinfected: wore it, tried its seal, gave it back, or
    /// sensed something inside it; with the latest such entry.
    pub used_since_disinfected: BTreeMap<PersonId, At>,
    /// Who used it and was followed by disinfections of which none is one that the rule prints: the
    /// use, and the latest disinfection with each such thing.
    pub doubtfully_disinfected: BTreeMap<PersonId, DoubtfullyDisinfected>,
    /// Who ever used it, with the latest entry.
    pub used_ever: BTreeMap<PersonId, At>,
    /// The latest cleaning.
    pub cleaned: Option<At>,
    /// The latest disinfection.
    pub disinfected: Option<Disinfection>,
    /// The latest inspection on any occasion.
    pub inspected: Option<Inspection>,
    /// The latest monthly round.
    pub monthly_round: Option<Inspection>,
    /// Why it is held, while it is.
    pub held: Option<Reason>,
    /// Why it was retired.
    pub retired: Option<Reason>,
    /// What it was changed into for a fit test, until it is put back.
    pub changed_for_test: Option<(TestedAs, At)>,
    /// What is fitted to it.
    pub elements: Option<FittedElements>,
    /// The latest reading of its cylinder.
    pub cylinder: Option<CylinderReading>,
    /// The latest test of the air it supplies.
    pub air_tested: Option<AirTested>,
    /// The latest check of its blower.
    pub flow_checked: Option<FlowCheck>,
    /// The latest check of its battery.
    pub battery_checked: Option<BatteryCheck>,
    /// The latest check of the seal by each wearer.
    pub seal_checked: BTreeMap<PersonId, SealChecked>,
    /// The cylinder that was mounted on it last.
    pub mounted: Option<(CylinderId, At)>,
    /// The supply of air to which it was connected last.
    pub connected: Option<(SupplyId, At)>,
    /// Where it was put away last.
    pub stored: Option<(PlaceId, At)>,
    /// The box from which it was taken, where it is a filtering facepiece that was.
    pub taken_from: Option<StockId>,
    /// Every repair, in the order of time.
    pub repairs: Vec<Repair>,
    /// The latest test after a repair.
    pub repair_tested: Option<RepairTest>,
    /// The latest release by a named person, and why the set had been held.
    pub released: Option<Release>,
    /// What was sensed first inside it since new elements were fitted.
    pub sensed_since_fitted: Option<Sensed>,
    /// What was sensed inside it since an inspection passed.
    pub sensed_since_inspected: Option<Sensed>,
    /// The latest of each thing that happens to a set.
    pub happened: BTreeMap<Happening, At>,
    /// What its records contradict each other in.
    pub contradictions: Vec<Contradiction>,
    /// Every wear with other elements than those on it now, or with none.
    pub(super) worn_before: Vec<Stint>,
    /// The earliest shelf life that was recorded of each kind and lot fitted to it.
    lots: BTreeMap<(ElementTypeId, String), (Date, At)>,
    /// The first thing that was sensed inside it.
    sensed_first: Option<Sensed>,
    /// Elements that were on it before, to see when they come back.
    pub(super) taken_off: Vec<TakenOff>,
    cleaned_since_use: bool,
    disinfected_since_use: bool,
    steps: u32,
}

impl Unit {
    /// The latest of `kinds` that happened after `at`.
    #[must_use]
    pub fn happened_after(&self, at: &At, kinds: &[Happening]) -> Option<(Happening, &At)> {
        self.happened_since((at.when, at.step), kinds)
    }

    /// The last day that was recorded of a lot fitted to it, the earliest where there are several.
    #[must_use]
    pub fn shelf_life_of_lot(&self, kind: &ElementTypeId, lot: &str) -> Option<Date> {
        self.lots.get(&(kind.clone(), alike::lot(lot))).map(|(until, _)| *until)
    }

    /// Whether its elements were thrown away at any time.
    pub(super) fn was_stripped(&self) -> bool {
        self.taken_off.iter().any(|off| off.thrown_away)
    }

    /// The earliest shelf life that was recorded of anything fitted to it, and where.
    pub(super) fn earliest_shelf_life(&self) -> Option<(Date, &At)> {
        let all = self.lots.values().map(|(until, at)| (*until, at));
        all.min_by_key(|(until, _)| *until)
    }

    /// What was sensed inside it and not put right: by new elements on a set that cleans the air of
    /// the room, by a passed inspection on one that brings its air, by nothing in a filtering
    /// facepiece. On a set of an unknown kind, either of the first two.
    pub(crate) fn sensed(&self, device: Option<&Device>) -> Option<&Sensed> {
        let (fitted, inspected) = (&self.sensed_since_fitted, &self.sensed_since_inspected);
        if device.is_some_and(|device| device.filtering_facepiece) {
            return self.sensed_first.as_ref();
        }
        match device.map(|device| device.air_source.purifies_air()) {
            Some(true) => fitted.as_ref(),
            Some(false) => inspected.as_ref(),
            None => fitted.as_ref().or(inspected.as_ref()),
        }
    }

    /// What was changed on it for a fit test and not put back, in the terms of the rules.
    pub(crate) fn changed_for_test(&self) -> Option<Changed<'_>> {
        let (tested_as, at) = self.changed_for_test.as_ref()?;
        Some(Changed { tested_as: *tested_as, entry: at.entry.as_str() })
    }

    /// The latest of `kinds` that happened after an instant and a step of the fold of this set.
    pub(crate) fn happened_since(
        &self,
        since: (jiff::Timestamp, u32),
        kinds: &[Happening],
    ) -> Option<(Happening, &At)> {
        let of_kind = self.happened.iter().filter(|(kind, _)| kinds.contains(kind));
        let later = of_kind.filter(|(_, after)| since < (after.when, after.step));
        later.max_by_key(|(_, when)| when.step).map(|(kind, when)| (*kind, when))
    }
}

impl Thing for Unit {
    fn begin(entry: &Entry) -> Option<Self> {
        let Receipt { unit, model, size, serial, shared, emergency, taken_from } =
            Receipt::of(entry)?;
        Some(Self {
            id: unit.clone(),
            site: entry.site.clone(),
            model: model.clone(),
            size: size.to_owned(),
            serial: serial.to_owned(),
            shared,
            emergency,
            taken_from: taken_from.cloned(),
            received: At::first(entry),
            holders: BTreeMap::new(),
            used_since_disinfected: BTreeMap::new(),
            doubtfully_disinfected: BTreeMap::new(),
            used_ever: BTreeMap::new(),
            cleaned: None,
            disinfected: None,
            inspected: None,
            monthly_round: None,
            held: None,
            retired: None,
            changed_for_test: None,
            elements: None,
            cylinder: None,
            air_tested: None,
            flow_checked: None,
            battery_checked: None,
            seal_checked: BTreeMap::new(),
            mounted: None,
            connected: None,
            stored: None,
            repairs: Vec::new(),
            repair_tested: None,
            released: None,
            sensed_since_fitted: None,
            sensed_since_inspected: None,
            happened: BTreeMap::new(),
            contradictions: Vec::new(),
            worn_before: Vec::new(),
            lots: BTreeMap::new(),
            sensed_first: None,
            taken_off: Vec::new(),
            cleaned_since_use: false,
            disinfected_since_use: false,
            steps: 0,
        })
    }

    fn add(&mut self, entry: &Entry) {
        self.steps = self.steps.saturating_add(1);
        let at = At::step(entry, self.steps);
        self.add_whereabouts(entry, &at);
        self.add_fit_test(entry, &at);
        self.add_care(entry, &at);
        self.add_repair(entry, &at);
        self.add_supply(entry, &at);
        if let Some(kind) = Happening::of(&entry.fact) {
            self.happened.insert(kind, at);
        }
    }
}

/// What an entry says of a set that it makes known.
struct Receipt<'e> {
    unit: &'e UnitId,
    model: &'e ModelId,
    size: &'e str,
    serial: &'e str,
    shared: bool,
    emergency: bool,
    taken_from: Option<&'e StockId>,
}

impl<'e> Receipt<'e> {
    fn of(entry: &'e Entry) -> Option<Self> {
        match &entry.fact {
            Fact::UnitReceived { unit, model, size, serial, shared, emergency } => Some(Self {
                unit,
                model,
                size,
                serial,
                shared: *shared,
                emergency: *emergency,
                taken_from: None,
            }),
            // The box stands for the serial number that such a piece does not carry.
            Fact::FacepieceTaken { unit, model, size, stock, .. } => Some(Self {
                unit,
                model,
                size,
                serial: stock.as_str(),
                shared: false,
                emergency: false,
                taken_from: Some(stock),
            }),
            _ => None,
        }
    }
}
