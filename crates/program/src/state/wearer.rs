use std::collections::BTreeMap;

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

use rulebook::fit_test::{FitAgent, Mask, TestedAs};
use rulebook::wearer::{AgentUsed, Allows, ClearanceFact, FitGave, RunBy, ToldFact};
use rulebook::{Finding, Severity};

use super::contradiction::Contradiction;
use super::log::Thing;
use super::{At, Reason};
use crate::alike;
use crate::entry::{
    AgentsMade, Clearance, Entry, Fact, FitRecord, ProfessionalTold, Renewal, TrainingTopic,
};
use crate::fit_sheet::FitSheet;
use crate::ids::{InstrumentId, ModelId, PersonId, SiteId, UnitId};

/// One wearer.
#[derive(Debug, Clone, PartialEq)]
pub struct Wearer {
    /// Name to show.
    pub name: String,
    /// The site that enrolled the person.
    pub site: SiteId,
    /// Where that stands.
    pub enrolled: At,
    /// The latest recommendation of a health professional.
    pub clearance: Option<ClearanceRecord>,
    /// What health professionals were told of the respirator and the work, in the order of time.
    pub professionals_told: Vec<Informed>,
    /// The latest fit test with each model and size, the size as it looks.
    pub fit_tests: BTreeMap<(ModelId, String), FitTest>,
    /// The latest fit test with any facepiece.
    pub latest_fit_test: Option<FitTest>,
    /// The latest training in each topic.
    pub training: BTreeMap<TrainingTopic, Training>,
    /// Every training in each topic, in the order of time.
    pub trainings: BTreeMap<TrainingTopic, Vec<Training>>,
    /// When each was asked for anew last.
    pub renewals: BTreeMap<Renewal, At>,
    /// The latest look at where a mask seals: whether hair was there.
    pub seal_looked_at: Option<(bool, At)>,
    /// Why and when the person left the program.
    pub left: Option<Reason>,
    /// When the advice for wearing by choice was given last.
    pub voluntary_information: Option<At>,
    /// Enrolments under other names: whose clearance, fit and training the records tell is in doubt.
    pub(crate) contradictions: Vec<Contradiction>,
    steps: u32,
}

/// A written recommendation.
#[derive(Debug, Clone, PartialEq)]
pub struct ClearanceRecord {
    /// What it says.
    pub clearance: Clearance,
    /// Its last day, if it ends.
    pub until: Option<Date>,
    /// Who made it, where that was asked; empty where it was not told.
    pub professional: Option<String>,
    /// Whether it states that the worker was given a copy, where that was asked.
    pub copy_given: Option<bool>,
    /// What was told before it to who made it; to another where nobody else was told.
    pub told: Option<Informed>,
    /// Where that stands.
    pub at: At,
}

/// What a health professional was told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Informed {
    /// Who was told.
    pub professional: String,
    /// What.
    pub told: ProfessionalTold,
    /// Where that stands.
    pub at: At,
}

/// A fit test.
#[derive(Debug, Clone, PartialEq)]
pub struct FitTest {
    /// The model worn.
    pub model: ModelId,
    /// The size worn.
    pub size: String,
    /// What it gave.
    pub gave: FitGave,
    /// Whether it passed.
    pub passed: bool,
    /// The exercises that are missing, where nothing else kept it from passing; empty otherwise.
    pub missing: String,
    /// Whether hair lay in the seal.
    pub hair_in_seal: bool,
    /// What was noted of the seal, or why the test cannot count.
    pub seal_note: String,
    /// How the air outside moved while it was measured, where that is written and it was not steady.
    pub unsteady: String,
    /// Who tested, where it is written.
    pub tester: Option<PersonId>,
    /// The facepiece that the protocol was run for, where it is written.
    pub facepiece: Option<Mask>,
    /// Id of the protocol, where it is written.
    pub protocol: Option<String>,
    /// Of a facepiece that is fed with air, which one was tested and how, where it is written.
    pub tested_as: Option<TestedAs>,
    /// The set whose facepiece was on the face, where it is written.
    pub unit: Option<UnitId>,
    /// The instrument or the test kit that it was made with, where it is written.
    pub instrument: Option<InstrumentId>,
    /// When what it was done with was made ready, as far as it is written.
    pub made: AgentsMade,
    /// Where that stands.
    pub at: At,
}

/// A training.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Training {
    /// Whether understanding was shown.
    pub understood: bool,
    /// Where that stands.
    pub at: At,
}

impl ClearanceRecord {
    /// A recommendation of which neither the maker nor a copy is told.
    fn new(clearance: &Clearance, until: Option<Date>, at: At) -> Self {
        let clearance = clearance.clone();
        Self { clearance, until, professional: None, copy_given: None, told: None, at }
    }

