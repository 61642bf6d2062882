//! What the air of a place is like, as far as it is known.

use quantity::{Celsius, Concentration, Kilopascal, OxygenPercent, QuantityError, RelHumidity};
use serde::{Deserialize, Serialize};
use substance::Substance;

/// How much of a contaminant is in the air, where that is known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Level {
    /// Measured or soundly estimated.
    Known(Concentration),
    /// Present; how much is not known.
    Unknown,
}

impl Level {
    /// The concentration, where it is known.
    #[must_use]
    pub const fn known(self) -> Option<Concentration> {
        match self {
            Self::Known(concentration) => Some(concentration),
            Self::Unknown => None,
        }
    }
}

/// The state in which a contaminant is in the air.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum AirborneForm {
    /// Gas or vapour.
    Vapour,
    /// Dust, mist, fume or smoke.
    Particle,
    /// Both at once.
    VapourAndParticle,
}

/// One thing in the air that can harm the wearer.
#[derive(Debug, Clone, Copy)]
pub struct Contaminant {
    /// What it is.
    pub substance: &'static Substance,
    /// How much of it is there.
    pub level: Level,
    /// In which state.
    pub form: AirborneForm,
    /// A limit that the site set itself: used where it is lower, or where no other is known.
    pub site_limit: Option<Concentration>,
}

/// Airborne matter that a substance rule names though it is no single chemical.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum NamedDust {
    /// What leaves a coke oven.
    CokeOvenEmissions,
    /// Dust of raw cotton.
    CottonDust,
}

/// Such matter in the air of a place.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct DustInAir {
    /// What it is.
    pub dust: NamedDust,
    /// How much of it is there.
    pub level: Level,
    /// The limit for the operation at hand, where the site knows it.
    pub site_limit: Option<Concentration>,
}

/// What the respirator is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Purpose {
    /// Planned work.
    RoutineWork,
    /// Leaving the area.
    Escape,
    /// Going in to deal with an emergency.
    EmergencyEntry,
}

/// How a carcinogen of 29 CFR 1910.1003 is handled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Handling {
    /// It stays inside closed equipment.
    ClosedSystem,
    /// Closed systems are opened, or it is moved, charged or discharged.
    OpeningSystems,
    /// Leaks, spills, maintenance or decontamination, where it may be touched.
    Cleanup,
}

/// Everything about a place and its task that the selection rules ask.
///
/// What was not entered stays `None`, and the rules that need it stop.
#[derive(Debug, Clone)]
pub struct Place {
    /// What is in the air.
    pub contaminants: Vec<Contaminant>,
    /// Named matter that is no single chemical.
    pub dusts: Vec<DustInAir>,
    /// Oxygen by volume.
    pub oxygen: Option<OxygenPercent>,
    /// It was shown that oxygen stays within the band of the altitude under all foreseeable
    /// conditions.
    pub oxygen_shown_steady: bool,
    /// Whether oil is in the air as an aerosol.
    pub oil_aerosol: Option<bool>,
    /// Air temperature.
    pub temperature: Celsius,
    /// Air pressure, which also tells the altitude.
    pub pressure: Kilopascal,
    /// Humidity of the air.
    pub relative_humidity: Option<RelHumidity>,
    /// Someone competent declared the air immediately dangerous.
    pub declared_immediately_dangerous: bool,
    /// What is in the air was not found out.
    pub atmosphere_unknown: bool,
    /// A fire is fought inside a structure, past its beginning: immediately dangerous air.
    pub interior_fire: bool,
    /// Whether what is in the air irritates eyes or skin.
    pub irritates_eyes: Option<bool>,
    /// Gas-proof goggles are worn with a mask that leaves the eyes open.
    pub gas_proof_goggles: bool,
    /// What the respirator is for.
    pub purpose: Purpose,
    /// How a carcinogen of 29 CFR 1910.1003 is handled, where there is one.
    pub handling: Option<Handling>,
}

impl Place {
    /// Planned work among `contaminants` at 25 degC and 101.325 kPa, with nothing else known: the
    /// rules that need more stop until it is entered.
    pub fn with(contaminants: Vec<Contaminant>) -> Result<Self, QuantityError> {
        Ok(Self {
            contaminants,
            dusts: Vec::new(),
            oxygen: None,
            oxygen_shown_steady: false,
            oil_aerosol: None,
            temperature: Celsius::from_celsius(25.0)?,
            pressure: Kilopascal::from_kpa(101.325)?,
            relative_humidity: None,
            declared_immediately_dangerous: false,
            atmosphere_unknown: false,
            interior_fire: false,
            irritates_eyes: None,
            gas_proof_goggles: false,
            purpose: Purpose::RoutineWork,
            handling: None,
        })
    }

    /// The altitude in feet at which the standard atmosphere has this pressure.
    ///
    /// Valid below 11 km. Weather moves the pressure of a place by a few per cent, a few hundred
    /// feet: near the edge of a band use the lowest pressure of the year.
    ///
    /// Source: ISO 2533 standard atmosphere, barometric formula (from memory, unconfirmed).
    #[must_use]
    pub fn altitude_feet(&self) -> f64 {
        const SEA_LEVEL_KPA: f64 = 101.325;
        const TEMPERATURE_OVER_LAPSE_M: f64 = 288.15 / 0.0065;
        const EXPONENT: f64 = 0.190_263;
        const METRES_PER_FOOT: f64 = 0.3048;
        let ratio = self.pressure.as_kpa() / SEA_LEVEL_KPA;
        TEMPERATURE_OVER_LAPSE_M * (1.0 - ratio.powf(EXPONENT)) / METRES_PER_FOOT
    }
}
