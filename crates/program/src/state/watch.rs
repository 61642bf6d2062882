use std::collections::BTreeSet;

use jiff::Timestamp;
use rulebook::standby::Contact;

use super::At;
use super::contradiction::{Contradiction, said};
use super::log::Thing;
use crate::alike;
use crate::entry::{Entry, Fact, Retrieval};
use crate::ids::{PersonId, TaskId, UnitId};
use crate::standby::problems;

/// Who stands by outside immediately dangerous air on one day of universal time.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Watch {
    /// Who was posted, in the order of time.
    pub postings: Vec<Posting>,
    /// For which tasks they were stood down before their time, in the order of time.
    pub ended: Vec<(TaskId, At)>,
}

/// People posted outside for a task.
#[derive(Debug, Clone, PartialEq)]
pub struct Posting {
    /// The task.
    pub task: TaskId,
    /// Who stands outside.
    pub outside: Vec<PersonId>,
    /// The sets that they have at hand, in the same order.
    pub sets: Vec<UnitId>,
    /// Who of them has another role, which can be left at once.
    pub other_role: Vec<PersonId>,
    /// Who goes in; whoever does the task where nobody is named.
    pub inside: Vec<PersonId>,
    /// How those outside and those inside keep in touch.
    pub contact: Vec<Contact>,
    /// How those inside keep in touch with each other.
    pub together: Vec<Contact>,
    /// How who is inside would be brought out.
    pub retrieval: Retrieval,
    /// Who is told before anybody goes in for a rescue.
    pub notify: String,
    /// What help comes then.
    pub help: String,
    /// Until when they stand there.
    pub until: Timestamp,
    /// Where that stands.
    pub at: At,
}

impl Watch {
    /// Postings that cannot be so, and people at two tasks at once, which is over when they are.
    pub(super) fn impossible(&self) -> Vec<Contradiction> {
        let of_one = self.postings.iter().flat_map(|posting| {
            let said = |(_, what, _): (_, String, _)| {
                said(&posting.at.entry, format!("standby for task `{}`: {what}", posting.task))
            };
            problems(posting).into_iter().map(said)
        });
        of_one.chain(self.at_two_tasks()).collect()
    }

    fn at_two_tasks(&self) -> Vec<Contradiction> {
        let mut all = Vec::new();
        for (place, later) in self.postings.iter().enumerate() {
            for earlier in self.postings.iter().take(place) {
                if earlier.task == later.task || self.end(earlier) <= later.at.when {
                    continue;
                }
                let there: BTreeSet<&PersonId> = earlier.outside.iter().collect();
                let at_both =
                    later.outside.iter().chain(&later.inside).find(|id| there.contains(id));
                let Some(person) = at_both else { continue };
                let words = format!(
                    "`{person}` stands by for task `{}` and is at task `{}` at the same time",
                    earlier.task, later.task
                );
                let entries = vec![earlier.at.entry.clone(), later.at.entry.clone()];
                all.push(Contradiction { entries, words, unsettled: false });
            }
        }
        all
    }

    /// When a posting ends, as far as this day tells: at its time, when it was ended or when others were
    /// posted for the task.
    fn end(&self, posting: &Posting) -> Timestamp {
        let others = self.postings.iter().filter(|other| other.at.when > posting.at.when);
        let others = others.filter(|other| other.task == posting.task).map(|other| other.at.when);
        let ended = self.ended.iter().filter(|(task, _)| *task == posting.task);
        let ended = ended.map(|(_, at)| at.when).filter(|when| posting.at.when <= *when);
        others.chain(ended).fold(posting.until, Ord::min)
    }
}

impl Thing for Watch {
    fn begin(entry: &Entry) -> Option<Self> {
        let of_it = matches!(entry.fact, Fact::StandbyPosted { .. } | Fact::StandbyEnded { .. });
        of_it.then(Self::default)
    }

    fn add(&mut self, entry: &Entry) {
        let at = At::first(entry);
        match &entry.fact {
            Fact::StandbyEnded { task, .. } => self.ended.push((task.clone(), at)),
            fact => self.postings.extend(Posting::of(fact, at)),
        }
    }
}

impl Posting {
    /// The posting that a fact tells of.
    pub(crate) fn of(fact: &Fact, at: At) -> Option<Self> {
        let Fact::StandbyPosted {
            task,
            outside,
            sets,
            other_role,
            inside,
            contact,
            together,
            retrieval,
            notify,
            help,
            until,
        } = fact
        else {
            return None;
        };
        Some(Self {
            task: task.clone(),
            outside: outside.clone(),
            sets: sets.clone(),
            other_role: other_role.clone(),
            inside: inside.clone(),
            contact: contact.clone(),
            together: together.clone(),
            retrieval: retrieval.clone(),
            notify: notify.clone(),
            help: help.clone(),
            until: *until,
            at,
        })
    }

    /// Whether somebody stands outside, under this id or one that looks like it.
    pub(crate) fn stands_outside(&self, person: &PersonId) -> bool {
        let looks = alike(person.as_str());
        self.outside.iter().any(|id| alike(id.as_str()) == looks)
    }

    /// Whether somebody goes in, under this id or one that looks like it.
    pub(crate) fn goes_in(&self, person: &PersonId) -> bool {
        let looks = alike(person.as_str());
        self.inside.iter().any(|id| alike(id.as_str()) == looks)
    }

    /// Whether a set is at hand outside, under this tag or one that looks like it.
    pub(crate) fn keeps_at_hand(&self, set: &UnitId) -> bool {
        let looks = alike(set.as_str());
        self.sets.iter().any(|id| alike(id.as_str()) == looks)
    }

    /// The set that a person has at hand, where nobody else has it.
    pub(crate) fn set_of(&self, place: usize) -> Option<&UnitId> {
        let own = self.sets.get(place)?;
        let looks = alike(own.as_str());
        let others = self.sets.iter().filter(|set| alike(set.as_str()) == looks).count();
        (others == 1).then_some(own)
    }
}
