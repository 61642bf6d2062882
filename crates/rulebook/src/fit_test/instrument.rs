//! What fit tests are made with, and whether it was in order then.

use std::fmt;

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::protocol::protocol;
use super::rules::INSTRUMENT_READY;
use crate::Finding;
use crate::interval::Every;

/// A kind of instrument for fit tests, or of equipment for tests by taste, smell or irritation.
///
/// Source: 29 CFR 1910.134 App. A Part I.B and I.C.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FitInstrument {
    /// It counts particles of the air of the room.
    ParticleCounter,
    /// A chamber with an aerosol made for it, and a photometer.
    AerosolPhotometer,
    /// It holds a vacuum in the facepiece and measures what leaks in.
    HeldVacuum,
    /// Hood, jars, nebulisers, smoke tubes with their pump.
    TasteOrSmell,
}

impl FitInstrument {
    /// Every kind.
    pub const ALL: [Self; 4] =
        [Self::ParticleCounter, Self::AerosolPhotometer, Self::HeldVacuum, Self::TasteOrSmell];

    /// What a protocol is run with; none for one that nobody knows.
    #[must_use]
    pub fn of_protocol(id: &str) -> Option<Self> {
        Some(match protocol(id).ok()?.id.as_str() {
            "QNFT-CNC" | "QNFT-CNC-MOD-ELAST" | "QNFT-CNC-MOD-FFR" => Self::ParticleCounter,
            "QNFT-GEN" => Self::AerosolPhotometer,
            "QNFT-CNP" | "QNFT-CNP-REDON" => Self::HeldVacuum,
            "QLFT-IAA" | "QLFT-SAC" | "QLFT-BIT" | "QLFT-SMOKE" => Self::TasteOrSmell,
            _ => return None,
        })
    }

    /// Whether it gives a number, so that it is calibrated.
    #[must_use]
    pub const fn measures(self) -> bool {
        !matches!(self, Self::TasteOrSmell)
    }

    /// Where it stands that it is kept in order.
    #[must_use]
    pub const fn citation(self) -> &'static str {
        if self.measures() {
            "29 CFR 1910.134 App. A Part I.C.1(b)"
        } else {
            "29 CFR 1910.134 App. A Part I.B.1(b)"
        }
    }
}

impl fmt::Display for FitInstrument {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::ParticleCounter => "particle counter",
            Self::AerosolPhotometer => "photometer with an aerosol chamber",
            Self::HeldVacuum => "held-vacuum instrument",
            Self::TasteOrSmell => "test kit for taste, smell or irritation",
        })
    }
}

/// The longest time between two calibrations that is believed, months: what is longer is a slip of the pen.
///
/// Common practice, no source.
pub const LONGEST_CALIBRATION_MONTHS: u16 = 120;

/// An instrument as it stood at some time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InstrumentFacts<'a> {
    /// Its name.
    pub name: &'a str,
    /// What it is.
    pub serves: FitInstrument,
    /// The months between two calibrations, by its maker; none where the maker asks for none or it is not
    /// told.
    pub calibration_months: Option<u16>,
    /// Whether its maker asks for a check before use on each day.
    pub checked_before_use: bool,
    /// That it was taken out of use, and why.
    pub withdrawn: Option<(&'a str, &'a str)>,
    /// The latest calibration.
    pub calibration: Option<Calibration<'a>>,
    /// The latest check.
    pub check: Option<Checked<'a>>,
    /// The entry that made it known.
    pub entry: &'a str,
}

/// A calibration.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Calibration<'a> {
    /// Its day.
    pub day: Date,
    /// The last day on which it counts, where that was written.
    pub until: Option<Date>,
    /// Whether it was found or brought within the maker's bounds.
    pub passed: bool,
    /// The entry.
    pub entry: &'a str,
}

/// A check or a cleaning with a look at every part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Checked<'a> {
    /// Its day.
    pub day: Date,
    /// Whether it was in order.
    pub passed: bool,
    /// Whether a calibration came after it.
    pub calibrated_since: bool,
    /// The entry.
    pub entry: &'a str,
}

/// Why an instrument is not in order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unready<'a> {
    /// In words that follow its name.
    pub why: String,
    /// The entry that says so.
    pub entry: &'a str,
    /// The last day on which it was in order, where it ended by the calendar.
    pub until: Option<Date>,
}

