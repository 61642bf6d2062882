use std::collections::BTreeMap;

use jiff::civil::Date;

use super::log::Thing;
use super::{At, Training};
use crate::entry::{Entry, Fact, Role, TrainingTopic};
use crate::ids::SiteId;

/// Somebody with a part in the program, or who had one.
#[derive(Debug, Clone, PartialEq)]
pub struct Person {
    /// Name to show.
    pub name: String,
    /// The site that gave the part.
    pub site: SiteId,
    /// The parts held.
    pub roles: BTreeMap<Role, RoleHeld>,
    /// Every training in each topic, in the order of time.
    pub training: BTreeMap<TrainingTopic, Vec<Training>>,
}

/// A part in the program.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RoleHeld {
    /// The training or experience that was shown for it.
    pub shown: String,
    /// Last day it holds, if it ends.
    pub until: Option<Date>,
    /// Where that stands.
    pub at: At,
}

impl Thing for Person {
    fn begin(entry: &Entry) -> Option<Self> {
        let Fact::RoleGiven { name, .. } = &entry.fact else { return None };
        Some(Self {
            name: name.clone(),
            site: entry.site.clone(),
            roles: BTreeMap::new(),
            training: BTreeMap::new(),
        })
    }

    fn add(&mut self, entry: &Entry) {
        let at = At::first(entry);
        match &entry.fact {
            Fact::RoleGiven { role, shown, until, .. } => {
                self.roles.insert(*role, RoleHeld { shown: shown.clone(), until: *until, at });
            }
            Fact::RoleEnded { role, .. } => {
                self.roles.remove(role);
            }
            Fact::Trained { topic, understood, .. } => {
                let done = Training { understood: *understood, at };
                self.training.entry(*topic).or_default().push(done);
            }
            _ => {}
        }
    }
}
