//! One respirator that can be held in the hand.

mod change;
mod parts;

use std::collections::BTreeMap;

pub use parts::{
    AirTested, CylinderReading, Disinfection, FlowCheck, Happening, Inspection, Reason, Sensed,
};

use super::contradiction::Contradiction;
use super::elements::FittedElements;
use super::{At, log::Thing};
use crate::entry::{Entry, Fact};
use crate::ids::{ModelId, PersonId, SiteId};

/// One respirator and all that happened to it.
#[derive(Debug, Clone, PartialEq)]
pub struct Unit {
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
    /// Who used it since it was last cleaned and then disinfected: wore it, gave it back, or
    /// sensed something inside it; with the latest such entry.
    pub used_since_disinfected: BTreeMap<PersonId, At>,
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
    /// What is fitted to it.
    pub elements: Option<FittedElements>,
    /// The latest reading of its cylinder.
    pub cylinder: Option<CylinderReading>,
    /// The latest test of the air it supplies.
    pub air_tested: Option<AirTested>,
    /// The latest check of its blower.
    pub flow_checked: Option<FlowCheck>,
    /// What was sensed inside it since new elements were fitted.
    pub sensed_since_fitted: Option<Sensed>,
    /// What was sensed inside it since an inspection passed.
    pub sensed_since_inspected: Option<Sensed>,
    /// The latest of each thing that happens to a set.
    pub happened: BTreeMap<Happening, At>,
    /// What its records contradict each other in.
    pub contradictions: Vec<Contradiction>,
    /// Elements that were thrown away last, to see when they come back.
    discarded: Option<FittedElements>,
    cleaned_since_use: bool,
    disinfected_since_use: bool,
    steps: u32,
}

impl Unit {
    /// The latest of `kinds` that happened after `at`.
    #[must_use]
    pub fn happened_after(&self, at: &At, kinds: &[Happening]) -> Option<(Happening, &At)> {
        let of_kind = self.happened.iter().filter(|(kind, _)| kinds.contains(kind));
        let later = of_kind.filter(|(_, when)| at.step < when.step);
        later.max_by_key(|(_, when)| when.step).map(|(kind, when)| (*kind, when))
    }
}

impl Thing for Unit {
    fn begin(entry: &Entry) -> Option<Self> {
        let Fact::UnitReceived { model, size, serial, shared, emergency, .. } = &entry.fact else {
            return None;
        };
        Some(Self {
            site: entry.site.clone(),
            model: model.clone(),
            size: size.clone(),
            serial: serial.clone(),
            shared: *shared,
            emergency: *emergency,
            received: At::first(entry),
            holders: BTreeMap::new(),
            used_since_disinfected: BTreeMap::new(),
            used_ever: BTreeMap::new(),
            cleaned: None,
            disinfected: None,
            inspected: None,
            monthly_round: None,
            held: None,
            retired: None,
            elements: None,
            cylinder: None,
            air_tested: None,
            flow_checked: None,
            sensed_since_fitted: None,
            sensed_since_inspected: None,
            happened: BTreeMap::new(),
            contradictions: Vec::new(),
            discarded: None,
            cleaned_since_use: false,
            disinfected_since_use: false,
            steps: 0,
        })
    }

    fn add(&mut self, entry: &Entry) {
        self.steps = self.steps.saturating_add(1);
        let at = At::step(entry, self.steps);
        self.add_whereabouts(entry, &at);
        self.add_care(entry, &at);
        self.add_supply(entry, &at);
        if let Some(kind) = Happening::of(&entry.fact) {
            self.happened.insert(kind, at);
        }
    }
}
