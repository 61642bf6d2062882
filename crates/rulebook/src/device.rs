//! What a respirator is, in the terms the rules use.

use std::fmt;

use serde::{Deserialize, Serialize};

/// Where the air comes from and how the facepiece is kept supplied: a line of the table of
/// assigned protection factors.
///
/// Source: 29 CFR 1910.134(d)(3)(i)(A) Table 1 (`data/apf.csv`).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum AirSource {
    /// The wearer's breath draws room air through filters or sorbent.
    AirPurifying,
    /// A blower draws room air through filters or sorbent.
    PoweredAirPurifying,
    /// Airline, air on demand.
    SuppliedAirDemand,
    /// Airline, air flowing all the time.
    SuppliedAirContinuousFlow,
    /// Airline, positive pressure kept in the facepiece.
    SuppliedAirPressureDemand,
    /// Carried air, on demand.
    SelfContainedDemand,
    /// Carried air, positive pressure kept in the facepiece.
    SelfContainedPressureDemand,
}

impl AirSource {
    /// Every air source, in the order of the table.
    pub const ALL: [Self; 7] = [
        Self::AirPurifying,
        Self::PoweredAirPurifying,
        Self::SuppliedAirDemand,
        Self::SuppliedAirContinuousFlow,
        Self::SuppliedAirPressureDemand,
        Self::SelfContainedDemand,
        Self::SelfContainedPressureDemand,
    ];

    /// Whether the wearer breathes the air of the place, cleaned.
    #[must_use]
    pub const fn purifies_air(self) -> bool {
        matches!(self, Self::AirPurifying | Self::PoweredAirPurifying)
    }

    /// Whether the air is carried by the wearer.
    #[must_use]
    pub const fn is_self_contained(self) -> bool {
        matches!(self, Self::SelfContainedDemand | Self::SelfContainedPressureDemand)
    }

    /// Whether the air comes through a line from a supply that stands apart.
    #[must_use]
    pub const fn comes_by_line(self) -> bool {
        !self.purifies_air() && !self.is_self_contained()
    }

    /// Whether the facepiece falls below the pressure of the room as the wearer breathes in.
    #[must_use]
    pub const fn is_negative_pressure(self) -> bool {
        matches!(self, Self::AirPurifying | Self::SuppliedAirDemand | Self::SelfContainedDemand)
    }
}

impl fmt::Display for AirSource {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::AirPurifying => "air-purifying",
            Self::PoweredAirPurifying => "powered air-purifying",
            Self::SuppliedAirDemand => "supplied-air, demand",
            Self::SuppliedAirContinuousFlow => "supplied-air, continuous flow",
            Self::SuppliedAirPressureDemand => "supplied-air, pressure-demand",
            Self::SelfContainedDemand => "self-contained, demand",
            Self::SelfContainedPressureDemand => "self-contained, pressure-demand",
        })
    }
}

/// What covers the face.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Facepiece {
    /// Covers mouth and nose, sealing above the chin.
    QuarterMask,
    /// Covers mouth, nose and chin.
    HalfMask,
    /// Covers the whole face with the eyes.
    FullFacepiece,
    /// Covers the head, or the head and shoulders.
    HelmetOrHood,
    /// Forms a partial seal with the face.
    LooseFitting,
}

impl Facepiece {
    /// Every kind, in the order of the table.
    pub const ALL: [Self; 5] = [
        Self::QuarterMask,
        Self::HalfMask,
        Self::FullFacepiece,
        Self::HelmetOrHood,
        Self::LooseFitting,
    ];

    /// Whether it seals against the face and so needs a fit test and a clean-shaven seal.
    #[must_use]
    pub const fn is_tight_fitting(self) -> bool {
        matches!(self, Self::QuarterMask | Self::HalfMask | Self::FullFacepiece)
    }
}

impl fmt::Display for Facepiece {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::QuarterMask => "quarter mask",
            Self::HalfMask => "half mask",
            Self::FullFacepiece => "full facepiece",
            Self::HelmetOrHood => "helmet or hood",
            Self::LooseFitting => "loose-fitting facepiece",
        })
    }
}