impl<'a> InstrumentFacts<'a> {
    /// Why it is not in order on `day`; none where it is.
    ///
    /// Source: 29 CFR 1910.134 App. A Part I.B.1(b) and C.1(b); that a failed check counts until one holds or
    /// it is calibrated is common practice, no source.
    #[must_use]
    pub fn unready(&self, day: Date) -> Option<Unready<'a>> {
        let told = |why: String, entry| Some(Unready { why, entry, until: None });
        if let Some((why, entry)) = self.withdrawn {
            return told(format!("was out of use: {why}"), entry);
        }
        let failed = self.check.filter(|check| !check.passed && !check.calibrated_since);
        if let Some(failed) = failed {
            return told(format!("failed its check of {}", failed.day), failed.entry);
        }
        let Some(latest) = self.calibration else {
            let asked = self.serves.measures() || self.calibration_months.is_some();
            return asked.then(|| Unready {
                why: "was not calibrated by any record".to_owned(),
                entry: self.entry,
                until: None,
            });
        };
        if !latest.passed {
            return told(format!("failed its calibration of {}", latest.day), latest.entry);
        }
        let until = Some(self.calibrated_until(&latest)).filter(|until| *until < day)?;
        let why = format!("was calibrated on {}, which holds until {until}", latest.day);
        Some(Unready { why, entry: latest.entry, until: Some(until) })
    }

    /// The last day on which a calibration counts: by its maker's months, or what was written, whichever is
    /// earlier, and never longer than is believed.
    fn calibrated_until(&self, latest: &Calibration<'_>) -> Date {
        let told = self.calibration_months.unwrap_or(LONGEST_CALIBRATION_MONTHS);
        let months = told.min(LONGEST_CALIBRATION_MONTHS);
        let by_months = Every::Months(months).last_day(latest.day);
        latest.until.map_or(by_months, |until| until.min(by_months))
    }

    /// Whether it is known until when its calibration counts, where one is asked for.
    #[must_use]
    pub fn has_term(&self) -> bool {
        let written = self.calibration.and_then(|one| one.until).is_some();
        !self.serves.measures() || self.calibration_months.is_some() || written
    }

    /// That it is not in order on `day`.
    #[must_use]
    pub fn due(&self, day: Date) -> Option<Finding> {
        let unready = self.unready(day)?;
        let finding = Finding::stop(&INSTRUMENT_READY).with("instrument", self.name);
        let finding = finding.with("why", unready.why).citing(self.serves.citation());
        let finding = finding.resting_on(unready.entry);
        Some(match unready.until {
            Some(until) => finding.after(until),
            None => finding,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    const DAY: Date = date(2026, 5, 4);

    fn good() -> InstrumentFacts<'static> {
        InstrumentFacts {
            name: "Counter 1",
            serves: FitInstrument::ParticleCounter,
            calibration_months: Some(12),
            checked_before_use: true,
            withdrawn: None,
            calibration: Some(Calibration {
                day: date(2025, 6, 1),
                until: None,
                passed: true,
                entry: "e2",
            }),
            check: Some(Checked { day: DAY, passed: true, calibrated_since: false, entry: "e3" }),
            entry: "e1",
        }
    }

    fn check(change: impl FnOnce(&mut InstrumentFacts<'static>), expected: Option<&str>) {
        let mut facts = good();
        change(&mut facts);
        assert_eq!(facts.unready(DAY).map(|found| found.why).as_deref(), expected);
        assert_eq!(facts.due(DAY).is_some(), expected.is_some());
    }

    fn calibration<'f>(facts: &'f mut InstrumentFacts<'static>) -> &'f mut Calibration<'static> {
        facts.calibration.as_mut().unwrap()
    }

    // Source: 29 CFR 1910.134 App. A Part I.C.1(b); days by hand from the calendar.
    #[test]
    fn an_instrument_is_in_order_while_its_calibration_holds_and_no_check_failed() {
        check(|_| {}, None);
        check(|facts| calibration(facts).day = date(2025, 5, 4), None);
        check(
            |facts| calibration(facts).day = date(2025, 5, 3),
            Some("was calibrated on 2025-05-03, which holds until 2026-05-03"),
        );
        // What no maker asks is not believed.
        check(
            |facts| {
                facts.calibration_months = Some(1200);
                calibration(facts).day = date(2016, 5, 3);
            },
            Some("was calibrated on 2016-05-03, which holds until 2026-05-03"),
        );
        check(
            |facts| {
                facts.calibration_months = None;
                calibration(facts).day = date(2016, 5, 3);
                calibration(facts).until = Some(date(2126, 5, 3));
            },
            Some("was calibrated on 2016-05-03, which holds until 2026-05-03"),
        );
        check(|facts| calibration(facts).until = Some(DAY), None);
        check(
            |facts| calibration(facts).until = Some(date(2026, 5, 3)),
            Some("was calibrated on 2025-06-01, which holds until 2026-05-03"),
        );
        check(
            |facts| calibration(facts).passed = false,
            Some("failed its calibration of 2025-06-01"),
        );
        check(|facts| facts.calibration = None, Some("was not calibrated by any record"));
        check(|facts| facts.check = None, None);
        check(
            |facts| facts.check.as_mut().unwrap().passed = false,
            Some("failed its check of 2026-05-04"),
        );
        let failed = Checked { day: DAY, passed: false, calibrated_since: true, entry: "e4" };
        check(|facts| facts.check = Some(failed), None);
        check(|facts| facts.withdrawn = Some(("dropped", "e5")), Some("was out of use: dropped"));
    }

    // Source: 29 CFR 1910.134 App. A Part I.B.1(b).
    #[test]
    fn a_test_kit_is_calibrated_only_where_its_maker_asks_for_that() {
        let kit = |facts: &mut InstrumentFacts<'static>| {
            facts.serves = FitInstrument::TasteOrSmell;
            (facts.calibration, facts.calibration_months) = (None, None);
        };
        check(kit, None);
        check(
            |facts| {
                kit(facts);
                facts.calibration_months = Some(12);
            },
            Some("was not calibrated by any record"),
        );
        let mut unknown = good();
        assert!(unknown.has_term());
        unknown.calibration_months = None;
        assert!(!unknown.has_term());
        unknown.calibration.as_mut().unwrap().until = Some(DAY);
        assert!(unknown.has_term());
        kit(&mut unknown);
        assert!(unknown.has_term());
    }

    #[test]
    fn every_protocol_knows_what_it_is_run_with() {
        for protocol in crate::fit_test::protocols() {
            let with = FitInstrument::of_protocol(&protocol.id).unwrap();
            let measures = protocol.kind == crate::fit_test::TestKind::Quantitative;
            assert_eq!(with.measures(), measures, "{}", protocol.id);
            // However its id was written, as long as a test by it is judged.
            let written = format!(" {}", protocol.id.to_lowercase());
            assert_eq!(FitInstrument::of_protocol(&written), Some(with), "{written}");
        }
    }
}
