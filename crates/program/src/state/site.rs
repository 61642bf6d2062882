use std::collections::BTreeMap;

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use rulebook::interval;

use super::log::Thing;
use super::{At, State};
use crate::entry::{Entry, Every, Fact};
use crate::ids::{ActionId, PersonId, SiteId};

/// One site and the program it runs.
#[derive(Debug, Clone, PartialEq)]
pub struct Site {
    /// Its name.
    pub name: String,
    /// Its time zone as it was written.
    pub time_zone_name: String,
    /// Its time zone, where the name is one.
    pub time_zone: Option<TimeZone>,
    /// Where that stands.
    pub at: At,
    /// What the site asks more often than the rules do, by rule.
    pub policies: BTreeMap<String, Policy>,
    /// The latest version of the written program.
    pub written: Option<Written>,
    /// The latest evaluation of the program.
    pub evaluated: Option<Noted>,
    /// When wearers were asked last.
    pub consulted: Option<Consulted>,
    /// What is or was to be put right.
    pub actions: BTreeMap<ActionId, Action>,
    /// Duties that were shown to be kept, each as it was shown last.
    pub shown: BTreeMap<String, Shown>,
}

/// What a site asks more often than a rule does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Policy {
    /// How often.
    pub every: Every,
    /// Where that stands.
    pub at: At,
}

/// A version of the written program.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// Its version or date.
    pub version: String,
    /// Where it can be read.
    pub kept_at: String,
    /// Where that stands.
    pub at: At,
}

/// Something noted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Noted {
    /// What.
    pub words: String,
    /// Where that stands.
    pub at: At,
}

/// What wearers said.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Consulted {
    /// Who, or how many.
    pub who: String,
    /// What they said.
    pub said: String,
    /// Where that stands.
    pub at: At,
}

/// Something to be put right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Action {
    /// What.
    pub what: String,
    /// Who does it.
    pub responsible: PersonId,
    /// Last day for it.
    pub until: Date,
    /// Where that stands.
    pub at: At,
    /// What was done, once it was.
    pub closed: Option<Noted>,
}

/// A duty that was shown to be kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shown {
    /// How.
    pub how: String,
    /// Last day on which that still shows it.
    pub until: Option<Date>,
    /// Where that stands.
    pub at: At,
}

impl Shown {
    /// Whether it still shows the duty on this day.
    #[must_use]
    pub fn holds_on(&self, day: Date) -> bool {
        self.until.is_none_or(|until| day <= until)
    }
}

impl Site {
    /// How often `rule` asks at this site: as its policy says, unless that is laxer than the rule.
    /// Rules that ask nothing by the calendar ask it each day.
    #[must_use]
    pub fn every(&self, rule: &str) -> Every {
        let wished = self.policies.get(rule).and_then(|p| interval::adopt(rule, p.every).ok());
        wished.unwrap_or_else(|| usual(rule))
    }
}

/// How often a rule asks where no site says otherwise.
fn usual(rule: &str) -> Every {
    interval::asked(rule).map_or(Every::Days(0), |asked| asked.every)
}

impl State {
    /// The day of an instant at a site; of universal time where its zone is not known.
    #[must_use]
    pub fn day_at(&self, site: &SiteId, when: Timestamp) -> Date {
        let zone = self.site(site).and_then(|site| site.time_zone.clone());
        zone.unwrap_or(TimeZone::UTC).to_datetime(when).date()
    }

    /// How often `rule` asks at a site; as usual where the site is not known.
    #[must_use]
    pub fn every(&self, site: &SiteId, rule: &str) -> Every {
        self.site(site).map_or_else(|| usual(rule), |site| site.every(rule))
    }
}

impl Thing for Site {
    fn begin(entry: &Entry) -> Option<Self> {
        let Fact::SiteOpened { name, time_zone } = &entry.fact else { return None };
        Some(Self {
            name: name.clone(),
            time_zone_name: time_zone.clone(),
            time_zone: TimeZone::get(time_zone).ok(),
            at: At::first(entry),
            policies: BTreeMap::new(),
            written: None,
            evaluated: None,
            consulted: None,
            actions: BTreeMap::new(),
            shown: BTreeMap::new(),
        })
    }

    fn add(&mut self, entry: &Entry) {
        let at = At::first(entry);
        match &entry.fact {
            Fact::PolicySet { rule, every } => {
                self.policies.insert(rule.clone(), Policy { every: *every, at });
            }
            Fact::ProgramWritten { version, kept_at } => {
                let (version, kept_at) = (version.clone(), kept_at.clone());
                self.written = Some(Written { version, kept_at, at });
            }
            Fact::ProgramEvaluated { found } => {
                self.evaluated = Some(Noted { words: found.clone(), at });
            }
            Fact::WorkersConsulted { who, said } => {
                self.consulted = Some(Consulted { who: who.clone(), said: said.clone(), at });
            }
            Fact::ActionOpened { action, what, responsible, until } => {
                let (what, responsible) = (what.clone(), responsible.clone());
                let opened = Action { what, responsible, until: *until, at, closed: None };
                self.actions.insert(action.clone(), opened);
            }
            Fact::ActionClosed { action, done } => {
                if let Some(action) = self.actions.get_mut(action) {
                    action.closed = Some(Noted { words: done.clone(), at });
                }
            }
            Fact::DutyShown { duty, how, until } => {
                self.shown.insert(duty.clone(), Shown { how: how.clone(), until: *until, at });
            }
            _ => {}
        }
    }
}
