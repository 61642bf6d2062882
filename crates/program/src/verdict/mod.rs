//! May this wearer wear this set for this task, now; if not, why not, and what puts it right?
//!
//! Every rule is asked, whatever the others found. What cannot be asked, because the wearer, the
//! set or the task is not known, is itself a reason to stop.

mod around;
mod computed;
mod facts;
mod instant;
mod life;
mod readings;
mod shift;
mod standby;
mod voluntary;

use std::cell::Cell;
use std::collections::BTreeSet;

use jiff::Timestamp;
use quantity::Minutes;
use rulebook::ask::{AskFacts, Binds, Check, Noted, corrected, guarded};
use rulebook::interval::Every;
use rulebook::{
    Assessment, Decision, Device, Elements, Finding, Severity, ask, assess, decide,
    rules_of_schedule, rules_of_selection, unit, wearer,
};
use serde::{Deserialize, Serialize};

use crate::corrected::Before;
use crate::ids::{PersonId, SiteId, TaskId, UnitId};
use crate::state::{Carried, Elsewhere, Model, State, Subject as Record, Task, Unit, Wearer};
use crate::{care, needs};

use instant::Instant;
pub(crate) use instant::latest_by_any_clock;
use life::Life;
use voluntary::Purpose;

/// The question.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Ask {
    /// Who wants to wear it.
    pub wearer: PersonId,
    /// The tag on the set.
    pub unit: UnitId,
    /// For which task.
    pub task: TaskId,
    /// How long in contaminated air; where it is not said, as long as the task plans per shift.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub planned_wear: Option<Minutes>,
}

/// The answer, with every reason.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Verdict {
    /// May wear, or stop.
    pub decision: Decision,
    /// Everything that was found, stops first.
    pub findings: Vec<Finding>,
    /// The question.
    pub ask: Ask,
    /// The ids of the rules that were asked.
    pub checked: Vec<&'static str>,
}

impl Verdict {
    /// The same where the database that keeps the records lacks the guards of these names, or none.
    #[must_use]
    pub fn from_guarded(mut self, missing: &[String]) -> Self {
        self.checked.push(guarded::RULE.id);
        self.findings.splice(0..0, guarded::check(missing));
        self.decision = decide(&self.findings);
        self
    }
}

/// How far a change schedule lets the elements of a set be worn for a task.
#[derive(Debug, Clone, PartialEq)]
pub struct ScheduleBound {
    /// Longest wear of one set of elements, counted from fitting them.
    pub max_wear: Minutes,
    /// How many shifts one set of elements may serve; one where it ends with the shift.
    pub shifts: u8,
    /// What limits it, in a few words.
    pub limited_by: String,
    /// What the wearer should know of it.
    pub findings: Vec<Finding>,
}

/// Gives the change schedule for the elements of a set in a task, or why there is none.
pub type Schedules<'s> =
    dyn Fn(&State, &TaskId, &UnitId) -> Result<ScheduleBound, Vec<Finding>> + 's;

/// Answers `ask` from `state` as of `now`, with the change schedules computed from the readings.
///
/// Days are days at the site of the task, and whatever has an end must hold until the last day of
/// the planned wear. Entries that happened after `now`, beyond a small allowance for clocks, are
/// a reason to stop; to ask about an earlier instant, fold the entries up to it.
#[must_use]
pub fn may_wear(state: &State, ask: &Ask, now: Timestamp) -> Verdict {
    let asked = Cell::new(false);
    let schedules = |state: &State, task: &TaskId, unit: &UnitId| {
        asked.set(true);
        computed::bound(state, task, unit, now)
    };
    let mut verdict = may_wear_with(state, ask, now, &schedules);
    if asked.get() {
        verdict.checked.extend(rules_of_schedule().iter().map(|rule| rule.id));
    }
    verdict
}

/// The same, with change schedules from elsewhere. One that the site adopted counts where it is
/// stricter.
#[must_use]
pub fn may_wear_with(
    state: &State,
    ask: &Ask,
    now: Timestamp,
    schedules: &Schedules<'_>,
) -> Verdict {
    let mut answer = Answer::of(state, ask, now, schedules);
    answer.checked.push(corrected::RULE.id);
    for before in before(state, ask, now) {
        let earlier = Answer::of(&before.state, ask, now, schedules);
        answer.keep(earlier, &before);
    }
    answer.findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    Verdict {
        decision: decide(&answer.findings),
        findings: answer.findings,
        ask: ask.clone(),
        checked: answer.checked,
    }
}

