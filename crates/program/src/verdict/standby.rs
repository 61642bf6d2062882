//! Who stands by outside while the wearer is in immediately dangerous air.
//!
//! Of each who does, the same is asked as of a wearer, one step deep: nobody stands by for them.

use jiff::Timestamp;
use jiff::tz::TimeZone;
use rulebook::ask::{Check, records_agree};
use rulebook::standby::{
    Against, PostedFacts, PostingFacts, RescueTraining, Retrieval as Means, StandbyFacts, Stands,
    checks, one_place, posted_checks,
};
use rulebook::{Finding, Severity};

use super::life::Life;
use super::{Answer, Ask, Instant, Subject};
use crate::entry::{Retrieval, TrainingTopic};
use crate::ids::PersonId;
use crate::standby::{self, Standing, problems};
use crate::state::Posting;
use crate::upkeep::name;
use crate::used::name_of;

/// What was asked, and everything found.
#[derive(Default)]
pub(super) struct Standby {
    pub(super) asked: Vec<&'static str>,
    pub(super) found: Vec<Finding>,
}

impl Standby {
    fn put<F, const N: usize>(&mut self, checks: [Check<F>; N], facts: &F) {
        for check in checks {
            self.found.extend((check.run)(facts));
        }
    }
}

/// What is found of those who stand by; `told` is what was found anyhow.
pub(super) fn of(subject: &Subject<'_>, told: &[Finding]) -> Standby {
    let mut all = Standby::default();
    all.asked.push(one_place::RULE.id);
    all.found.extend(stands_elsewhere(subject));
    let (state, now, task) = (subject.state, subject.instant.now, &subject.ask.task);
    // A unit for escape only is for leaving such air: no rule lets anybody go in with it.
    let leaving = subject.device().is_some_and(|device| device.escape_only);
    if leaving || !standby::is_asked(state, task, now) {
        return all;
    }
    let of_posting = checks().map(|check| check.rule.id);
    let of_posted = posted_checks().map(|check| check.rule.id);
    all.asked
        .extend(of_posting.into_iter().chain(of_posted).filter(|id| *id != one_place::RULE.id));
    let standing = standby::of_task(state, task, now);
    all.put(checks(), &facts(subject, standing));
    let Some(standing) = standing else { return all };
    for (_, what, _) in problems(standing.posting) {
        let finding = Finding::stop(&records_agree::RULE).with("what", what);
        all.found.push(finding.resting_on(&standing.posting.at.entry));
    }
    for (place, person) in standing.posting.outside.iter().enumerate() {
        all.put(posted_checks(), &posted(subject, (standing.posting, place, person), told));
    }
    all
}

/// That the wearer stands by outside at another task, or that the set is at hand for somebody who stands by.
fn stands_elsewhere(subject: &Subject<'_>) -> Option<Finding> {
    let (state, ask, now) = (subject.state, subject.ask, subject.instant.now);
    let person = || {
        let outside = |posting: &Posting| posting.stands_outside(&ask.wearer);
        let posting = standby::elsewhere(state, &ask.task, now, outside)?;
        Some((name_of(state, &ask.wearer), posting))
    };
    let set = || {
        let posting = standby::at_hand(state, now, |posting| posting.keeps_at_hand(&ask.unit))?;
        Some((ask.unit.as_str(), posting))
    };
    let (who, posting) = person().or_else(set)?;
    let finding = Finding::stop(&one_place::RULE).with("who", who);
    Some(finding.with("task", posting.task.as_str()).resting_on(&posting.at.entry))
}

fn facts<'s>(subject: &Subject<'s>, standing: Option<Standing<'s>>) -> StandbyFacts<'s> {
    let spec = subject.task.map(|task| &task.spec);
    StandbyFacts {
        task: spec.map_or(subject.ask.task.as_str(), |spec| &spec.name),
        wearer: name_of(subject.state, &subject.ask.wearer),
        fire: spec.is_some_and(|spec| spec.interior_fire),
        asked_outside: spec.and_then(|spec| spec.standby_outside),
        posting: standing.map(|standing| posting(subject, standing)),
    }
}

