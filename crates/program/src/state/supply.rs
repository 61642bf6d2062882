use jiff::civil::Date;
use quantity::Ppm;
use rulebook::is_blank;

use super::At;
use super::log::Thing;
use crate::entry::{AirFigures, Entry, Fact, SupplySource};
use crate::ids::SiteId;

/// One supply of breathing air.
#[derive(Debug, Clone, PartialEq)]
pub struct Supply {
    /// The site that listed it.
    pub site: SiteId,
    /// Its name.
    pub name: String,
    /// What it is.
    pub source: SupplySource,
    /// Whether its couplings fit no outlet of another gas.
    pub couplings_apart: bool,
    /// Whether it is known to have an alarm for high temperature.
    pub high_temperature_alarm: bool,
    /// Where that stands.
    pub listed: At,
    /// Every sample of its air, in the order of time.
    pub samples: Vec<AirSample>,
    /// Every test that reports carbon monoxide, full ones and those of that alone, in the order of time.
    pub monoxide_tests: Vec<MonoxideTest>,
    /// The latest change of a sorbent bed or filter.
    pub bed_changed: Option<BedChange>,
    /// The latest check of its carbon monoxide alarm.
    pub alarm_checked: Option<AlarmCheck>,
    /// Every look at how it stands and at its lines, in the order of time.
    pub looks: Vec<Look>,
    /// The latest purchase that came without a certificate of analysis, where none came with one since.
    pub bought_without: Option<At>,
}

/// A look at how a supply stands and at its lines.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Look {
    /// Where its intake draws.
    pub intake: String,
    /// Whether no contaminated air gets in there.
    pub intake_clean: Option<bool>,
    /// Whether nothing but breathing air is put into its lines.
    pub air_alone: bool,
    /// Where that stands.
    pub at: At,
}

/// A sample of air.
#[derive(Debug, Clone, PartialEq)]
pub struct AirSample {
    /// What was reported.
    pub figures: AirFigures,
    /// Where that stands.
    pub at: At,
}

/// A test that reports carbon monoxide.
#[derive(Debug, Clone, PartialEq)]
pub struct MonoxideTest {
    /// How much was found.
    pub found: Ppm,
    /// Where that stands.
    pub at: At,
}

/// A change of a sorbent bed or filter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BedChange {
    /// Who signed the tag.
    pub signed: String,
    /// Until when it serves, by the maker's instructions.
    pub serves_until: Option<Date>,
    /// Where that stands.
    pub at: At,
}

/// A check of a carbon monoxide alarm.
#[derive(Debug, Clone, PartialEq)]
pub struct AlarmCheck {
    /// Whether it worked.
    pub passed: bool,
    /// At which level it alarms.
    pub alarms_at: Ppm,
    /// Where that stands.
    pub at: At,
}

impl Supply {
    /// The latest sample of its air.
    #[must_use]
    pub fn sampled(&self) -> Option<&AirSample> {
        self.samples.last()
    }

    /// The latest look at how it stands and at its lines.
    #[must_use]
    pub fn look(&self) -> Option<&Look> {
        self.looks.last()
    }
}

impl Thing for Supply {
    fn begin(entry: &Entry) -> Option<Self> {
        let Fact::SupplyListed { name, source, couplings_apart, high_temperature_alarm, .. } =
            &entry.fact
        else {
            return None;
        };
        Some(Self {
            site: entry.site.clone(),
            name: name.clone(),
            source: *source,
            couplings_apart: *couplings_apart,
            high_temperature_alarm: high_temperature_alarm.unwrap_or(false),
            listed: At::first(entry),
            samples: Vec::new(),
            monoxide_tests: Vec::new(),
            bed_changed: None,
            alarm_checked: None,
            looks: Vec::new(),
            bought_without: None,
        })
    }

    fn add(&mut self, entry: &Entry) {
        let at = At::first(entry);
        match &entry.fact {
            Fact::AirSampled { figures, .. } => {
                let reported = figures.carbon_monoxide;
                let of_it = reported.map(|found| MonoxideTest { found, at: at.clone() });
                self.monoxide_tests.extend(of_it);
                self.samples.push(AirSample { figures: *figures, at });
            }
            Fact::CarbonMonoxideTested { found, .. } => {
                self.monoxide_tests.push(MonoxideTest { found: *found, at });
            }
            Fact::SorbentBedChanged { signed, serves_until, .. } => {
                let (signed, serves_until) = (signed.clone(), *serves_until);
                self.bed_changed = Some(BedChange { signed, serves_until, at });
            }
            Fact::CarbonMonoxideAlarmChecked { passed, alarms_at, .. } => {
                let (passed, alarms_at) = (*passed, *alarms_at);
                self.alarm_checked = Some(AlarmCheck { passed, alarms_at, at });
            }
            Fact::AirBought { certificate, .. } => {
                self.bought_without = is_blank(certificate).then_some(at);
            }
            Fact::SupplyLookedOver { intake, intake_clean, air_alone, .. } => {
                let (intake, intake_clean) = (intake.clone(), *intake_clean);
                self.looks.push(Look { intake, intake_clean, air_alone: *air_alone, at });
            }
            _ => {}
        }
    }
}