/// The records of the question as they stood before each correction that lifts nothing.
fn before(state: &State, ask: &Ask, now: Timestamp) -> Vec<Before> {
    if state.is_uncorrected() {
        return Vec::new();
    }
    let unit = BTreeSet::from([Record::Unit(ask.unit.clone())]);
    let others = needs::had_the_lot(state, &ask.unit).into_iter().map(Record::Unit);
    let others: BTreeSet<Record> = others.collect();
    crate::corrected::before(state, unit, |part| {
        let mut needed = needs::for_verdict(ask, part, now);
        needed.extend(others.iter().cloned());
        needed
    })
}

/// The rule that asks for a change schedule in general; once the schedule of these very elements
/// is known, and asked by rules of its own, there is nothing left to say.
const ANSWERED_BY_SCHEDULE: &str = "element.change-schedule";

/// Who and what the question is about, as far as it is known.
struct Subject<'s> {
    state: &'s State,
    ask: &'s Ask,
    wearer: Option<&'s Wearer>,
    unit: Option<&'s Unit>,
    task: Option<&'s Task>,
    model: Option<&'s Model>,
    instant: Instant,
    planned: f64,
}

impl<'s> Subject<'s> {
    fn of(state: &'s State, ask: &'s Ask, now: Timestamp) -> Self {
        let wearer = state.wearer(&ask.wearer);
        let unit = state.unit(&ask.unit);
        let task = state.task(&ask.task);
        let of_task = task.map(|task| &task.site);
        let site = of_task.or(unit.map(|unit| &unit.site)).or(wearer.map(|wearer| &wearer.site));
        let zone = site.and_then(|site| state.site(site)?.time_zone.clone());
        let planned = ask.planned_wear.or(task.map(|task| task.spec.wear_per_shift));
        let planned = planned.map_or(0.0, Minutes::as_min);
        let model = unit.and_then(|unit| state.model(&unit.model));
        let instant = Instant::new(now, planned, zone);
        Self { state, ask, wearer, unit, task, model, instant, planned }
    }

    /// How often `rule` asks at the sites of the task, of the set and of the wearer: as the strictest
    /// of them does.
    fn every(&self, rule: &str) -> Every {
        let of_task = self.task.map(|task| &task.site);
        let of_unit = self.unit.map(|unit| &unit.site);
        let sites = [of_task, of_unit, self.wearer.map(|wearer| &wearer.site)];
        let asked = sites.into_iter().flatten().map(|site| self.state.every(site, rule));
        asked.reduce(Every::stricter).unwrap_or_else(|| self.state.every(&SiteId::new(""), rule))
    }

    fn device(&self) -> Option<&'s Device> {
        self.model.map(|model| &model.device)
    }

    /// What is fitted to the set, unless it brings its own air.
    fn fitted(&self) -> Option<Carried<'s>> {
        let brings_air = self.device().is_some_and(|device| !device.air_source.purifies_air());
        self.state.carried(self.unit?).filter(|_| !brings_air)
    }

    /// Where else the elements of the set may have been.
    fn elsewhere(&self) -> Vec<Elsewhere<'s>> {
        let facepiece = self.device().is_some_and(|device| device.filtering_facepiece);
        let set = self.unit.filter(|_| !facepiece);
        set.map(|set| self.state.elsewhere(set)).unwrap_or_default()
    }

    fn elements(&self) -> Option<&'s Elements> {
        let kind = self.state.element_type(self.fitted()?.element_type)?;
        Some(&kind.elements)
    }

    /// The set judged for the air of the task; none where one of them is not known, which is a
    /// finding of its own.
    fn assess(&self, now: Timestamp) -> Option<Assessment> {
        let place = self.state.place_at(&self.ask.task, now)?;
        Some(assess(&place, self.device()?, self.elements()))
    }

    /// How far the elements are through their schedule; nothing where no schedule is asked for:
    /// the set carries none, or brings its own air.
    fn life(&self, schedules: &Schedules<'_>) -> Life<'s> {
        let purifies = self.device().is_some_and(|device| device.air_source.purifies_air());
        match self.fitted().filter(|_| purifies && self.task.is_some()) {
            Some(fitted) => Life::of(self, &fitted, schedules),
            None => Life::default(),
        }
    }
}

/// What is found, as it is found.
#[derive(Default)]
struct Answer {
    by_choice: Option<bool>,
    findings: Vec<Finding>,
    checked: Vec<&'static str>,
}

impl Answer {
    /// The answer of the records as they are.
    fn of(state: &State, ask: &Ask, now: Timestamp, schedules: &Schedules<'_>) -> Self {
        let subject = Subject::of(state, ask, now);
        let life = subject.life(schedules);
        let mut answer = Self::of_wearer_and_set(&subject, life, now);
        answer.checked.extend(readings::ASKED.map(|rule| rule.id));
        answer.add(readings::of(&subject), Binds::Always);
        let standby = standby::of(&subject, &answer.findings);
        answer.checked.extend(standby.asked);
        answer.add(standby.found, Binds::Always);
        answer
    }

