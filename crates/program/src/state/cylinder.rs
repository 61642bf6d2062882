use jiff::civil::Date;
use quantity::{Kilopascal, Litres};

use super::log::Thing;
use super::{At, Reason};
use crate::entry::{AirQuality, CylinderTerms, Entry, Fact, Gas};
use crate::ids::{SiteId, SupplyId, UnitId};

/// One cylinder of breathing air.
#[derive(Debug, Clone, PartialEq)]
pub struct Cylinder {
    /// The site that listed it.
    pub site: SiteId,
    /// The maker's serial number.
    pub serial: String,
    /// The row of the table of cylinders that its marking names.
    pub marking: String,
    /// Its rated pressure.
    pub rated: Kilopascal,
    /// How much water it holds.
    pub water_volume: Litres,
    /// When it was made.
    pub made: Date,
    /// When it was requalified last, as its marking says; see also `tested`.
    pub requalified: Date,
    /// Period and life by its maker or permit, where they were entered.
    pub terms: Option<CylinderTerms>,
    /// Its part number; empty where it was not told.
    pub part: String,
    /// Where that stands.
    pub listed: At,
    /// The latest requalification that was recorded here.
    pub tested: Option<Requalified>,
    /// The pressure read or filled last.
    pub pressure: Option<(Kilopascal, At)>,
    /// When it was filled last.
    pub filled: Option<At>,
    /// The oxygen that it was filled with last, where it was.
    pub oxygen: Option<At>,
    /// What the certificate of that oxygen says, where one was read since.
    pub oxygen_certified: Option<(bool, At)>,
    /// When it was first filled with air, or its air tested.
    pub held_air: Option<At>,
    /// From which supply it was filled last.
    pub filled_from: Option<SupplyId>,
    /// The latest test of its air since it was filled last.
    pub air_tested: Option<(AirQuality, At)>,
    /// The set on which it was mounted last.
    pub mounted: Option<(UnitId, At)>,
    /// When it was mounted before that, on whatever set.
    pub mounted_before: Option<At>,
    /// Why it was taken out of service for good.
    pub withdrawn: Option<Reason>,
}

/// A requalification.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Requalified {
    /// Whether it passed.
    pub passed: bool,
    /// The mark it carries now.
    pub mark: String,
    /// Where that stands.
    pub at: At,
}

impl Thing for Cylinder {
    fn begin(entry: &Entry) -> Option<Self> {
        let Fact::CylinderListed {
            serial,
            marking,
            rated,
            water_volume,
            made,
            requalified,
            terms,
            part,
            ..
        } = &entry.fact
        else {
            return None;
        };
        Some(Self {
            site: entry.site.clone(),
            serial: serial.clone(),
            marking: marking.clone(),
            rated: *rated,
            water_volume: *water_volume,
            made: *made,
            requalified: *requalified,
            terms: terms.clone(),
            part: part.clone(),
            listed: At::first(entry),
            tested: None,
            pressure: None,
            filled: None,
            oxygen: None,
            oxygen_certified: None,
            held_air: None,
            filled_from: None,
            air_tested: None,
            mounted: None,
            mounted_before: None,
            withdrawn: None,
        })
    }

    fn add(&mut self, entry: &Entry) {
        let at = At::first(entry);
        match &entry.fact {
            Fact::CylinderFilled { pressure, supply, gas, .. } => {
                self.pressure = Some((*pressure, at.clone()));
                self.oxygen = (*gas == Some(Gas::Oxygen)).then(|| at.clone());
                if self.oxygen.is_none() {
                    self.held_air.get_or_insert_with(|| at.clone());
                }
                self.filled = Some(at);
                self.air_tested = None;
                self.oxygen_certified = None;
                self.filled_from.clone_from(supply);
            }
            Fact::BreathingAirTested { quality, .. } => {
                self.held_air.get_or_insert_with(|| at.clone());
                self.air_tested = Some((*quality, at));
            }
            Fact::OxygenCertified { meets, .. } => self.oxygen_certified = Some((*meets, at)),
            Fact::CylinderGauged { read, .. } => self.pressure = Some((*read, at)),
            Fact::CylinderMounted { unit, .. } => {
                self.mounted_before = self.mounted.take().map(|(_, at)| at);
                self.mounted = Some((unit.clone(), at));
            }
            Fact::CylinderRequalified { passed, mark, .. } => {
                self.tested = Some(Requalified { passed: *passed, mark: mark.clone(), at });
            }
            Fact::CylinderWithdrawn { why, .. } => {
                self.withdrawn = Some(Reason { why: why.clone(), at });
            }
            _ => {}
        }
    }
}
