use std::collections::BTreeMap;

use serde::Serialize;

use super::log::{Log, Thing};
use super::rests_on::Question;
use super::subjects::Subject;
use super::{AdoptedSchedule, State, Watch};
use crate::ids::{ElementTypeId, EntryId, PersonId, TaskId, UnitId};

/// Entries that cannot all be so, or that speak of something nobody made known.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Contradiction {
    /// The entries.
    pub entries: Vec<EntryId>,
    /// What is wrong with them.
    pub words: String,
    /// Whether it still stands in the way of an answer; one that is over is only shown.
    pub unsettled: bool,
}

impl State {
    /// Every contradiction among the entries.
    #[must_use]
    pub fn contradictions(&self) -> Vec<Contradiction> {
        let mut all: Vec<Contradiction> =
            self.subjects().flat_map(|thing| self.contradictions_of(&thing)).collect();
        all.sort();
        all
    }

    /// Every contradiction among the entries about one thing. Each belongs to one thing only.
    #[must_use]
    pub fn contradictions_of(&self, thing: &Subject) -> Vec<Contradiction> {
        let mut all = match thing {
            Subject::Unit(id) => self.of_unit(id),
            // Who has a part in the program and does not wear is known all the same.
            Subject::Wearer(id) => match self.wearer(id) {
                Some(known) => {
                    let impossible = self.impossible_of_wearer(id, known);
                    known.contradictions.iter().cloned().chain(impossible).collect()
                }
                None if self.person(id).is_some() => Vec::new(),
                None => self.unknown_in("wearer", id, &self.wearers),
            },
            Subject::Cylinder(id) => match self.cylinder(id) {
                Some(cylinder) => self.impossible_of_cylinder(id, cylinder),
                None => self.unknown_in("cylinder", id, &self.cylinders),
            },
            Subject::Supply(id) => self.unknown_in("supply", id, &self.supplies),
            Subject::Place(id) => self.unknown_in("place", id, &self.places),
            Subject::Stock(id) => self.unknown_in("box", id, &self.stocks),
            Subject::Group(id) => self.unknown_in("group", id, &self.groups),
            Subject::Instrument(id) => self.unknown_in("instrument", id, &self.instruments),
            Subject::Task(id) => self.of_task(id),
            Subject::Correction(id) => {
                let used_twice = self.reused.get(id).map(reused);
                self.corrections.doubt_of(id).cloned().into_iter().chain(used_twice).collect()
            }
            Subject::Site(id) => {
                self.site(id).map(|site| self.impossible_of_site(id, site)).unwrap_or_default()
            }
            // Told where something rests on them.
            Subject::Model(_) | Subject::ElementType(_) => return Vec::new(),
            Subject::Watch(day) => self.watch(day).map(Watch::impossible).unwrap_or_default(),
            Subject::Person(_) | Subject::Lot(_) => Vec::new(),
        };
        all.extend(self.look_alike(thing));
        all.sort();
        all
    }

    fn of_unit(&self, id: &UnitId) -> Vec<Contradiction> {
        let Some(log) = self.units.get(id) else { return Vec::new() };
        let Some(unit) = self.unit(id) else {
            return self.unknown("respirator", id, log).into_iter().collect();
        };
        let mut all = unit.contradictions.clone();
        all.extend(self.impossible_of_unit(id, unit));
        if self.model(&unit.model).is_none() {
            let words = format!("respirator `{id}` is of model `{}`, never listed", unit.model);
            all.push(said(&unit.received.entry, words));
        }
        let elements = unit.elements.as_ref();
        if let Some(on) = elements.filter(|on| self.element_type(&on.element_type).is_none()) {
            let kind = &on.element_type;
            let words = format!("respirator `{id}` carries elements `{kind}`, never listed");
            all.push(said(&on.at.entry, words));
        }
        all
    }

    fn of_task(&self, id: &TaskId) -> Vec<Contradiction> {
        let Some(log) = self.tasks.get(id) else { return Vec::new() };
        let Some(task) = self.task(id) else {
            return self.unknown("task", id, log).into_iter().collect();
        };
        let unlisted = task.schedules.iter().filter(|(kind, _)| self.element_type(kind).is_none());
        let say = |(kind, adopted): (&ElementTypeId, &AdoptedSchedule)| {
            let words = format!("task `{id}` has a schedule for `{kind}`, never listed");
            said(&adopted.at.entry, words)
        };
        unlisted.map(say).chain(self.impossible_of_task(id, task)).collect()
    }