fn posting<'s>(subject: &Subject<'s>, standing: Standing<'s>) -> PostingFacts<'s> {
    let posting = standing.posting;
    let wearer = &subject.ask.wearer;
    let both = posting.outside.iter().filter(|id| posting.goes_in(id));
    PostingFacts {
        stands: stands(subject, standing),
        outside: posting.outside.len(),
        other_role: posting.other_role.len(),
        inside: posting.inside.len(),
        wearer_inside: posting.inside.contains(wearer),
        wearer_outside: posting.stands_outside(wearer),
        in_both: both.map(|id| name(subject.state, id)).collect(),
        contact: &posting.contact,
        together: &posting.together,
        retrieval: match &posting.retrieval {
            Retrieval::Equipment { what } => Means::Equipment(what),
            Retrieval::Otherwise { means, why } => Means::Otherwise { means, why },
        },
        notify: &posting.notify,
        help: &posting.help,
        entry: posting.at.entry.as_str(),
    }
}

/// Whether a posting stands until the wear ends.
fn stands(subject: &Subject<'_>, standing: Standing<'_>) -> Stands {
    let (until, end) = (standing.until(), subject.instant.end);
    if standing.ended.is_some() {
        return Stands::Ended;
    }
    if standing.stands_at(subject.instant.now) && end <= until {
        return Stands::ToTheEnd;
    }
    let zone = subject.instant.zone();
    Stands::Until { until: clock(until, zone), wear: clock(end, zone) }
}

/// A time on the clock of the site.
fn clock(when: Timestamp, zone: &TimeZone) -> String {
    zone.to_datetime(when).strftime("%Y-%m-%d %H:%M").to_string()
}

fn posted<'s>(
    subject: &Subject<'s>,
    (posting, place, person): (&'s Posting, usize, &'s PersonId),
    told: &[Finding],
) -> PostedFacts<'s> {
    let (state, instant) = (subject.state, &subject.instant);
    let set = posting.set_of(place);
    let device =
        set.and_then(|set| state.model(&state.unit(set)?.model)).map(|model| &model.device);
    let training = state.latest_training(person, TrainingTopic::Rescue, instant.now);
    let there = |other: &Posting| other.stands_outside(person) || other.goes_in(person);
    let elsewhere = standby::elsewhere(state, &posting.task, instant.now, there);
    let at_hand = |other: &Posting| set.is_some_and(|set| other.keeps_at_hand(set));
    let set_elsewhere = standby::elsewhere(state, &posting.task, instant.now, at_hand);
    let told_of = |other: &'s Posting| (other.task.as_str(), other.at.entry.as_str());
    // What a set of another class wants beside is of no use to know.
    let suits = device.is_some_and(rulebook::Device::is_for_danger);
    PostedFacts {
        who: name(state, person),
        day: instant.last_day,
        fire: subject.task.is_some_and(|task| task.spec.interior_fire),
        set: set.map(crate::ids::UnitId::as_str),
        device,
        training: training.map(|training| RescueTraining {
            day: instant.day(training.at.when),
            understood: training.understood,
            entry: training.at.entry.as_str(),
        }),
        training_counts: subject.every("standby.trained"),
        elsewhere: elsewhere.map(told_of),
        set_elsewhere: set_elsewhere.map(told_of),
        against: set
            .filter(|_| suits)
            .map(|set| against(subject, (person, set), told))
            .unwrap_or_default(),
        entry: posting.at.entry.as_str(),
    }
}

/// What would keep somebody who stands by from going in with their set until the wear ends, beside what was
/// told of the wearer.
fn against(
    subject: &Subject<'_>,
    (person, set): (&PersonId, &crate::ids::UnitId),
    told: &[Finding],
) -> Vec<Against> {
    let ask = Ask {
        wearer: person.clone(),
        unit: set.clone(),
        task: subject.ask.task.clone(),
        planned_wear: quantity::Minutes::from_min(0.0).ok(),
    };
    let (now, zone) = (subject.instant.now, subject.instant.known_zone());
    let instant = Instant::new(now, subject.planned, zone);
    let question = Subject { instant, ..Subject::of(subject.state, &ask, now) };
    let found = Answer::of_wearer_and_set(&question, Life::default(), now).findings;
    let stops = found.into_iter().filter(|finding| finding.severity == Severity::Stop);
    let own = stops.filter(|finding| !told.contains(finding));
    own.map(|finding| Against { words: finding.text(), entries: finding.evidence }).collect()
}