    /// The same after all that was told before it: what its maker was told last counts.
    fn after(self, told: &[Informed]) -> Self {
        let to_maker = told.iter().rfind(|informed| self.was_told(informed));
        let told = to_maker.or(told.last()).cloned();
        Self { told, ..self }
    }

    /// Whether the one who was told is the maker, as far as that is known.
    fn was_told(&self, informed: &Informed) -> bool {
        let maker = self.professional.as_deref().map(alike).filter(|maker| !maker.is_empty());
        maker.is_none_or(|maker| maker == alike(&informed.professional))
    }

    /// The same in the terms of the rules.
    pub(crate) fn fact(&self) -> ClearanceFact<'_> {
        ClearanceFact {
            allows: match &self.clearance {
                Clearance::Cleared => Allows::Any,
                Clearance::ClearedFor { air_sources, limits } => {
                    Allows::Only { air_sources, limits }
                }
                Clearance::NotCleared => Allows::Nothing,
            },
            until: self.until,
            professional: self.professional.as_deref(),
            copy_given: self.copy_given,
            told: self.told.as_ref().map(|informed| ToldFact {
                another: Some(informed.professional.as_str()).filter(|_| !self.was_told(informed)),
                air_sources: &informed.told.air_sources,
                missing: informed.told.missing(),
                entry: informed.at.entry.as_str(),
            }),
            entry: self.at.entry.as_str(),
        }
    }
}

impl FitTest {
    /// The test that a fact tells; none where it tells of none.
    pub(crate) fn of(fact: &Fact, at: At) -> Option<Self> {
        Some(match fact {
            Fact::FitTested { model, size, method, passed, hair_in_seal, seal_note, .. } => Self {
                model: model.clone(),
                size: size.clone(),
                gave: method.gave(),
                passed: *passed,
                missing: String::new(),
                hair_in_seal: *hair_in_seal,
                seal_note: seal_note.clone(),
                unsteady: String::new(),
                tester: None,
                facepiece: None,
                protocol: None,
                tested_as: None,
                unit: None,
                instrument: None,
                made: AgentsMade::default(),
                at,
            },
            Fact::FitMeasured {
                model,
                size,
                tester,
                record,
                hair_in_seal,
                seal_note,
                tested_as,
                unit,
                instrument,
                ..
            } => {
                let Judged { gave, passed, missing, why, unsteady } = judged(record);
                let notes = [seal_note.as_str(), why.as_str()];
                let notes = notes.into_iter().filter(|note| !note.is_empty());
                Self {
                    model: model.clone(),
                    size: size.clone(),
                    gave,
                    passed,
                    missing,
                    hair_in_seal: *hair_in_seal,
                    seal_note: notes.collect::<Vec<_>>().join("; "),
                    unsteady,
                    tester: Some(tester.clone()),
                    facepiece: Some(record.facepiece),
                    protocol: Some(record.protocol.clone()),
                    tested_as: *tested_as,
                    unit: unit.clone(),
                    instrument: instrument.clone(),
                    made: record.made,
                    at,
                }
            }
            _ => return None,
        })
    }

    /// How it was run, in the terms of the rules.
    pub(crate) fn run_by(&self) -> Option<RunBy<'_>> {
        let (protocol, facepiece) = (self.protocol.as_deref()?, self.facepiece?);
        Some(RunBy { protocol, facepiece })
    }

    /// What it was done with, and whether that served then on the clock of the site.
    pub(crate) fn agents(&self, zone: &TimeZone) -> Vec<AgentUsed> {
        let local = |when: Timestamp| zone.to_datetime(when);
        let asked = self.protocol.as_deref().map(FitAgent::of_protocol).unwrap_or_default();
        let served = |agent: FitAgent| {
            let (made, at) = (self.made.of(agent)?, self.at.when);
            Some(agent.serves(local(made), local(at), at.duration_since(made)))
        };
        let used = asked.iter().map(|agent| AgentUsed { agent: *agent, served: served(*agent) });
        used.collect()
    }
}

impl Wearer {
    /// The latest fit test with this model and size.
    #[must_use]
    pub fn fit_test(&self, model: &ModelId, size: &str) -> Option<&FitTest> {
        self.fit_tests.get(&(model.clone(), alike(size)))
    }

    /// The entry that says that hair was seen where a mask seals, where it is the latest to say so.
    #[must_use]
    pub fn hair_seen(&self) -> Option<&str> {
        let (there, at) = self.seal_looked_at.as_ref()?;
        there.then_some(at.entry.as_str())
    }

    /// The entry that asks for something anew, where it was not done since: `done` is the last time it was.
    #[must_use]
    pub fn asked_anew(&self, what: Renewal, done: Option<&At>) -> Option<&str> {
        let asked = self.renewals.get(&what)?;
        done.is_none_or(|done| done.step < asked.step).then_some(asked.entry.as_str())
    }
}

