//! What each entry changes on a set.

use std::collections::BTreeMap;

use rulebook::bath::named;
use rulebook::unit::disinfection_contact::LEAST_CONTACT_MIN;

use super::{
    AirTested, BatteryCheck, CylinderReading, Disinfection, DoubtfullyDisinfected, FlowCheck,
    Inspection, Reason, Receipt, Release, Repair, RepairTest, SealChecked, Sensed, Unit,
};
use crate::alike;
use crate::entry::{CareStep, Entry, Fact, InspectionOccasion};
use crate::ids::PersonId;
use crate::state::contradiction::Contradiction;
use crate::state::elements::TakenOff;
use crate::state::{At, FittedElements, Stint};

impl Unit {
    /// Where it is, who used it, and whether it may be used at all.
    pub(super) fn add_whereabouts(&mut self, entry: &Entry, at: &At) {
        match &entry.fact {
            Fact::UnitReceived { unit, .. } => self.compare_receipt(entry, unit.as_str()),
            Fact::FacepieceTaken { unit, wearer, .. } => {
                self.compare_receipt(entry, unit.as_str());
                self.holders.insert(wearer.clone(), at.clone());
            }
            Fact::Issued { unit, wearer } => {
                if let Some((holder, since)) = self.holders.iter().find(|(p, _)| *p != wearer) {
                    let words = format!("`{unit}` was issued to {wearer} while {holder} had it");
                    let entries = vec![since.entry.clone(), at.entry.clone()];
                    self.contradictions.push(Contradiction { entries, words, unsettled: false });
                }
                self.holders.insert(wearer.clone(), at.clone());
                self.note_use_after_retirement(at, unit.as_str(), "issued");
            }
            Fact::Returned { unit, wearer } => {
                if self.holders.remove(wearer).is_none() {
                    let words = format!("{wearer} gave `{unit}` back without having it");
                    let entries = vec![at.entry.clone()];
                    self.contradictions.push(Contradiction { entries, words, unsettled: false });
                }
                self.add_use(wearer, at);
            }
            Fact::Worn { unit, wearer, task, time } => {
                self.add_use(wearer, at);
                self.note_use_after_retirement(at, unit.as_str(), "worn");
                let on = self.elements.as_mut().map(|elements| &mut elements.worn);
                let (wearer, task) = (wearer.clone(), task.clone());
                let stint = Stint { wearer, task, time: *time, at: at.clone() };
                on.unwrap_or(&mut self.worn_before).push(stint);
            }
            Fact::BreakthroughSensed { wearer, sign, .. } => {
                self.add_use(wearer, at);
                let sensed = Sensed { sign: *sign, wearer: wearer.clone(), at: at.clone() };
                self.sensed_first.get_or_insert_with(|| sensed.clone());
                self.sensed_since_fitted.get_or_insert_with(|| sensed.clone());
                self.sensed_since_inspected = Some(sensed);
            }
            Fact::Held { why, .. } => {
                self.held = Some(Reason { why: why.clone(), at: at.clone() });
            }
            Fact::Released { .. } => self.release(&entry.by, at),
            Fact::ReleasedBy { by, .. } => self.release(by, at),
            Fact::Stored { place, .. } => self.stored = Some((place.clone(), at.clone())),
            Fact::SealChecked { wearer, passed, way, .. } => {
                let checked = SealChecked { passed: *passed, way: *way, at: at.clone() };
                self.seal_checked.insert(wearer.clone(), checked);
                // It was on that face, whether the seal held or not.
                self.add_use(wearer, at);
            }
            Fact::Retired { why, .. } => {
                self.retired = Some(Reason { why: why.clone(), at: at.clone() });
            }
            _ => {}
        }
    }

    /// What a fit test changed on it, and that this was undone.
    pub(super) fn add_fit_test(&mut self, entry: &Entry, at: &At) {
        match &entry.fact {
            Fact::FitMeasured { wearer, tested_as, restored, .. } => {
                self.add_use(wearer, at);
                let changed = tested_as.filter(|way| way.changes_own() && *restored != Some(true));
                if let Some(way) = changed {
                    self.changed_for_test = Some((way, at.clone()));
                }
            }
            Fact::Restored { .. } => self.changed_for_test = None,
            _ => {}
        }
    }

