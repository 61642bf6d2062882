//! What the rules ask of a supply of breathing air and of its cylinders.
//!
//! Knows nothing of how facts are kept: a check is given [`SupplyFacts`] or [`CylinderFacts`].

pub mod air_alone;
pub mod air_tested;
pub mod alarm_checked;
pub mod carbon_monoxide;
pub mod certificate;
pub mod couplings;
pub mod cylinder_air_dry;
pub mod cylinder_in_service;
pub mod cylinder_life;
pub mod cylinder_requalified;
pub mod cylinder_terms;
pub mod moisture;
pub mod monoxide_low;
pub mod oxygen_after_air;
pub mod oxygen_certified;
pub mod sited;
pub mod sorbent_tag;

#[cfg(test)]
mod sample;

use jiff::civil::Date;
use quantity::Ppm;

use crate::Rule;
use crate::ask::{Binds, Check, Noted};
use crate::interval::Every;

/// One supply of breathing air on one day.
#[derive(Debug, Clone, PartialEq)]
pub struct SupplyFacts<'a> {
    /// Its name.
    pub supply: &'a str,
    /// The day at the site.
    pub day: Date,
    /// Where the air comes from.
    pub source: Source,
    /// The latest test of its air.
    pub air_test: Option<SupplyTest<'a>>,
    /// How long such a test counts at this site.
    pub air_test_counts: Every,
    /// The entry of the certificate that came with the latest purchase.
    pub certificate: Option<&'a str>,
    /// The entry of the latest purchase, where it came without a certificate.
    pub bought_without: Option<&'a str>,
    /// The latest change of its sorbent beds and filters.
    pub bed_tag: Option<BedTag<'a>>,
    /// Whether it has an alarm for high temperature.
    pub high_temperature_alarm: bool,
    /// Its carbon monoxide alarm and the latest check of it, where it has one.
    pub monoxide_alarm: Option<AlarmCheck<'a>>,
    /// How long such a check counts at this site.
    pub alarm_check_counts: Every,
    /// The latest test of its air that reports carbon monoxide, be it a full one or of that alone.
    pub monoxide_test: Option<MonoxideTest<'a>>,
    /// How long that test counts at this site where no carbon monoxide alarm watches.
    pub monoxide_test_counts: Every,
    /// What somebody saw who looked at how it stands and at its lines.
    pub look: Option<Look<'a>>,
    /// Whether its couplings fit breathing air alone.
    pub couplings_apart: bool,
    /// The entry that describes it.
    pub entry: &'a str,
}

/// A look at how a supply stands and at its lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Look<'a> {
    /// The day at the site.
    pub day: Date,
    /// Where its intake draws; empty where that was not told.
    pub intake: &'a str,
    /// Whether no contaminated air gets in there, where that was told.
    pub intake_clean: Option<bool>,
    /// Whether nothing but breathing air is put into its lines.
    pub air_alone: bool,
    /// The entry.
    pub entry: &'a str,
}

/// Where the air of a supply comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Source {
    /// Cylinders that were bought filled.
    PurchasedCylinders,
    /// A compressor lubricated with oil.
    OilLubricatedCompressor,
    /// A compressor without oil.
    OilFreeCompressor,
}

impl Source {
    /// Whether it is a compressor.
    #[must_use]
    pub const fn is_compressor(self) -> bool {
        matches!(self, Self::OilLubricatedCompressor | Self::OilFreeCompressor)
    }
}

/// A test of the air of a supply.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SupplyTest<'a> {
    /// The day at the site.
    pub day: Date,
    /// Whether it met Grade D.
    pub meets: bool,
    /// Whether figures are missing and none that was reported is outside its limit.
    pub only_incomplete: bool,
    /// Whether it was dry enough, where that was reported.
    pub dry: Option<bool>,
    /// The entry.
    pub entry: &'a str,
}

/// The tag at the sorbent beds and filters of a compressor.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BedTag<'a> {
    /// The day of the change.
    pub day: Date,
    /// Signature of the person authorised to change them.
    pub signed: &'a str,
    /// Last day on which they serve, by the maker.
    pub serves_until: Option<Date>,
    /// The entry.
    pub entry: &'a str,
}

/// A check of a carbon monoxide alarm.
#[derive(Debug, Clone, PartialEq)]
pub struct AlarmCheck<'a> {
    /// The day at the site.
    pub day: Date,
    /// Whether it sounded as it should.
    pub passed: bool,
    /// The level at which it sounds.
    pub sounds_at: Ppm,
    /// The entry.
    pub entry: &'a str,
}

