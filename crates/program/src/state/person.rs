use std::collections::BTreeMap;

use jiff::Timestamp;
use jiff::civil::Date;

use super::log::Thing;
use super::{At, State, Subject, Training};
use crate::entry::{Entry, Fact, Role, TrainingTopic};
use crate::ids::{PersonId, SiteId};

/// Somebody with a part in the program, or who had one.
#[derive(Debug, Clone, PartialEq)]
pub struct Person {
    /// Name to show.
    pub name: String,
    /// The site that gave a part last.
    pub site: SiteId,
    /// Every part ever held, in the order of time.
    pub roles: Vec<RoleHeld>,
    /// Every training in each topic, in the order of time.
    pub training: BTreeMap<TrainingTopic, Vec<Training>>,
}

/// A part in the program.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RoleHeld {
    /// Which.
    pub role: Role,
    /// The site that gave it.
    pub site: SiteId,
    /// The training or experience that was shown for it.
    pub shown: String,
    /// Last day it holds, if it ends.
    pub until: Option<Date>,
    /// Where that stands.
    pub at: At,
    /// When it was given back.
    pub ended: Option<At>,
}

impl Person {
    /// The parts that were not given back, the latest of each first.
    pub fn parts(&self) -> impl Iterator<Item = &RoleHeld> {
        self.roles.iter().rev().filter(|held| held.ended.is_none())
    }

    /// The part as it was held at an instant, at whatever site.
    #[must_use]
    pub fn held_at(&self, role: Role, when: Timestamp) -> Option<&RoleHeld> {
        let held = self.roles.iter().rev().filter(|held| held.role == role);
        held.filter(|held| held.at.when <= when)
            .find(|held| held.ended.as_ref().is_none_or(|ended| when < ended.when))
    }
}

impl State {
    /// The latest training of a person in `topic` before an instant, whether or not it still counts.
    #[must_use]
    pub fn latest_training(
        &self,
        person: &PersonId,
        topic: TrainingTopic,
        when: Timestamp,
    ) -> Option<&Training> {
        let of_person = self.person(person).and_then(|known| known.training.get(&topic));
        let of_wearer = self.wearer(person).and_then(|known| known.trainings.get(&topic));
        let all = of_person.into_iter().flatten().chain(of_wearer.into_iter().flatten());
        all.filter(|training| training.at.when <= when).max_by_key(|training| training.at.when)
    }

    /// The same, where it was understood and counts at the site on that day.
    #[must_use]
    pub fn training_in_force(
        &self,
        person: &PersonId,
        topic: TrainingTopic,
        (site, when): (&SiteId, Timestamp),
    ) -> Option<&Training> {
        let latest = self.latest_training(person, topic, when).filter(|done| done.understood)?;
        let counts = self.every(site, "repair.trained");
        let until = counts.last_day(self.day_at(site, latest.at.when));
        (self.day_at(site, when) <= until).then_some(latest)
    }

    /// Whether a person ran the program of a site at an instant, by entries as they were first made: nobody
    /// comes to run it, or gets it back, by a correction.
    #[must_use]
    pub fn ran_the_program(&self, person: &PersonId, (site, when): (&SiteId, Timestamp)) -> bool {
        let thing = Subject::Person(person.clone());
        let first_made = || self.history(&thing).filter(|entry| entry.corrects.is_none());
        let of_site = |entry: &&Entry| entry.site == *site && entry.happened <= when;
        let given_back_since = |given: &Entry| {
            first_made().filter(of_site).any(|entry| {
                matches!(entry.fact, Fact::RoleEnded { role: Role::Administrator, .. })
                    && given.happened <= entry.happened
            })
        };
        first_made().filter(of_site).filter(|entry| self.counts(&entry.id)).any(|entry| {
            let Fact::RoleGiven { role: Role::Administrator, until, .. } = &entry.fact else {
                return false;
            };
            let in_date = until.is_none_or(|until| self.day_at(site, when) <= until);
            in_date && !given_back_since(entry)
        })
    }
}

impl Thing for Person {
    fn begin(entry: &Entry) -> Option<Self> {
        let Fact::RoleGiven { name, .. } = &entry.fact else { return None };
        Some(Self {
            name: name.clone(),
            site: entry.site.clone(),
            roles: Vec::new(),
            training: BTreeMap::new(),
        })
    }

    fn add(&mut self, entry: &Entry) {
        let at = At::first(entry);
        match &entry.fact {
            Fact::RoleGiven { role, shown, until, .. } => {
                let (role, site, shown) = (*role, entry.site.clone(), shown.clone());
                self.site.clone_from(&site);
                self.roles.push(RoleHeld { role, site, shown, until: *until, at, ended: None });
            }
            Fact::RoleEnded { role, .. } => {
                let of_site = |held: &&mut RoleHeld| {
                    held.role == *role && held.site == entry.site && held.ended.is_none()
                };
                let ended = self.roles.iter_mut().filter(of_site);
                ended.for_each(|held| held.ended = Some(at.clone()));
            }
            Fact::Trained { topic, understood, .. } => {
                let done = Training { understood: *understood, at };
                self.training.entry(*topic).or_default().push(done);
            }
            _ => {}
        }
    }
}
