//! What the facts are made of.

use quantity::{
    Celsius, Centimetres, Cm3PerGram, Grams, GramsPerCm3, KilojoulesPerMol, Kilopascal, Minutes,
    OxygenPercent, RelHumidity, SquareCm,
};
use rulebook::AirSource;
use rulebook::is_blank;

use rulebook::wearer::FitGave;
use serde::{Deserialize, Serialize};

use crate::carbon::CalibratedCarbon;

/// The bed of one cartridge or canister.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BedSpec {
    /// Mass of sorbent in each.
    pub sorbent_mass: Grams,
    /// Area of each bed across the flow.
    pub bed_area: SquareCm,
    /// Bulk density of the bed.
    pub bulk_density: GramsPerCm3,
    /// Mean size of a granule.
    pub granule: Centimetres,
    /// Micropore volume of the sorbent.
    pub micropore_volume: Cm3PerGram,
    /// Characteristic energy towards the reference vapour, where it is known.
    pub reference_energy: Option<KilojoulesPerMol>,
    /// Its carbon, where a laboratory report was calibrated on; its volume and energy stand in place of
    /// those above.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub calibrated: Option<CalibratedCarbon>,
}

/// A task and its place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TaskSpec {
    /// Name of the task.
    pub name: String,
    /// Planned wear on one shift.
    pub wear_per_shift: Minutes,
    /// How hard the work is.
    pub work_rate: WorkRate,
    /// Temperature of the place.
    pub temperature: Celsius,
    /// Humidity of the place.
    pub relative_humidity: RelHumidity,
    /// Pressure of the place.
    pub pressure: Kilopascal,
    /// Oxygen, where it was measured or is known to be that of open air.
    pub oxygen: Option<OxygenPercent>,
    /// Whether there is oil in the air, where it is known.
    pub oil_aerosol: Option<bool>,
    /// Whether what is in the air irritates the eyes, where it is known.
    pub irritates_eyes: Option<bool>,
    /// The site has declared the place immediately dangerous to life or health.
    pub immediately_dangerous: bool,
    /// What is in the air is not known.
    pub atmosphere_unknown: bool,
    /// A fire is fought inside a structure, past its beginning; no where it was not told.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub interior_fire: bool,
    /// How many stand by outside at least, where the site asks for more than the rules do.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub standby_outside: Option<u8>,
    /// A respirator is not needed, and worn by choice.
    pub voluntary: bool,
}

/// How hard a person works, and so how much air passes through the elements; harder after lighter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WorkRate {
    /// Standing, light handling.
    Light,
    /// Walking, steady handling.
    Moderate,
    /// Carrying, shovelling.
    Heavy,
}

impl WorkRate {
    /// How hard that is, with examples.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Light => "light: standing, light handling",
            Self::Moderate => "moderate: walking, steady handling",
            Self::Heavy => "heavy: carrying, shovelling",
        }
    }
}

/// What a licensed health professional wrote.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Clearance {
    /// May wear any respirator.
    Cleared,
    /// May wear these air sources only, with the limits as written.
    ClearedFor {
        /// The air sources allowed.
        air_sources: Vec<AirSource>,
        /// Further limits, as written; no medical data.
        limits: String,
    },
    /// May not wear a respirator.
    NotCleared,
}

/// What a licensed health professional is told of the respirator and the work of a wearer before the
/// recommendation: nothing of the person. What is empty was not given.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct ProfessionalTold {
    /// Where the respirators that are meant get their air from.
    pub air_sources: Vec<AirSource>,
    /// Which they are, and how much each weighs.
    pub respirators: String,
    /// How long and how often they are worn, rescue and escape included.
    pub wear: String,
    /// How hard the work is.
    pub effort: String,
    /// What protective clothing and equipment is worn beside.
    pub worn_beside: String,
    /// How hot, cold, damp and dry it may be.
    pub climate: String,
    /// Whether a copy of the written program was given.
    pub program_copy: bool,
    /// Whether a copy of the standard was given.
    pub standard_copy: bool,
}

impl ProfessionalTold {
    /// What of it was not given.
    #[must_use]
    pub fn missing(&self) -> Vec<&'static str> {
        let told = |text: &str| !is_blank(text);
        let parts = [
            (
                !self.air_sources.is_empty() && told(&self.respirators),
                "type and weight of the respirator",
            ),
            (told(&self.wear), "how long and how often it is worn, rescue and escape included"),
            (told(&self.effort), "the physical effort"),
            (told(&self.worn_beside), "what protective clothing and equipment is worn beside"),
            (told(&self.climate), "extremes of temperature and humidity"),
            (self.program_copy, "a copy of the written program"),
            (self.standard_copy, "a copy of the standard"),
        ];
        parts.into_iter().filter(|(given, _)| !given).map(|(_, what)| what).collect()
    }
}

/// How a fit test was done.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FitMethod {
    /// By taste, smell or irritation: pass or fail.
    Qualitative,
    /// By counts or pressure: an overall fit factor.
    Quantitative {
        /// The overall fit factor.
        fit_factor: f64,
    },
}

impl FitMethod {
    /// What it gave, in the terms of the rules.
    #[must_use]
    pub const fn gave(self) -> FitGave {
        match self {
            Self::Qualitative => FitGave::PassOrFail,
            Self::Quantitative { fit_factor } => FitGave::Factor(fit_factor),
        }
    }
}

/// What a person was trained in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum TrainingTopic {
    /// Why, how and when to wear, and what to do when something is wrong.
    Wear,
    /// Cleaning, disinfecting and inspecting.
    Care,
    /// Repair of this site's respirators.
    Repair,
    /// Repair of regulators, reducing and admission valves and alarms, by the maker.
    RegulatorRepair,
    /// Fit testing.
    FitTesting,
    /// Filling of cylinders and care of supplies of air.
    AirSupply,
    /// Standing by outside immediately dangerous air, and rescue from it.
    Rescue,
    /// Running the program.
    Administration,
}

/// How who is inside would be brought out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Retrieval {
    /// With equipment.
    Equipment {
        /// Which.
        what: String,
    },
    /// By equivalent means, where equipment would not help or would add risk.
    Otherwise {
        /// Which.
        means: String,
        /// Why no equipment is used.
        why: String,
    },
}

/// What is done anew for a wearer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Renewal {
    /// The fit test: the face or body changed.
    FitTest,
    /// The medical evaluation: signs, symptoms, a request, or heavier work.
    Clearance,
    /// The training in wearing: the work or the respirator changed, or what was taught is not kept.
    Training,
}

/// When an inspection was done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum InspectionOccasion {
    /// Before a use.
    BeforeUse,
    /// While cleaning.
    AtCleaning,
    /// The monthly round of emergency and self-contained sets.
    Monthly,
}

/// What a wearer noticed inside the mask.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SeriousSign {
    /// A smell.
    Smell,
    /// A taste.
    Taste,
    /// Irritation of eyes, nose or throat.
    Irritation,
    /// Breathing became hard.
    Resistance,
}

impl SeriousSign {
    /// What was noticed, as a rule says it.
    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::Smell => "a smell",
            Self::Taste => "a taste",
            Self::Irritation => "irritation",
            Self::Resistance => "hard breathing",
        }
    }
}

/// What a test of breathing air said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum AirQuality {
    /// At least Grade D.
    Meets,
    /// Below Grade D.
    Fails,
}