/// A test that reports carbon monoxide.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MonoxideTest<'a> {
    /// The day at the site.
    pub day: Date,
    /// How much was found.
    pub found: Ppm,
    /// The entry.
    pub entry: &'a str,
}

/// One cylinder on one day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CylinderFacts<'a> {
    /// Its serial number.
    pub cylinder: &'a str,
    /// The day at the site.
    pub day: Date,
    /// The day it was made, as stamped.
    pub made: Date,
    /// The latest requalification that it passed, where there was one.
    pub requalified: Option<Date>,
    /// How often one of its kind is requalified, or its permit asks for it.
    pub requalified_every: Option<Every>,
    /// Whether that is from memory or was entered without having been read by the site.
    pub period_unconfirmed: bool,
    /// Last day of its life by its kind or permit, where that ends.
    pub life_ends: Option<Date>,
    /// The same of its life.
    pub life_unconfirmed: bool,
    /// Whether its life ends on a day that its design or permit sets.
    pub life_by_permit: bool,
    /// The day of the latest test, where it failed.
    pub failed: Option<Date>,
    /// Why it was taken out of service for good.
    pub withdrawn: Option<Noted<'a>>,
    /// The air in it, where it was filled.
    pub air: Option<CylinderAir<'a>>,
    /// The oxygen in it, where it was filled with that.
    pub oxygen: Option<OxygenFill<'a>>,
    /// The entry.
    pub entry: &'a str,
}

/// The air with which a cylinder was filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CylinderAir<'a> {
    /// The name of the supply, where it was told.
    pub supply: Option<&'a str>,
    /// Whether a sample of the supply was dry enough for a cylinder, where one tells.
    pub dry: Option<bool>,
    /// The entry of the sample.
    pub sample: Option<&'a str>,
    /// The entry of the filling, where it was recorded.
    pub filled: Option<&'a str>,
}

/// Oxygen in a cylinder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OxygenFill<'a> {
    /// The entry that shows that compressed air was in the cylinder, or in the set that it is on.
    pub after_air: Option<&'a str>,
    /// The tag of that set, where it is the set that held air.
    pub set: Option<&'a str>,
    /// The entry of the filling; none before it is kept.
    pub filled: Option<&'a str>,
    /// The certificate of what was filled.
    pub certificate: Option<OxygenCertificate<'a>>,
}

/// A certificate of oxygen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OxygenCertificate<'a> {
    /// Whether it says that the oxygen meets the pharmacopoeia for medical or breathing oxygen.
    pub meets: bool,
    /// The entry.
    pub entry: &'a str,
}

/// The checks of this folder, in the order in which they are visited.
#[must_use]
pub fn checks<'a>() -> [Check<SupplyFacts<'a>>; 10] {
    let always = |rule, run| Check { rule, binds: Binds::Always, run };
    [
        always(&air_tested::RULE, air_tested::check),
        always(&moisture::RULE, moisture::check),
        always(&certificate::RULE, certificate::check),
        always(&sorbent_tag::RULE, sorbent_tag::check),
        always(&carbon_monoxide::RULE, carbon_monoxide::check),
        always(&monoxide_low::RULE, monoxide_low::check),
        always(&alarm_checked::RULE, alarm_checked::check),
        always(&couplings::RULE, couplings::check),
        always(&sited::RULE, sited::check),
        always(&air_alone::RULE, air_alone::check),
    ]
}

/// The checks of a cylinder, in the order in which they are visited.
#[must_use]
pub fn cylinder_checks<'a>() -> [Check<CylinderFacts<'a>>; 7] {
    let always = |rule, run| Check { rule, binds: Binds::Always, run };
    [
        always(&cylinder_in_service::RULE, cylinder_in_service::check),
        always(&cylinder_requalified::RULE, cylinder_requalified::check),
        always(&cylinder_life::RULE, cylinder_life::check),
        always(&cylinder_terms::RULE, cylinder_terms::check),
        always(&cylinder_air_dry::RULE, cylinder_air_dry::check),
        always(&oxygen_after_air::RULE, oxygen_after_air::check),
        always(&oxygen_certified::RULE, oxygen_certified::check),
    ]
}

/// The rules of this folder.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    let of_supply = checks().map(|check| check.rule);
    let of_cylinder = cylinder_checks().map(|check| check.rule);
    of_supply.into_iter().chain(of_cylinder).collect()
}
