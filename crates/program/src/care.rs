//! The care of a set as its records tell it: in which stage it stands, and which steps were taken
//! that were not allowed.

use jiff::Timestamp;
use rulebook::care::{Care, Event, IN_HANDS, Keeping, Kind, Stage, UNDONE};
use rulebook::unit::disinfection_contact::LEAST_CONTACT_MIN;
use rulebook::{Finding, Severity};

use crate::due::against_disinfection;
use crate::entry::{CareStep, Entry, Fact, RepairScope, TrainingTopic};
use crate::ids::{EntryId, PersonId, UnitId};
use crate::inspection::passed;
use crate::state::{At, State, Unit};
pub use crate::undone::undoes;
use crate::undone::{Undone, undone};
use crate::upkeep::name;

/// How the care of one set stands.
#[derive(Debug, Clone, PartialEq)]
pub struct CareRecord {
    /// In which stage it stands, in whose hands, used by whom.
    pub care: Care<PersonId>,
    /// The entry that brought it to this stage.
    pub since: EntryId,
    /// What was done although it was not allowed, each resting on its entry.
    pub forbidden: Vec<Finding>,
    /// That it was taken out of service and somebody with training in repair corrected that.
    pub put_back: Option<Finding>,
    /// That it was taken out of service and somebody without that training corrected it.
    undone: Option<Finding>,
    /// The latest cleaning was entered as one fact and not step by step.
    at_once: bool,
}

impl CareRecord {
    /// Why nobody may wear the set: it is out of service, or lies in parts. What else stands in the
    /// way is asked by rules of its own.
    #[must_use]
    pub fn stands_in_the_way(&self) -> Option<Finding> {
        if let Some(undone) = &self.undone {
            return Some(undone.clone());
        }
        // A cleaning entered as one fact was dried; its bath and inspection have rules of their own.
        let loose = self.at_once && !self.care.is_out_of_service();
        let finding = self.care.not_to_be_worn().filter(|_| !loose)?;
        Some(finding.resting_on(&self.since))
    }
}

/// The steps of a cleaning, in their order, and the inspection after it.
const STEPS: [Event<PersonId>; 7] = [
    Event::TakenApart,
    washed(),
    Event::Disinfected { long_enough: true },
    Event::Rinsed,
    Event::Dried,
    Event::Reassembled,
    Event::Inspected { passed: true },
];

impl CareRecord {
    /// The steps of a cleaning that may be done next, and the inspection where it would bring the set
    /// further.
    #[must_use]
    pub fn next_steps(&self) -> Vec<Event<PersonId>> {
        let leads_on = |event: &Event<PersonId>| {
            self.care.step(event).is_ok_and(|next| next.stage() != self.care.stage())
        };
        STEPS.into_iter().filter(leads_on).collect()
    }
}

/// The rules that [`CareRecord::stands_in_the_way`] asks.
pub const STOPPING: [&str; 3] = ["care.undone-by-correction", "care.out-of-service", "care.order"];

/// The care of `unit`, from every entry about it that counts; none where it was never received.
#[must_use]
pub fn of(state: &State, unit: &UnitId) -> Option<CareRecord> {
    let set = state.unit(unit)?;
    let undone = undone(state, (unit, set));
    let mut entries: Vec<(&Entry, bool)> = state.told_of_unit(unit).collect();
    // A cleaner that disinfects is entered as both at the same instant, in any order.
    entries
        .sort_by_key(|(entry, _)| (entry.happened, matches!(entry.fact, Fact::Disinfected { .. })));
    let mut told = Telling {
        state,
        set,
        record: CareRecord {
            care: Care::received_new(kind(state, set)),
            since: set.received.entry.clone(),
            forbidden: Vec::new(),
            put_back: None,
            undone: None,
            at_once: false,
        },
        put_back: None,
    };
    for (entry, counts) in entries {
        if counts {
            told.tell(entry);
        } else if let Some(one) = undone.iter().find(|one| one.entry.id == entry.id) {
            told.tell_undone(one);
        }
    }
    told.record.put_back = told.put_back.map(|(finding, _)| finding);
    Some(told.record)
}

/// Why the issue that `fact` tells may not be recorded here; none where the set is in order, was never
/// received, or nothing is issued. A new issue is judged by the set as it stands and as it stood when it
/// `happened`; one that puts `before` right by how it stood then, without what `before` said.
///
/// What arrives from elsewhere as having happened is kept all the same, and is a finding.
#[must_use]
pub fn against_issue_told(
    state: &State,
    (happened, fact): (Timestamp, &Fact),
    before: Option<&Entry>,
) -> Option<Finding> {
    let Fact::Issued { unit, wearer } = fact else { return None };
    let now = before.is_none().then(|| against_issue(state, unit, wearer)).flatten();
    now.or_else(|| {
        let replaced = replaced(state, before);
        let stood = |entry: &&Entry| entry.happened <= happened && !replaced.contains(&&entry.id);
        let then = State::from_entries(state.entries().filter(stood));
        against_issue(&then, unit, wearer)
    })
}