/// A kind of gas or vapour that an element is certified against.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ElementKind {
    /// Organic vapours.
    #[serde(alias = "organic vapour", alias = "organic vapor")]
    OrganicVapour,
    /// Chlorine.
    Chlorine,
    /// Hydrogen chloride.
    #[serde(alias = "hydrogen chloride")]
    HydrogenChloride,
    /// Sulfur dioxide.
    #[serde(alias = "sulfur dioxide")]
    SulfurDioxide,
    /// Acid gases as a group, the wording of gas mask canisters.
    #[serde(alias = "acid gas")]
    AcidGas,
    /// Ammonia.
    Ammonia,
    /// Methylamine.
    Methylamine,
    /// Formaldehyde.
    Formaldehyde,
    /// Mercury vapour.
    #[serde(alias = "mercury vapour")]
    MercuryVapour,
    /// Ethylene oxide.
    #[serde(alias = "ethylene oxide")]
    EthyleneOxide,
    /// Vinyl chloride.
    #[serde(alias = "vinyl chloride")]
    VinylChloride,
    /// 1,3-Butadiene.
    #[serde(alias = "1,3-butadiene")]
    Butadiene,
    /// Carbon monoxide, by a catalyst in a gas mask canister.
    #[serde(alias = "carbon monoxide")]
    CarbonMonoxide,
}

impl ElementKind {
    /// Every kind.
    pub const ALL: [Self; 13] = [
        Self::OrganicVapour,
        Self::Chlorine,
        Self::HydrogenChloride,
        Self::SulfurDioxide,
        Self::AcidGas,
        Self::Ammonia,
        Self::Methylamine,
        Self::Formaldehyde,
        Self::MercuryVapour,
        Self::EthyleneOxide,
        Self::VinylChloride,
        Self::Butadiene,
        Self::CarbonMonoxide,
    ];
}

impl fmt::Display for ElementKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::OrganicVapour => "organic vapour",
            Self::Chlorine => "chlorine",
            Self::HydrogenChloride => "hydrogen chloride",
            Self::SulfurDioxide => "sulfur dioxide",
            Self::AcidGas => "acid gas",
            Self::Ammonia => "ammonia",
            Self::Methylamine => "methylamine",
            Self::Formaldehyde => "formaldehyde",
            Self::MercuryVapour => "mercury vapour",
            Self::EthyleneOxide => "ethylene oxide",
            Self::VinylChloride => "vinyl chloride",
            Self::Butadiene => "1,3-butadiene",
            Self::CarbonMonoxide => "carbon monoxide",
        })
    }
}

/// How a particulate filter stands against oil.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum FilterSeries {
    /// For air free of oil.
    N,
    /// Resists oil, for a limited time.
    R,
    /// Proof against oil.
    P,
    /// High efficiency, on a powered unit.
    HE,
    /// On a powered unit, for air free of oil.
    #[serde(rename = "PAPR-N")]
    PoweredN,
    /// On a powered unit, proof against oil.
    #[serde(rename = "PAPR-P")]
    PoweredP,
}

impl FilterSeries {
    /// Whether it is certified for powered units, and for these alone.
    ///
    /// Source: 42 CFR 84.175(b)-(d) (`data/respirator_performance_limits.csv`, PL017 to PL019).
    #[must_use]
    pub const fn is_for_powered_units(self) -> bool {
        matches!(self, Self::HE | Self::PoweredN | Self::PoweredP)
    }
}

/// Series and efficiency of a particulate filter, such as N95 or P100.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct FilterClass {
    /// Its stand against oil.
    pub series: FilterSeries,
    /// Its level: 95, 99 or 100 (100 stands for 99.97 %).
    pub level: FilterLevel,
}

impl FilterClass {
    /// Whether it is of class P100, or of the high-efficiency class of a powered unit.
    #[must_use]
    pub const fn is_high_efficiency(self) -> bool {
        let proof = matches!(self.series, FilterSeries::P);
        matches!(self.level, FilterLevel::L100) && (proof || self.series.is_for_powered_units())
    }
}

/// The efficiency level of a particulate filter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum FilterLevel {
    /// At least 95 %.
    #[serde(rename = "95")]
    L95,
    /// At least 99 %.
    #[serde(rename = "99")]
    L99,
    /// At least 99.97 %.
    #[serde(rename = "100")]
    L100,
}

impl FilterLevel {
    /// Least efficiency, percent. Source: 42 CFR 84.181 (`data/respirator_performance_limits.csv`).
    #[must_use]
    pub const fn least_efficiency_percent(self) -> f64 {
        match self {
            Self::L95 => 95.0,
            Self::L99 => 99.0,
            Self::L100 => 99.97,
        }
    }
}

/// Text that names no class of particulate filter.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{0}` is no class of particulate filter\n  write N95, N99, N100, R95, R99, R100, P95, P99 or P100; of a powered unit HE, PAPR100-N or PAPR100-P"
)]
pub struct NotAFilterClass(String);

