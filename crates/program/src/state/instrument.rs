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
    /// The months between two calibrations, by its maker.
    pub calibration_months: Option<u16>,
    /// Whether its maker asks for a check before use on each day.
    pub checked_before_use: bool,
    /// Every calibration, in the order of time.
    pub calibrations: Vec<Calibrated>,
    /// Whether it was in order at each check, in the order of time.
    pub checks: Vec<(bool, At)>,
    /// When and why it was taken out of use, each time, and when it was listed anew after that.
    pub withdrawn: Vec<(Reason, Option<Timestamp>)>,
    /// Where that stands.
    pub at: At,
    /// The serial numbers that it was listed with, one after another, and from when: another number is
    /// another device under the same id.
    devices: Vec<(String, Timestamp)>,
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
        let since = self.in_place_since(when);
        let own = |at: &At| at.when <= when && since.is_none_or(|since| since <= at.when);
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
            serves: self.serves,
            calibration_months: self.calibration_months,
            checked_before_use: self.checked_before_use,
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

    /// From when the device that was in use at an instant stands under this id; none for the first.
    fn in_place_since(&self, when: Timestamp) -> Option<Timestamp> {
        let later = self.devices.iter().skip(1).rev();
        later.map(|(_, from)| *from).find(|from| *from <= when)
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
        let Fact::InstrumentListed {
            name,
            serial,
            serves,
            calibration_months,
            checked_before_use,
            ..
        } = &entry.fact
        else {
            return None;
        };
        Some(Self {
            site: entry.site.clone(),
            name: name.clone(),
            serial: serial.clone(),
            serves: *serves,
            calibration_months: *calibration_months,
            checked_before_use: *checked_before_use,
            calibrations: Vec::new(),
            checks: Vec::new(),
            withdrawn: Vec::new(),
            devices: Vec::new(),
            at: At::first(entry),
        })
    }

    fn add(&mut self, entry: &Entry) {
        let at = At::first(entry);
        match &entry.fact {
            // What is listed again after it was taken out of use is back.
            Fact::InstrumentListed { serial, .. } => {
                let last = self.devices.last().map(|(last, _)| alike(last));
                if last.is_none_or(|last| last != alike(serial)) {
                    self.devices.push((serial.clone(), at.when));
                }
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
