use serde::Serialize;

use super::State;
use super::log::{Log, Thing};
use super::subjects::Subjects;
use crate::ids::{EntryId, PersonId, TaskId, UnitId};

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
        let mut all: Vec<Contradiction> = self.corrections.in_doubt().cloned().collect();
        all.extend(self.reused.iter().map(reused));
        all.extend(self.units.iter().filter_map(|(id, log)| self.unknown("respirator", id, log)));
        // Who has a part in the program and does not wear is known all the same.
        let strangers = self.wearers.iter().filter(|(id, _)| self.person(id).is_none());
        all.extend(strangers.filter_map(|(id, log)| self.unknown("wearer", id, log)));
        all.extend(self.tasks.iter().filter_map(|(id, log)| self.unknown("task", id, log)));
        all.extend(self.cylinders.iter().filter_map(|(id, log)| self.unknown("cylinder", id, log)));
        all.extend(self.supplies.iter().filter_map(|(id, log)| self.unknown("supply", id, log)));
        all.extend(self.places.iter().filter_map(|(id, log)| self.unknown("place", id, log)));
        all.extend(self.stocks.iter().filter_map(|(id, log)| self.unknown("box", id, log)));
        all.extend(self.groups.iter().filter_map(|(id, log)| self.unknown("group", id, log)));
        for (id, unit) in self.units() {
            all.extend(unit.contradictions.iter().cloned());
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
        }
        for (id, task) in self.tasks() {
            for (kind, adopted) in &task.schedules {
                if self.element_type(kind).is_none() {
                    let words = format!("task `{id}` has a schedule for `{kind}`, never listed");
                    all.push(said(&adopted.at.entry, words));
                }
            }
        }
        all.sort();
        all
    }

    /// Unsettled contradictions among entries about this wearer, set or task. A set in two pairs
    /// of hands is not among them: it has a rule of its own.
    pub(crate) fn doubts_about(
        &self,
        wearer: &PersonId,
        unit: &UnitId,
        task: &TaskId,
    ) -> Vec<Contradiction> {
        let concerns = |id: &EntryId| {
            self.entry(id).is_some_and(|entry| {
                let about = Subjects::of(entry);
                about.wearer == Some(wearer) || about.unit == Some(unit) || about.task == Some(task)
            })
        };
        let of_corrections = self.corrections.in_doubt().cloned();
        let of_ids = self.reused.iter().filter(|id| self.counts(id)).map(reused);
        let of_unit = self.unit(unit).into_iter().flat_map(|unit| &unit.contradictions).cloned();
        let all = of_corrections.chain(of_ids).chain(of_unit);
        let unsettled = all.filter(|one| one.unsettled);
        unsettled.filter(|one| one.entries.iter().any(concerns)).collect()
    }

    pub(super) fn counts(&self, id: &EntryId) -> bool {
        self.by_id.get(id).is_some_and(|slot| self.slots.counts(*slot))
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

fn said(entry: &EntryId, words: String) -> Contradiction {
    Contradiction { entries: vec![entry.clone()], words, unsettled: true }
}