    /// Cleaning, disinfecting, inspecting.
    pub(super) fn add_care(&mut self, entry: &Entry, at: &At) {
        match &entry.fact {
            Fact::Cleaned { .. } | Fact::CareStepDone { step: CareStep::Washed { .. }, .. } => {
                self.cleaned = Some(at.clone());
                self.cleaned_since_use = true;
                // A cleaner that disinfects is entered as both at the same instant, in any order.
                let at_once = |done: &&Disinfection| done.at.when == at.when;
                let done = self.disinfected.as_ref().filter(at_once).cloned();
                if let Some(done) = done.filter(|_| self.disinfected_since_use) {
                    self.count_disinfection(&done);
                }
            }
            Fact::Disinfected { agent, contact, .. } => {
                let (agent, contact) = (agent.clone(), *contact);
                let done = Disinfection { agent, contact, at: at.clone() };
                self.disinfected_since_use = true;
                // INVARIANT (no shortcut): only a disinfection after a cleaning clears the users.
                if self.cleaned_since_use {
                    self.count_disinfection(&done);
                }
                self.disinfected = Some(done);
            }
            Fact::Inspected { .. } | Fact::InspectedByPoints { .. } => {
                if let Some(inspection) = Inspection::of(&entry.fact, at) {
                    self.inspect(inspection);
                }
            }
            _ => {}
        }
    }

    /// Takes everybody off the list of users. With something that the rule prints no bath of, or in a
    /// strength that it does not print, they are kept apart: whether it disinfects is for the maker to
    /// say. A dip takes nobody off.
    fn count_disinfection(&mut self, done: &Disinfection) {
        let dipped = done.contact.as_min() < LEAST_CONTACT_MIN;
        let users = if dipped {
            self.used_since_disinfected.clone()
        } else {
            std::mem::take(&mut self.used_since_disinfected)
        };
        if named(&done.agent).doubt().is_none() {
            if !dipped {
                self.doubtfully_disinfected.clear();
            }
            return;
        }
        let with = BTreeMap::from([(done.agent.clone(), done.at.clone())]);
        if !dipped {
            for doubtful in self.doubtfully_disinfected.values_mut() {
                doubtful.with.extend(with.clone());
            }
        }
        for (person, used) in users {
            let doubtful = DoubtfullyDisinfected { used, with: with.clone() };
            self.doubtfully_disinfected.insert(person, doubtful);
        }
    }

    fn inspect(&mut self, inspection: Inspection) {
        if inspection.occasion == InspectionOccasion::Monthly {
            self.monthly_round = Some(inspection.clone());
        }
        if inspection.passed {
            self.sensed_since_inspected = None;
        }
        self.inspected = Some(inspection);
    }

    /// Repairs and what is shown after them.
    pub(super) fn add_repair(&mut self, entry: &Entry, at: &At) {
        match &entry.fact {
            Fact::Repaired { by, scope, parts, instructions, .. } => {
                self.repairs.push(Repair {
                    by: by.clone(),
                    scope: *scope,
                    parts: parts.clone(),
                    instructions: instructions.clone(),
                    at: at.clone(),
                });
            }
            Fact::RepairTested { passed, how, .. } => {
                self.repair_tested =
                    Some(RepairTest { passed: *passed, how: how.clone(), at: at.clone() });
            }
            _ => {}
        }
    }

    fn release(&mut self, by: &PersonId, at: &At) {
        let held = self.held.take();
        self.released = Some(Release { by: by.clone(), held, at: at.clone() });
    }

    /// Elements, cylinder, air, blower.
    pub(super) fn add_supply(&mut self, entry: &Entry, at: &At) {
        match &entry.fact {
            Fact::ElementsFitted { unit, element_type, lot, shelf_life_until, opened } => {
                let fitted = FittedElements {
                    element_type: element_type.clone(),
                    lot: lot.clone(),
                    shelf_life_until: *shelf_life_until,
                    opened: *opened,
                    at: at.clone(),
                    worn: Vec::new(),
                    most_flow: None,
                };
                self.fit(fitted, unit.as_str());
            }
            Fact::ElementsDiscarded { .. } => {
                if let Some(pieces) = self.elements.take() {
                    self.take_off(pieces, at, true);
                }
            }
            Fact::CylinderRead { rated, read, .. } => {
                let (rated, read) = (*rated, *read);
                let before = self.cylinder.as_ref().map(|reading| reading.rated_at_most);
                let higher = before.filter(|before| rated.as_kpa() < before.as_kpa());
                let rated_at_most = higher.unwrap_or(rated);
                let at = at.clone();
                self.cylinder = Some(CylinderReading { rated, rated_at_most, read, at });
            }
            Fact::BreathingAirTested { quality, cylinder, .. } => {
                let mounted = self.mounted.as_ref().map(|(cylinder, _)| cylinder.clone());
                let mounted = mounted.filter(|_| self.connected.is_none());
                let of = cylinder.clone().or(mounted);
                self.air_tested = Some(AirTested { quality: *quality, of, at: at.clone() });
            }
            Fact::PoweredFlowChecked { flow, least, .. } => {
                let (flow, least) = (*flow, *least);
                if let Some(on) = &mut self.elements {
                    let before =
                        on.most_flow.filter(|most| flow.as_l_per_min() < most.as_l_per_min());
                    on.most_flow = before.or(Some(flow));
                }
                self.flow_checked = Some(FlowCheck { flow, least, at: at.clone() });
            }
            Fact::BatteryChecked { passed, found, .. } => {
                let (passed, found) = (*passed, found.clone());
                self.battery_checked = Some(BatteryCheck { passed, found, at: at.clone() });
            }
            Fact::CylinderMounted { cylinder, .. } => {
                self.mounted = Some((cylinder.clone(), at.clone()));
            }
            Fact::SupplyConnected { supply, .. } => {
                self.connected = Some((supply.clone(), at.clone()));
            }
            _ => {}
        }
    }