    /// Unsettled contradictions among entries about this wearer, set or task, or about what an
    /// answer rests on beside them. A set in two pairs of hands is not among them: it has a rule
    /// of its own.
    pub(crate) fn doubts_about(
        &self,
        wearer: &PersonId,
        unit: &UnitId,
        task: &TaskId,
    ) -> Vec<Contradiction> {
        let question = Question::of(self, (wearer, unit, task));
        let concerns = |id: &EntryId| self.entry(id).is_some_and(|e| question.concerns(e));
        let of_corrections = self.corrections.in_doubt().map(|(_, doubt)| doubt.clone());
        let of_ids = self.reused.iter().filter(|id| self.counts(id)).map(reused);
        let set = self.unit(unit);
        let of_unit = set.into_iter().flat_map(|unit| &unit.contradictions).cloned();
        let of_wearer = self.wearer(wearer).into_iter().flat_map(|known| &known.contradictions);
        let all = of_corrections.chain(of_ids).chain(of_unit).chain(of_wearer.cloned());
        let unsettled = all.filter(|one| one.unsettled);
        let doubts = unsettled.filter(|one| one.entries.iter().any(concerns));
        let impossible = set.map(|set| self.impossible_of_unit(unit, set));
        let mounted = set.and_then(|set| set.mounted.as_ref()).map(|(id, _)| id);
        let of_cylinder = mounted.and_then(|id| Some((id, self.cylinder(id)?)));
        let of_cylinder = of_cylinder.map(|(id, known)| self.impossible_of_cylinder(id, known));
        let of_task = self.task(task).map(|known| self.impossible_of_task(task, known));
        let test = set.and_then(|set| self.wearer(wearer)?.fit_test(&set.model, &set.size));
        let of_test = test.map(|test| self.impossible_of_test(wearer, test));
        let alike = question.things().into_iter().flat_map(|thing| {
            let twins: Vec<Subject> = self.twins(&thing).cloned().collect();
            twins.into_iter().chain([thing]).filter_map(|one| self.look_alike(&one))
        });
        let own = [impossible, of_cylinder, of_task, of_test].into_iter().flatten().flatten();
        let mut all: Vec<Contradiction> = doubts.chain(own).collect();
        for one in alike {
            if !all.contains(&one) {
                all.push(one);
            }
        }
        all
    }

    /// Whether the entry with this id is here and was not corrected.
    #[must_use]
    pub fn counts(&self, id: &EntryId) -> bool {
        self.by_id.get(id).is_some_and(|slot| self.slots.counts(*slot))
    }

    fn unknown_in<K: Ord + std::fmt::Display, T: Thing>(
        &self,
        what: &str,
        id: &K,
        logs: &BTreeMap<K, Log<T>>,
    ) -> Vec<Contradiction> {
        logs.get(id).and_then(|log| self.unknown(what, id, log)).into_iter().collect()
    }

    /// Entries about a thing that nobody made known.
    fn unknown<T: Thing>(
        &self,
        what: &str,
        id: &impl std::fmt::Display,
        log: &Log<T>,
    ) -> Option<Contradiction> {
        if log.thing(&self.slots).is_some() {
            return None;
        }
        let counted = log.order(&self.slots).iter().filter(|slot| self.slots.counts(**slot));
        let entries: Vec<EntryId> =
            counted.filter_map(|slot| self.slots.entry(*slot)).map(|e| e.id.clone()).collect();
        let words = format!("there are entries about the {what} `{id}`, which nobody made known");
        (!entries.is_empty()).then_some(Contradiction { entries, words, unsettled: false })
    }
}

fn reused(id: &EntryId) -> Contradiction {
    said(id, format!("two different entries carry the id `{id}`"))
}

pub(super) fn said(entry: &EntryId, words: String) -> Contradiction {
    Contradiction { entries: vec![entry.clone()], words, unsettled: true }
}