/// An entry and those that it put right in turn.
fn replaced<'s>(state: &'s State, before: Option<&'s Entry>) -> Vec<&'s EntryId> {
    let older = |entry: &&'s Entry| entry.corrects.as_ref().and_then(|id| state.entry(id));
    std::iter::successors(before, older).map(|entry| &entry.id).collect()
}

/// Why a set may not be issued to a person as it stands now; none where it is in order, or was never
/// received.
#[must_use]
pub fn against_issue(state: &State, unit: &UnitId, to: &PersonId) -> Option<Finding> {
    let (record, set) = (of(state, unit)?, state.unit(unit)?);
    match record.care.step(&Event::Issued { to: to.clone() }) {
        Ok(_) => against_disinfection(state, (unit, set), to),
        Err(refused) => {
            let refused = told_by_name(state, &record.care, refused);
            Some(refused.resting_on(&record.since))
        }
    }
}

/// The same, with the name of who has the set.
fn told_by_name(state: &State, care: &Care<PersonId>, mut finding: Finding) -> Finding {
    let Some(holder) = care.holder().filter(|_| finding.rule.id == IN_HANDS.id) else {
        return finding;
    };
    for (_, what) in finding.values.iter_mut().filter(|(name, _)| *name == "what") {
        *what = what.replace("somebody", name(state, holder));
    }
    finding
}

/// What stood against the issue of a set that is still in those hands and was not put in order since.
pub(crate) fn issued_unfit(record: &CareRecord, unit: &Unit) -> Option<Finding> {
    let in_order = matches!(record.care.stage(), Stage::Issued | Stage::Ready);
    let of_issue = |finding: &&Finding| {
        let rests_on = |at: &At| finding.evidence.contains(&at.entry.to_string());
        unit.holders.values().any(rests_on)
    };
    record.forbidden.iter().rev().find(of_issue).filter(|_| !in_order).cloned()
}

fn kind(state: &State, set: &Unit) -> Kind {
    let keeping = match (set.emergency, set.shared) {
        (true, _) => Keeping::Emergency,
        (false, true) => Keeping::Shared,
        (false, false) => Keeping::OneWearer,
    };
    let model = state.model(&set.model);
    let filtering_facepiece = model.is_some_and(|model| model.device.filtering_facepiece);
    Kind { keeping, filtering_facepiece }
}

/// Goes through the entries of one set.
struct Telling<'s> {
    state: &'s State,
    set: &'s Unit,
    record: CareRecord,
    /// That a correction put it back, and when that was entered.
    put_back: Option<(Finding, Timestamp)>,
}

