use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use rulebook::fit_test::{self as fit, FitInstrument, InstrumentFacts};
use rulebook::wearer::MadeWith;

use super::log::Thing;
use super::{At, FitTest, Reason, State};
use crate::alike;
use crate::entry::{Entry, Fact};
use crate::ids::SiteId;

/// An instrument for fit tests, or a kit for tests by taste, smell or irritation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Instrument {
    /// The site that listed it.
    pub site: SiteId,
    /// Its name.
    pub name: String,
    /// The maker's serial number.
    pub serial: String,
    /// What it is.
    pub serves: FitInstrument,
    /// Every calibration, in the order of time.
    pub calibrations: Vec<Calibrated>,
    /// Whether it was in order at each check, in the order of time.
    pub checks: Vec<(bool, At)>,
    /// When and why it was taken out of use, each time, and when it was listed anew after that.
    pub withdrawn: Vec<(Reason, Option<Timestamp>)>,
    /// Where that stands.
    pub at: At,
    /// Every listing of it, in the order of time.
    listings: Vec<Listing>,
}

/// A listing of an instrument.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Listing {
    serial: String,
    serves: FitInstrument,
    calibration_months: Option<u16>,
    checked_before_use: bool,
    when: Timestamp,
}

impl Listing {
    /// Whether it is of the same device, and not of another under the same id.
    fn is_of_same(&self, other: &Self) -> bool {
        self.serves == other.serves && alike(&self.serial) == alike(&other.serial)
    }
}

/// What the listings say of the device that was in use at an instant.
struct Device {
    serves: FitInstrument,
    /// From when it stands under this id; none for the first.
    since: Option<Timestamp>,
    calibration_months: Option<u16>,
    checked_before_use: bool,
}

/// A calibration.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Calibrated {
    /// Whether it was found or brought within the maker's bounds.
    pub passed: bool,
    /// The last day on which it counts, where that was written.
    pub until: Option<Date>,
    /// Where that stands.
    pub at: At,
}

impl Instrument {
    /// Whether it is out of use.
    #[must_use]
    pub fn is_withdrawn(&self) -> bool {
        self.withdrawn.last().is_some_and(|(_, back)| back.is_none())
    }

    /// As it stood at an instant, on the calendar of `zone`.
    pub(crate) fn facts(&self, when: Timestamp, zone: &TimeZone) -> InstrumentFacts<'_> {
        let day = |at: &At| zone.to_datetime(at.when).date();
        let device = self.device(when);
        let own = |at: &At| at.when <= when && device.since.is_none_or(|since| since <= at.when);
        let calibration = self.calibrations.iter().rev().find(|one| own(&one.at));
        let back = self.withdrawn.iter().filter_map(|(_, back)| *back);
        let back = back.filter(|back| *back <= when).max();
        // What held before it was taken out of use says nothing of it since it is back.
        let check = self.checks.iter().rev().find(|(_, at)| own(at));
        let check = check.filter(|(passed, at)| !passed || back.is_none_or(|back| back <= at.when));
        let out = self
            .withdrawn
            .iter()
            .rev()
            .find(|(out, back)| out.at.when <= when && back.is_none_or(|back| when < back));
        InstrumentFacts {
            name: &self.name,
            serves: device.serves,
            calibration_months: device.calibration_months,
            checked_before_use: device.checked_before_use,
            withdrawn: out.map(|(out, _)| (out.why.as_str(), out.at.entry.as_str())),
            calibration: calibration.map(|one| fit::Calibration {
                day: day(&one.at),
                until: one.until,
                passed: one.passed,
                entry: one.at.entry.as_str(),
            }),
            check: check.map(|(passed, at)| fit::Checked {
                day: day(at),
                passed: *passed,
                calibrated_since: calibration.is_some_and(|one| at.when < one.at.when),
                entry: at.entry.as_str(),
            }),
            entry: self.at.entry.as_str(),
        }
    }

    /// The device that was in use at an instant, by the listing that stood then and by the later ones of it:
    /// what is listed more laxly afterwards lifts nothing.
    fn device(&self, when: Timestamp) -> Device {
        let (before, after): (Vec<&Listing>, Vec<&Listing>) =
            self.listings.iter().partition(|one| one.when <= when);
        let then = before.last().or_else(|| after.first()).copied();
        let same = |one: &&&Listing| then.is_some_and(|then| one.is_of_same(then));
        let earlier = before.iter().rev().take_while(same).count();
        let since = before.len().checked_sub(earlier).filter(|others| *others > 0);
        let told = || then.into_iter().chain(after.iter().take_while(same).copied());
        Device {
            serves: then.map_or(self.serves, |then| then.serves),
            since: since.and_then(|others| before.get(others)).map(|first| first.when),
            calibration_months: told().filter_map(|one| one.calibration_months).min(),
            checked_before_use: told().any(|one| one.checked_before_use),
        }
    }
}

impl FitTest {
    /// What it was made with, as that stood then on the calendar of `zone`.
    pub(crate) fn made_with<'s>(&'s self, state: &'s State, zone: &TimeZone) -> MadeWith<'s> {
        let Some(id) = &self.instrument else { return MadeWith::NotTold };
        let Some(known) = state.instrument(id) else { return MadeWith::Unlisted(id.as_str()) };
        let day = |when: Timestamp| zone.to_datetime(when).date();
        // Of two checks of one instant the one that failed counts.
        let later = known.checks.iter().filter(|(_, at)| self.at.when < at.when);
        let next = later.min_by_key(|(passed, at)| (at.when, *passed));
        let next = next.filter(|(passed, at)| !passed && day(at.when) == day(self.at.when));
        let failed_later = next.map(|(_, at)| at.entry.as_str());
        MadeWith::Known { facts: known.facts(self.at.when, zone), failed_later }
    }
}

impl Thing for Instrument {
    fn begin(entry: &Entry) -> Option<Self> {
        let Fact::InstrumentListed { name, serial, serves, .. } = &entry.fact else { return None };
        Some(Self {
            site: entry.site.clone(),
            name: name.clone(),
            serial: serial.clone(),
            serves: *serves,
            calibrations: Vec::new(),
            checks: Vec::new(),
            withdrawn: Vec::new(),
            listings: Vec::new(),
            at: At::first(entry),
        })
    }

    fn add(&mut self, entry: &Entry) {
        let at = At::first(entry);
        match &entry.fact {
            // What is listed again after it was taken out of use is back.
            Fact::InstrumentListed {
                serial,
                serves,
                calibration_months,
                checked_before_use,
                ..
            } => {
                self.listings.push(Listing {
                    serial: serial.clone(),
                    serves: *serves,
                    calibration_months: *calibration_months,
                    checked_before_use: *checked_before_use,
                    when: at.when,
                });
                for (_, back) in self.withdrawn.iter_mut().filter(|(_, back)| back.is_none()) {
                    *back = Some(at.when);
                }
            }
            Fact::InstrumentCalibrated { passed, until, .. } => {
                self.calibrations.push(Calibrated { passed: *passed, until: *until, at });
            }
            Fact::InstrumentChecked { passed, .. } => self.checks.push((*passed, at)),
            Fact::InstrumentWithdrawn { why, .. } => {
                self.withdrawn.push((Reason { why: why.clone(), at }, None));
            }
            _ => {}
        }
    }
}
