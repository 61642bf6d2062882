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
    /// Every filling whose gas may be in it, in the order of time: what is put on top of a rest mixes with it.
    pub fillings: Vec<Filling>,
    /// The latest filling with oxygen that may be in it.
    pub oxygen: Option<At>,
    /// What the certificate of its oxygen says since it was filled last.
    pub oxygen_certified: Option<(bool, At)>,
    /// Whether oxygen may be in it that no certificate spoke well of before more was put on top.
    pub oxygen_doubted: bool,
    /// When it was first filled with air, or its air tested.
    pub held_air: Option<At>,
    /// From which supply it was filled last.
    pub filled_from: Option<SupplyId>,
    /// The latest test of its air since it was filled last; one that failed, since it was last filled empty.
    pub air_tested: Option<(AirQuality, At)>,
    /// The set on which it was mounted last.
    pub mounted: Option<(UnitId, At)>,
    /// When it was mounted before that, on whatever set.
    pub mounted_before: Option<At>,
    /// Why it was taken out of service for good.
    pub withdrawn: Option<Reason>,
}

/// A filling.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Filling {
    /// From which supply, where it was told.
    pub supply: Option<SupplyId>,
    /// Whether the air in the cylinder was found to be fit after it.
    pub found_fit: bool,
    /// Where that stands.
    pub at: At,
}

/// Read at no more than this part of its rated pressure, a cylinder is empty: what is left of its gas is
/// thinned a hundredfold by the next filling. Common practice, no source.
const EMPTY_PERCENT: f64 = 1.0;

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

impl Cylinder {
    fn fill(&mut self, supply: Option<&SupplyId>, with_oxygen: bool, at: &At) {
        if self.was_emptied() {
            self.fillings.clear();
            (self.oxygen, self.air_tested, self.oxygen_certified) = (None, None, None);
            self.oxygen_doubted = false;
        }
        // That what was in it is fit shows nothing of what was put on top; that it is not, stays so.
        self.air_tested.take_if(|(quality, _)| *quality == AirQuality::Meets);
        let certified = self.oxygen_certified.take().is_some_and(|(meets, _)| meets);
        self.oxygen_doubted |= self.oxygen.is_some() && !certified;
        if with_oxygen {
            self.oxygen = Some(at.clone());
        } else {
            self.held_air.get_or_insert_with(|| at.clone());
        }
        let supply = supply.cloned();
        self.fillings.push(Filling { supply: supply.clone(), found_fit: false, at: at.clone() });
        self.filled_from = supply;
        self.filled = Some(at.clone());
    }

    fn was_emptied(&self) -> bool {
        let empty = self.rated.as_kpa() * EMPTY_PERCENT / 100.0;
        self.pressure.as_ref().is_some_and(|(read, _)| read.as_kpa() <= empty)
    }

    /// Whatever is under the latest filling is fit with it.
    fn found_fit(&mut self) {
        let last = self.fillings.pop();
        self.oxygen.take_if(|oxygen| last.as_ref().is_none_or(|last| last.at != *oxygen));
        self.fillings = last.map(|last| Filling { found_fit: true, ..last }).into_iter().collect();
    }
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
            fillings: Vec::new(),
            oxygen: None,
            oxygen_certified: None,
            oxygen_doubted: false,
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
                self.fill(supply.as_ref(), *gas == Some(Gas::Oxygen), &at);
                self.pressure = Some((*pressure, at));
            }
            Fact::BreathingAirTested { quality, .. } => {
                self.held_air.get_or_insert_with(|| at.clone());
                if *quality == AirQuality::Meets {
                    self.found_fit();
                }
                self.air_tested = Some((*quality, at));
            }
            Fact::OxygenCertified { meets, .. } => {
                self.oxygen_certified = Some((*meets && !self.oxygen_doubted, at));
            }
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