impl Telling<'_> {
    fn tell(&mut self, entry: &Entry) {
        for event in self.events(entry) {
            self.take(&event, &entry.id);
            let looked_at = event == Event::Inspected { passed: true };
            // What was looked at before the correction was entered does not answer it.
            let answers = |told: &mut (Finding, Timestamp)| looked_at && told.1 <= entry.happened;
            self.put_back.take_if(answers);
        }
        if !self.record.care.is_out_of_service() {
            self.record.undone = None;
        }
    }

    fn take(&mut self, event: &Event<PersonId>, entry: &EntryId) {
        let before = self.record.care.clone();
        let (care, forbidden) = before.record(event);
        let forbidden = forbidden.map(|finding| told_by_name(self.state, &before, finding));
        self.record.forbidden.extend(forbidden.map(|finding| finding.resting_on(entry)));
        if care.stage() != before.stage() {
            self.record.since = entry.clone();
        }
        self.record.care = care;
    }

    /// A set that was taken out of service stays out where only a correction says otherwise, unless it
    /// is by somebody who may release it.
    fn tell_undone(&mut self, one: &Undone<'_>) {
        let how = if one.by_trained { "with" } else { "without" };
        let how = format!("{how} current repair training");
        let severity = if one.by_trained { Severity::Note } else { Severity::Stop };
        let finding = Finding::new(&UNDONE, severity).with("how", how);
        let finding = finding.with("who", name(self.state, &one.correction.by));
        let finding = finding.resting_on(&one.entry.id).resting_on(&one.correction.id);
        if one.by_trained {
            self.put_back = Some((finding, one.correction.entered));
        } else {
            self.take(&Event::Held, &one.entry.id);
            self.record.undone = Some(finding);
        }
    }

    /// What an entry is in the care of a set; one fact may be several steps.
    fn events(&mut self, entry: &Entry) -> Vec<Event<PersonId>> {
        let when = entry.happened;
        match &entry.fact {
            Fact::FacepieceTaken { wearer, .. } => {
                // Out of its box it counts as sound; a rule of its own asks for the inspection
                // before use.
                vec![Event::Inspected { passed: true }, Event::Issued { to: wearer.clone() }]
            }
            Fact::Issued { wearer, .. } => vec![Event::Issued { to: wearer.clone() }],
            Fact::Returned { wearer, .. } => vec![Event::Returned { by: wearer.clone() }],
            Fact::Worn { wearer, .. } | Fact::BreakthroughSensed { wearer, .. } => {
                vec![self.worn(wearer)]
            }
            // Who has it in hands checks the seal before wearing it; on another face it was worn.
            Fact::SealChecked { wearer, .. } if self.record.care.holder() != Some(wearer) => {
                vec![self.worn(wearer)]
            }
            Fact::CareStepDone { step, .. } => {
                self.record.at_once = false;
                vec![step_event(step)]
            }
            Fact::Cleaned { .. } => {
                self.record.at_once = true;
                let dry = [Event::Dried, Event::Reassembled];
                let wet = [Event::TakenApart, washed(), Event::Rinsed];
                let needs_bath = self.record.care.must_be_disinfected();
                wet.into_iter().chain(dry.into_iter().filter(|_| !needs_bath)).collect()
            }
            Fact::Disinfected { contact, .. } => {
                self.disinfected(LEAST_CONTACT_MIN <= contact.as_min())
            }
            Fact::Inspected { .. } | Fact::InspectedByPoints { .. } => {
                let passed = passed(self.state, self.set, &entry.fact);
                passed.map(|passed| Event::Inspected { passed }).into_iter().collect()
            }
            Fact::Held { .. } => vec![Event::Held],
            Fact::Repaired { by, scope, .. } => {
                let topic = match scope {
                    RepairScope::Ordinary => TrainingTopic::Repair,
                    RepairScope::RegulatorOrAlarm => TrainingTopic::RegulatorRepair,
                };
                vec![Event::Repaired { by_trained: self.trained(by, topic, when) }]
            }
            Fact::RepairTested { passed, .. } => vec![Event::Tested { passed: *passed }],
            // The older fact says in one what was repaired, tested and released.
            Fact::Released { .. } => {
                let by_trained = self.trained(&entry.by, TrainingTopic::Repair, when);
                vec![Event::Tested { passed: true }, Event::Released { by_trained }]
            }
            Fact::ReleasedBy { by, .. } => {
                let by_trained = self.trained(by, TrainingTopic::Repair, when);
                vec![Event::Released { by_trained }]
            }
            Fact::Retired { .. } => vec![Event::Retired],
            // What is on record as fitted to a filtering facepiece is the piece itself.
            Fact::ElementsFitted { .. } | Fact::ElementsDiscarded { .. }
                if !self.record.care.kind().filtering_facepiece =>
            {
                vec![Event::ElementsChanged]
            }
            _ => Vec::new(),
        }
    }

    /// What is kept for emergencies is taken from its place without being issued.
    fn worn(&self, wearer: &PersonId) -> Event<PersonId> {
        let by = wearer.clone();
        if self.record.care.kind().keeping == Keeping::Emergency {
            Event::EmergencyUse { by }
        } else {
            Event::Worn { by }
        }
    }

    /// After a cleaning that was entered as one fact, rinsing, drying and assembly go with it.
    fn disinfected(&self, long_enough: bool) -> Vec<Event<PersonId>> {
        let bath = Event::Disinfected { long_enough };
        if !self.record.at_once {
            return vec![bath];
        }
        let again = [Event::TakenApart, washed()];
        let whole = self.record.care.stage() == Stage::Reassembled;
        let again = again.into_iter().filter(|_| whole && long_enough);
        let after = [Event::Rinsed, Event::Dried, Event::Reassembled];
        again.chain([bath]).chain(after.into_iter().filter(|_| long_enough)).collect()
    }

    fn trained(&self, person: &PersonId, topic: TrainingTopic, when: Timestamp) -> bool {
        self.state.training_in_force(person, topic, (&self.set.site, when)).is_some()
    }
}

const fn washed() -> Event<PersonId> {
    Event::Washed { disinfects: false }
}

fn step_event(step: &CareStep) -> Event<PersonId> {
    match step {
        CareStep::TakenApart => Event::TakenApart,
        CareStep::Washed { .. } => washed(),
        CareStep::Rinsed { .. } => Event::Rinsed,
        CareStep::Dried => Event::Dried,
        CareStep::Reassembled => Event::Reassembled,
    }
}