impl Wearer {
    /// The person is who the latest enrolment says; an earlier one of somebody else is in doubt.
    fn compare_name(&mut self, id: &PersonId, name: &str, at: &At) {
        if alike(name) != alike(&self.name) {
            let words = format!("`{id}` was enrolled as {name} and as {}", self.name);
            let entries = vec![at.entry.clone(), self.enrolled.entry.clone()];
            self.contradictions.push(Contradiction { entries, words, unsettled: true });
        }
    }
}

impl Thing for Wearer {
    fn begin(entry: &Entry) -> Option<Self> {
        let Fact::WearerEnrolled { name, .. } = &entry.fact else { return None };
        Some(Self {
            name: name.clone(),
            site: entry.site.clone(),
            enrolled: At::first(entry),
            clearance: None,
            professionals_told: Vec::new(),
            fit_tests: BTreeMap::new(),
            latest_fit_test: None,
            training: BTreeMap::new(),
            trainings: BTreeMap::new(),
            renewals: BTreeMap::new(),
            seal_looked_at: None,
            left: None,
            voluntary_information: None,
            contradictions: Vec::new(),
            steps: 0,
        })
    }

    fn add(&mut self, entry: &Entry) {
        self.steps = self.steps.saturating_add(1);
        let at = At::step(entry, self.steps);
        match &entry.fact {
            Fact::ClearanceGiven { clearance, until, .. } => {
                let given = ClearanceRecord::new(clearance, *until, at);
                self.clearance = Some(given.after(&self.professionals_told));
            }
            Fact::ClearanceWritten { professional, clearance, until, copy_given, .. } => {
                let given = ClearanceRecord {
                    professional: Some(professional.clone()),
                    copy_given: Some(*copy_given),
                    ..ClearanceRecord::new(clearance, *until, at)
                };
                self.clearance = Some(given.after(&self.professionals_told));
            }
            Fact::MedicalInformationGiven { professional, told, .. } => {
                let (professional, told) = (professional.clone(), told.clone());
                self.professionals_told.push(Informed { professional, told, at });
            }
            Fact::FitTested { .. } | Fact::FitMeasured { .. } => {
                if let Some(test) = FitTest::of(&entry.fact, at) {
                    self.fit_tests.insert((test.model.clone(), alike(&test.size)), test.clone());
                    self.latest_fit_test = Some(test);
                }
            }
            // Who enrols again after leaving is back.
            Fact::WearerEnrolled { wearer, name } => {
                self.left = None;
                self.compare_name(wearer, name, &at);
            }
            Fact::WearerLeft { why, .. } => self.left = Some(Reason { why: why.clone(), at }),
            Fact::Trained { topic, understood, .. } => {
                let done = Training { understood: *understood, at };
                self.trainings.entry(*topic).or_default().push(done.clone());
                self.training.insert(*topic, done);
            }
            Fact::RenewalAsked { of, .. } => {
                self.renewals.insert(*of, at);
            }
            Fact::SealHairSeen { there, .. } => self.seal_looked_at = Some((*there, at)),
            Fact::VoluntaryInformationGiven { .. } => self.voluntary_information = Some(at),
            _ => {}
        }
    }
}

/// A fit test as it was measured, judged.
struct Judged {
    gave: FitGave,
    passed: bool,
    /// The exercises that are missing, where nothing else kept it from passing.
    missing: String,
    /// Why it cannot count.
    why: String,
    /// How the air outside moved.
    unsteady: String,
}

/// What a fit test as it was measured gave and whether it passed; one that cannot be judged did not.
fn judged(record: &FitRecord) -> Judged {
    match FitSheet::of_record(record).and_then(|sheet| sheet.judge()) {
        Ok(answer) => Judged {
            why: said(&record.conduct().found()),
            gave: answer.gave(),
            passed: answer.passed(),
            missing: only_missing(answer.findings(), answer.missing()),
            unsteady: answer.unsteady(),
        },
        Err(error) => Judged {
            gave: FitGave::PassOrFail,
            passed: false,
            missing: String::new(),
            why: error.to_string(),
            unsteady: String::new(),
        },
    }
}

/// What was found, in words.
fn said(findings: &[Finding]) -> String {
    findings.iter().map(Finding::text).collect::<Vec<_>>().join("; ")
}

/// The exercises that are missing, where no other finding means stop.
fn only_missing(findings: &[Finding], missing: &[String]) -> String {
    let stops = findings.iter().filter(|finding| finding.severity == Severity::Stop).count();
    if stops == 1 { missing.join(", ") } else { String::new() }
}