    /// Fits `fitted`. The same pieces put back keep their wear and what was sensed through them; of two
    /// days of one lot the earlier counts.
    fn fit(&mut self, mut fitted: FittedElements, unit: &str) {
        self.compare_lot(&mut fitted, unit);
        let at = fitted.at.clone();
        if let Some(on) = self.elements.take_if(|on| fitted.may_be_those(on)) {
            fitted.go_on_from(on);
        } else {
            if let Some(off) = self.elements.take() {
                self.worn_before.extend(off.worn.iter().cloned());
                self.take_off(off, &at, false);
            }
            self.sensed_since_fitted = None;
            let back = self.taken_off.iter().rposition(|off| fitted.may_be_those(&off.pieces));
            if let Some(off) = back.and_then(|place| self.taken_off.get(place)) {
                self.sensed_since_fitted.clone_from(&off.sensed);
                self.worn_before.retain(|stint| !off.pieces.worn.contains(stint));
                if off.thrown_away {
                    let words = format!("elements thrown away were fitted to `{unit}` again");
                    let entries = vec![off.pieces.at.entry.clone(), at.entry];
                    self.contradictions.push(Contradiction { entries, words, unsettled: false });
                }
                fitted.go_on_from(off.pieces.clone());
            }
        }
        self.elements = Some(fitted);
    }

    /// Keeps what was on it until `at`.
    fn take_off(&mut self, pieces: FittedElements, at: &At, thrown_away: bool) {
        let (sensed, when) = (self.sensed_since_fitted.clone(), at.when);
        self.taken_off.push(TakenOff { pieces, sensed, when, thrown_away });
    }

    /// One lot has one last day of its shelf life.
    fn compare_lot(&mut self, fitted: &mut FittedElements, unit: &str) {
        let until = fitted.shelf_life_until;
        let key = (fitted.element_type.clone(), alike::lot(&fitted.lot));
        let (known, at) = self.lots.entry(key).or_insert_with(|| (until, fitted.at.clone()));
        if *known != until {
            let lot = &fitted.lot;
            let words = format!(
                "lot `{lot}` on `{unit}` was recorded with shelf life until {known} and {until}: the earlier day counts"
            );
            let entries = vec![at.entry.clone(), fitted.at.entry.clone()];
            self.contradictions.push(Contradiction { entries, words, unsettled: false });
        }
        if until < *known {
            (*known, *at) = (until, fitted.at.clone());
        }
        fitted.shelf_life_until = *known;
    }

    fn add_use(&mut self, wearer: &PersonId, at: &At) {
        self.doubtfully_disinfected.remove(wearer);
        self.used_since_disinfected.insert(wearer.clone(), at.clone());
        self.used_ever.insert(wearer.clone(), at.clone());
        self.cleaned_since_use = false;
        self.disinfected_since_use = false;
    }

    fn note_use_after_retirement(&mut self, at: &At, unit: &str, done: &str) {
        if let Some(retired) = &self.retired {
            let words = format!("`{unit}` was {done} after it was retired");
            let entries = vec![retired.at.entry.clone(), at.entry.clone()];
            self.contradictions.push(Contradiction { entries, words, unsettled: false });
        }
    }

    /// The set is what its latest receipt says; an earlier one that says otherwise is in doubt.
    fn compare_receipt(&mut self, entry: &Entry, unit: &str) {
        let Some(told) = Receipt::of(entry) else { return };
        let told = (told.model, told.size, told.serial, told.shared, told.emergency);
        let known =
            (&self.model, self.size.as_str(), self.serial.as_str(), self.shared, self.emergency);
        if told != known {
            let words = format!("`{unit}` was received twice, as different things");
            let entries = vec![entry.id.clone(), self.received.entry.clone()];
            self.contradictions.push(Contradiction { entries, words, unsettled: true });
        }
    }
}