    /// What is found of a wearer with a set in the air of a task, whoever stands by outside.
    fn of_wearer_and_set(subject: &Subject<'_>, life: Life<'_>, now: Timestamp) -> Self {
        let assessment = subject.assess(now);
        let purpose = Purpose::of(subject.task, subject.device(), assessment.as_ref());
        let mut answer = Self { by_choice: purpose.by_choice(), ..Self::default() };
        answer.ask_about_question(subject, &purpose, now);
        let needed = assessment.as_ref().and_then(needed_factor);
        answer.put(wearer::checks(), &facts::of_wearer(subject, &purpose, needed));
        let has_schedule = life.facts.is_some();
        answer.put(unit::checks(), &facts::of_unit(subject, life.facts));
        answer.checked.extend(care::STOPPING);
        let record = care::of(subject.state, &subject.ask.unit);
        answer.add(record.as_ref().and_then(care::CareRecord::stands_in_the_way), Binds::Always);
        answer.add(record.and_then(|record| record.put_back), Binds::Always);
        let around = around::around(subject);
        answer.checked.extend(around.asked);
        answer.add(around.found, Binds::Always);
        answer.add(life.told, Binds::RequiredUse);
        if let Some(assessment) = assessment {
            answer.checked.extend(rules_of_selection().iter().map(|rule| rule.id));
            let answered = |finding: &Finding| {
                has_schedule
                    && finding.severity < Severity::Stop
                    && finding.rule.id == ANSWERED_BY_SCHEDULE
            };
            let open = assessment.findings.into_iter().filter(|finding| !answered(finding));
            answer.add(open, Binds::RequiredUse);
        }
        answer
    }

    /// Keeps what stood in the way before a correction that lifts nothing.
    fn keep(&mut self, earlier: Self, before: &Before) {
        let told: Vec<&Finding> = self.findings.iter().collect();
        let stays = |finding: &Finding| before.stays(finding, &told);
        let found: Vec<Finding> = earlier.findings.into_iter().filter(stays).collect();
        self.findings.extend(before.told(&found));
        self.findings.extend(found.into_iter().map(|finding| before.resting_on(finding)));
    }

    fn put<F, const N: usize>(&mut self, checks: [Check<F>; N], facts: &F) {
        for check in checks {
            self.checked.push(check.rule.id);
            self.add((check.run)(facts), check.binds);
        }
    }

    /// Keeps `findings`; what does not bind in this use is worth knowing and no more. The same
    /// finding from two sources is kept once.
    fn add(&mut self, findings: impl IntoIterator<Item = Finding>, binds: Binds) {
        let bound = match (binds, self.by_choice) {
            (Binds::Always, _) | (_, None) => true,
            (Binds::NotFilteringFacepieceByChoice, Some(filtering)) => !filtering,
            (Binds::RequiredUse, Some(_)) => false,
        };
        for mut finding in findings {
            if !bound {
                finding.severity = Severity::Note;
            }
            if !self.findings.contains(&finding) {
                self.findings.push(finding);
            }
        }
    }

    fn ask_about_question(&mut self, subject: &Subject<'_>, purpose: &Purpose, now: Timestamp) {
        let Subject { state, ask, .. } = subject;
        let doubts = state.doubts_about(&ask.wearer, &ask.unit, &ask.task);
        let clocks = instant::latest_by_any_clock(now);
        let ahead = state.after(clocks, &ask.wearer, &ask.unit, &ask.task);
        let dated: Vec<String> = ahead.iter().map(|entry| entry.happened.to_string()).collect();
        let noted = |(entry, words)| Noted { words, entry };
        let facts = AskFacts {
            task: ask.task.as_str(),
            task_described: subject.task.is_some(),
            time_zone_known: subject.instant.zone_is_known(),
            doubts: doubts.iter().map(facts::doubt).collect(),
            ahead: ahead
                .iter()
                .map(|entry| entry.id.as_str())
                .zip(dated.iter().map(String::as_str))
                .map(noted)
                .collect(),
            voluntary_refused: purpose.refused(),
        };
        self.put(ask::checks(), &facts);
    }
}

/// The levels over their limits, added up; none where one is not known or nothing is listed.
fn needed_factor(assessment: &Assessment) -> Option<f64> {
    let all = &assessment.contaminants;
    let needed: Vec<f64> = all.iter().filter_map(|judged| judged.needed_factor).collect();
    (!all.is_empty() && needed.len() == all.len()).then(|| needed.iter().sum())
}
