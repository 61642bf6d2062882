use quantity::{Concentration, Minutes};
use substance::Cas;

use super::At;
use super::log::Thing;
use crate::entry::{Entry, Fact};
use crate::ids::{SiteId, TaskId};

/// A group of people who are exposed alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// The site that described it.
    pub site: SiteId,
    /// Its name.
    pub name: String,
    /// The tasks that its readings speak for.
    pub tasks: Vec<TaskId>,
    /// Where that stands.
    pub at: At,
    /// Every reading in the order of time.
    pub measured: Vec<Measured>,
}

/// One reading of one contaminant on one of a group.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// The contaminant.
    pub cas: Cas,
    /// The level, or the level that it lies below.
    pub level: Concentration,
    /// Whether it was detected.
    pub detected: bool,
    /// How long was sampled.
    pub sampled: Minutes,
    /// How it was measured.
    pub method: String,
    /// Where that stands.
    pub at: At,
}

impl Thing for Group {
    fn begin(entry: &Entry) -> Option<Self> {
        let Fact::ExposureGroupDescribed { name, tasks, .. } = &entry.fact else { return None };
        Some(Self {
            site: entry.site.clone(),
            name: name.clone(),
            tasks: tasks.clone(),
            at: At::first(entry),
            measured: Vec::new(),
        })
    }

    fn add(&mut self, entry: &Entry) {
        let Fact::ExposureMeasured { cas, level, detected, sampled, method, .. } = &entry.fact
        else {
            return;
        };
        self.measured.push(Measured {
            cas: *cas,
            level: *level,
            detected: *detected,
            sampled: *sampled,
            method: method.clone(),
            at: At::first(entry),
        });
    }
}