impl std::str::FromStr for FilterClass {
    type Err = NotAFilterClass;

    fn from_str(text: &str) -> Result<Self, NotAFilterClass> {
        let text = text.trim();
        let of_powered = [
            ("HE", FilterSeries::HE),
            ("PAPR100-N", FilterSeries::PoweredN),
            ("PAPR100-P", FilterSeries::PoweredP),
        ];
        if let Some((_, series)) = of_powered.into_iter().find(|(name, _)| *name == text) {
            return Ok(Self { series, level: FilterLevel::L100 });
        }
        let series = [('N', FilterSeries::N), ('R', FilterSeries::R), ('P', FilterSeries::P)]
            .into_iter()
            .find_map(|(letter, series)| Some((text.strip_prefix(letter)?, series)));
        let level = match series.map(|(level, _)| level) {
            Some("95") => Some(FilterLevel::L95),
            Some("99") => Some(FilterLevel::L99),
            Some("100") => Some(FilterLevel::L100),
            _ => None,
        };
        series
            .zip(level)
            .map(|((_, series), level)| Self { series, level })
            .ok_or_else(|| NotAFilterClass(text.to_owned()))
    }
}

impl fmt::Display for FilterClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let level = match self.level {
            FilterLevel::L95 => "95",
            FilterLevel::L99 => "99",
            FilterLevel::L100 => "100",
        };
        match self.series {
            FilterSeries::HE => f.write_str("HE"),
            FilterSeries::PoweredN => write!(f, "PAPR{level}-N"),
            FilterSeries::PoweredP => write!(f, "PAPR{level}-P"),
            series => write!(f, "{series:?}{level}"),
        }
    }
}

/// How the elements of an air-purifying unit are mounted, which decides the certification test
/// that they passed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mounting {
    /// Cartridges on a mask or a blower.
    Cartridge,
    /// A canister worn at the front or back: a gas mask.
    CanisterFrontOrBack,
    /// A canister at the chin: a gas mask.
    CanisterChin,
    /// A canister for escape only.
    CanisterEscape,
}

impl fmt::Display for Mounting {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Cartridge => "cartridge or filter",
            Self::CanisterFrontOrBack => "canister at front or back",
            Self::CanisterChin => "canister at the chin",
            Self::CanisterEscape => "canister for escape only",
        })
    }
}

/// What an air-purifying unit carries against gases and particles.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Elements {
    /// The gases and vapours it is certified against.
    pub against: Vec<ElementKind>,
    /// Its particulate filter.
    pub filter: Option<FilterClass>,
    /// How it is mounted.
    pub mounting: Mounting,
    /// Whether it carries an approved end-of-service-life indicator for the contaminant.
    pub end_of_service_indicator: bool,
}

/// A respirator as the rules see it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Device {
    /// Where the air comes from.
    pub air_source: AirSource,
    /// What covers the face.
    pub facepiece: Facepiece,
    /// A half mask made of the filter itself.
    pub filtering_facepiece: bool,
    /// Certified for escape only.
    pub escape_only: bool,
    /// An airline unit with a small self-contained supply for escape.
    pub auxiliary_self_contained: bool,
    /// The maker has shown, by tests, that a helmet or hood protects by a factor of 1000.
    pub maker_shows_factor_1000: bool,
    /// The service time that a self-contained supply is certified for, minutes; none where there
    /// is no such supply or its rating was not entered.
    #[serde(default)]
    pub rated_minutes: Option<u32>,
}

impl Device {
    /// Whether the wearer carries a cylinder: all the air, or that for the way out.
    #[must_use]
    pub const fn carries_cylinder(&self) -> bool {
        self.air_source.is_self_contained() || self.auxiliary_self_contained
    }

    /// Whether one may go into immediately dangerous air with it: full facepiece with positive pressure,
    /// self-contained or with an auxiliary self-contained supply, and not for escape only.
    ///
    /// Source: 29 CFR 1910.134(d)(2)(i)(A)-(B) and (g)(3)(vi)(A).
    #[must_use]
    pub fn is_for_danger(&self) -> bool {
        let positive = matches!(
            self.air_source,
            AirSource::SelfContainedPressureDemand | AirSource::SuppliedAirPressureDemand
        );
        self.carries_cylinder()
            && positive
            && self.facepiece == Facepiece::FullFacepiece
            && !self.escape_only
    }
}
