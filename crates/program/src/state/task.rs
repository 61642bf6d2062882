use std::collections::BTreeMap;

use quantity::{Concentration, Minutes};
use rulebook::AirborneForm;
use substance::Cas;

use super::At;
use super::log::Thing;
use crate::entry::{Entry, Fact, ReuseCalculation, TaskSegment, TaskSpec, WorkRate};
use crate::ids::{ElementTypeId, PersonId, SiteId};

/// One task and what was measured there.
#[derive(Debug, Clone, PartialEq)]
pub struct Task {
    /// What it is and what its place is like.
    pub spec: TaskSpec,
    /// Its usual shift in segments; none where all of its wear is alike.
    pub segments: Vec<TaskSegment>,
    /// The site where it is done.
    pub site: SiteId,
    /// Where that stands.
    pub described: At,
    /// Every reading in the order of time.
    pub readings: Vec<Reading>,
    /// The latest adopted change schedule for each kind of element.
    pub schedules: BTreeMap<ElementTypeId, AdoptedSchedule>,
    /// The latest acceptance of reuse for each kind of element.
    pub reuse: BTreeMap<ElementTypeId, ReuseAcceptance>,
    /// Every contaminant ever found.
    pub contaminants: BTreeMap<Cas, Found>,
    steps: u32,
}

/// What was ever found of one contaminant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// Every state in which it was.
    pub form: AirborneForm,
    /// Its readings in the order of time, by their place among all of the task.
    readings: Vec<usize>,
}

/// One reading of one contaminant.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The contaminant.
    pub cas: Cas,
    /// How much; none where it is present and not known.
    pub concentration: Option<Concentration>,
    /// In which state.
    pub form: AirborneForm,
    /// How long was sampled.
    pub sampled: Option<Minutes>,
    /// How it was measured.
    pub method: String,
    /// Where that stands.
    pub at: At,
}

/// A change schedule that the site adopted.
#[derive(Debug, Clone, PartialEq)]
pub struct AdoptedSchedule {
    /// Longest wear of one set of elements.
    pub max_wear: Minutes,
    /// How many shifts one set may serve.
    pub shifts: u8,
    /// Where that stands.
    pub at: At,
}

/// An acceptance that elements are worn again beyond one shift.
#[derive(Debug, Clone, PartialEq)]
pub struct ReuseAcceptance {
    /// How many shifts one set may serve.
    pub shifts: u8,
    /// Who accepted it.
    pub by: PersonId,
    /// What it rests on, in words.
    pub basis: String,
    /// What the calculation gave.
    pub calculation: Option<ReuseCalculation>,
    /// Where that stands.
    pub at: At,
}

impl Task {
    /// How hard the work is at its hardest: in the task as a whole or in a segment with the mask on.
    pub(crate) fn hardest_work(&self) -> WorkRate {
        let worn = self.segments.iter().filter(|segment| segment.worn_min() > 0.0);
        let rates = worn.filter_map(|segment| segment.work_rate);
        rates.fold(self.spec.work_rate, Ord::max)
    }

    /// The readings of one contaminant in the order of time, from the first that `is_past` does
    /// not hold of; it must hold of none later than that.
    pub(super) fn readings_of<'t>(
        &'t self,
        found: &'t Found,
        is_past: impl Fn(&Reading) -> bool,
    ) -> impl Iterator<Item = &'t Reading> + Clone {
        let past = |place: &usize| self.readings.get(*place).is_some_and(&is_past);
        let start = found.readings.partition_point(past);
        found.readings.iter().skip(start).filter_map(|place| self.readings.get(*place))
    }
}

impl Thing for Task {
    fn begin(entry: &Entry) -> Option<Self> {
        let (spec, segments) = match &entry.fact {
            Fact::TaskDescribed { spec, .. } => (spec, Vec::new()),
            Fact::TaskDescribedBySegments { spec, segments, .. } => (spec, segments.clone()),
            _ => return None,
        };
        Some(Self {
            spec: spec.clone(),
            segments,
            site: entry.site.clone(),
            described: At::first(entry),
            readings: Vec::new(),
            schedules: BTreeMap::new(),
            reuse: BTreeMap::new(),
            contaminants: BTreeMap::new(),
            steps: 0,
        })
    }

    fn add(&mut self, entry: &Entry) {
        self.steps = self.steps.saturating_add(1);
        let at = At::step(entry, self.steps);
        match &entry.fact {
            Fact::ReadingTaken { cas, concentration, form, sampled, method, .. } => {
                let new = Found { form: *form, readings: Vec::new() };
                let found = self.contaminants.entry(*cas).or_insert(new);
                if found.form != *form {
                    found.form = AirborneForm::VapourAndParticle;
                }
                found.readings.push(self.readings.len());
                self.readings.push(Reading {
                    cas: *cas,
                    concentration: *concentration,
                    form: *form,
                    sampled: *sampled,
                    method: method.clone(),
                    at,
                });
            }
            Fact::ScheduleAdopted { element_type, max_wear, shifts, .. } => {
                let adopted = AdoptedSchedule { max_wear: *max_wear, shifts: *shifts, at };
                self.schedules.insert(element_type.clone(), adopted);
            }
            Fact::ReuseAccepted { element_type, shifts, by, basis, calculation, .. } => {
                let accepted = ReuseAcceptance {
                    shifts: *shifts,
                    by: by.clone(),
                    basis: basis.clone(),
                    calculation: calculation.clone(),
                    at,
                };
                self.reuse.insert(element_type.clone(), accepted);
            }
            _ => {}
        }
    }
}
