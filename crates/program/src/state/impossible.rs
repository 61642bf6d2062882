//! What was entered and cannot be so, though it arrived.

use std::collections::BTreeSet;

use super::contradiction::{Contradiction, said};
use super::{Cylinder, FitTest, Site, State, Task, Unit, Wearer};
use crate::check::{
    cylinder_words, elements_words, is_within_a_day, kind_words, no_such_size, not_from_that_box,
    period_words, tested_facepiece_words,
};
use crate::entry::Every;
use crate::ids::{CylinderId, PersonId, SiteId, TaskId, UnitId};
use crate::usual_shift;

impl State {
    /// Of a set: a size that its model does not come in, elements that it or nobody can carry, a box that
    /// it cannot come from.
    pub(super) fn impossible_of_unit(&self, id: &UnitId, unit: &Unit) -> Vec<Contradiction> {
        let Some(model) = self.model(&unit.model) else { return Vec::new() };
        let size = no_such_size(model, &unit.size)
            .map(|what| said(&unit.received.entry, format!("respirator `{id}`: {what}")));
        let elements = unit.elements.as_ref().and_then(|on| {
            let what = elements_words(&model.device)?;
            Some(said(&on.at.entry, format!("respirator `{id}`: {what}")))
        });
        let taken = unit.taken_from.as_ref().and_then(|stock| {
            let what = not_from_that_box(self, stock, (&unit.model, &unit.size))?;
            Some(said(&unit.received.entry, format!("respirator `{id}`: {what}")))
        });
        let carried = self.carried(unit).and_then(|on| self.element_type(on.element_type));
        let kind = carried.into_iter().flat_map(|kind| {
            let words = kind_words(kind.count, kind.bed.as_ref()).into_iter();
            words.map(|(_, what, _)| said(&kind.at.entry, format!("respirator `{id}`: {what}")))
        });
        size.into_iter().chain(elements).chain(taken).chain(kind).collect()
    }

    /// Of a cylinder: dates that cannot be together, and a period that no permit allows.
    pub(super) fn impossible_of_cylinder(
        &self,
        id: &CylinderId,
        cylinder: &Cylinder,
    ) -> Vec<Contradiction> {
        let listed = self.day_at(&cylinder.site, cylinder.listed.when);
        let life_ends = cylinder.terms.as_ref().and_then(|terms| terms.life_ends);
        let dates = (cylinder.made, cylinder.requalified, life_ends);
        let mut all: Vec<Contradiction> = cylinder_words(dates, listed)
            .into_iter()
            .map(|(_, what)| said(&cylinder.listed.entry, format!("cylinder `{id}`: {what}")))
            .collect();
        let period = cylinder.terms.as_ref().and_then(|terms| period_words(terms.every));
        all.extend(
            period.map(|what| said(&cylinder.listed.entry, format!("cylinder `{id}`: {what}"))),
        );
        let tested = cylinder.tested.as_ref();
        if let Some(test) =
            tested.filter(|t| self.day_at(&cylinder.site, t.at.when) < cylinder.made)
        {
            let made = cylinder.made;
            let words = format!("cylinder `{id}`: it was tested before it was made on {made}");
            all.push(said(&test.at.entry, words));
        }
        all
    }

    /// Of a task: a wear of nothing, which every schedule would allow, or of more than a day, and a usual
    /// shift that cannot be so.
    pub(super) fn impossible_of_task(&self, id: &TaskId, task: &Task) -> Vec<Contradiction> {
        let wear = task.spec.wear_per_shift;
        let words =
            || format!("task `{id}`: {} min of wear are planned on one shift", wear.as_min());
        let wear = (!is_within_a_day(wear)).then(words);
        // A level of what was not measured is no contradiction: it counts as not known.
        let shift = usual_shift::problems((&task.spec, &task.segments), &BTreeSet::new());
        let shift = shift.into_iter().map(|(what, _)| format!("task `{id}`: {what}"));
        wear.into_iter().chain(shift).map(|words| said(&task.described.entry, words)).collect()
    }

    /// Of a wearer: what no fit test can be.
    pub(super) fn impossible_of_wearer(
        &self,
        id: &PersonId,
        wearer: &Wearer,
    ) -> Vec<Contradiction> {
        let tests = wearer.fit_tests.values();
        tests.flat_map(|test| self.impossible_of_test(id, test)).collect()
    }

    /// Of a fit test: a size that the model does not come in, which serves for no set; a facepiece that cannot
    /// have been on the face, and one that was changed and is not told.
    pub(super) fn impossible_of_test(&self, id: &PersonId, test: &FitTest) -> Vec<Contradiction> {
        let model = self.model(&test.model);
        let size = model.and_then(|model| no_such_size(model, &test.size));
        let seals = model.is_none_or(|model| model.device.facepiece.is_tight_fitting());
        let facepiece = tested_facepiece_words(self, test).into_iter().map(|(_, what, _)| what);
        let unknown = test.unit.as_ref().filter(|unit| self.unit(unit).is_none());
        let unknown = unknown.map(|unit| format!("`{unit}` was never received"));
        let facepiece = facepiece.chain(unknown).filter(|_| seals);
        let said = |what| said(&test.at.entry, format!("fit test of `{id}`: {what}"));
        size.into_iter().chain(facepiece).map(said).collect()
    }

    /// Of a site: a policy that can never be kept.
    pub(super) fn impossible_of_site(&self, id: &SiteId, site: &Site) -> Vec<Contradiction> {
        let never = site
            .policies
            .iter()
            .filter(|(_, policy)| matches!(policy.every, Every::Days(0) | Every::Months(0)));
        let words =
            |rule: &str| format!("site `{id}`: `{rule}` every 0 days or months can never be kept");
        never.map(|(rule, policy)| said(&policy.at.entry, words(rule))).collect()
    }
}
