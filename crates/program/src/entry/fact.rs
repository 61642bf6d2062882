use jiff::Timestamp;
use jiff::civil::Date;
use quantity::{
    Celsius, Centimetres, Cm3PerGram, Concentration, Grams, GramsPerCm3, KilojoulesPerMol,
    Kilopascal, LitrePerMin, Minutes, OxygenPercent, RelHumidity, SquareCm,
};
use rulebook::{AirSource, Device, Elements};
use serde::{Deserialize, Serialize};
use substance::Cas;

use crate::ids::{ElementTypeId, ModelId, PersonId, TaskId, UnitId};

/// What happened. The number behind each kind is the version of its payload; a version once
/// written is read for ever, a changed payload gets a new number.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind")]
pub enum Fact {
    /// A site opened its ledger.
    #[serde(rename = "site-opened.1")]
    SiteOpened {
        /// Name of the site.
        name: String,
        /// Its time zone by IANA name, such as `Europe/Madrid`.
        time_zone: String,
    },
    /// A model of respirator was listed for use at the site.
    #[serde(rename = "model-listed.1")]
    ModelListed {
        /// The model.
        model: ModelId,
        /// Its name in plain words.
        name: String,
        /// What it is, in the terms of the rules.
        device: Device,
        /// The sizes it comes in.
        sizes: Vec<String>,
        /// Its approval number.
        approval: String,
    },
    /// A kind of cartridge, canister or filter was listed.
    #[serde(rename = "element-type-listed.1")]
    ElementTypeListed {
        /// The kind.
        element_type: ElementTypeId,
        /// Its name in plain words.
        name: String,
        /// What it is certified against.
        elements: Elements,
        /// How many of it a unit carries.
        count: u8,
        /// Its bed, where the maker or a test has told it.
        bed: Option<BedSpec>,
    },
    /// A respirator was received.
    #[serde(rename = "unit-received.1")]
    UnitReceived {
        /// The tag on it.
        unit: UnitId,
        /// Its model.
        model: ModelId,
        /// Its size.
        size: String,
        /// The maker's serial number.
        serial: String,
        /// Whether several wearers use it.
        shared: bool,
        /// Whether it is kept for emergencies.
        emergency: bool,
    },
    /// A person was enrolled in the program.
    #[serde(rename = "wearer-enrolled.1")]
    WearerEnrolled {
        /// The person.
        wearer: PersonId,
        /// Name to show.
        name: String,
    },
    /// A task was described.
    #[serde(rename = "task-described.1")]
    TaskDescribed {
        /// The task.
        task: TaskId,
        /// What it is.
        spec: TaskSpec,
    },
    /// A contaminant of a task was measured, or found to be there without a measurement.
    #[serde(rename = "reading-taken.1")]
    ReadingTaken {
        /// The task.
        task: TaskId,
        /// The contaminant.
        cas: Cas,
        /// The concentration; none where it is present and not known.
        concentration: Option<Concentration>,
        /// Whether it is there as vapour, particle or both.
        form: rulebook::AirborneForm,
        /// How long was sampled.
        sampled: Option<Minutes>,
        /// How it was measured.
        method: String,
    },
    /// Elements were fitted to a unit.
    #[serde(rename = "elements-fitted.1")]
    ElementsFitted {
        /// The unit.
        unit: UnitId,
        /// Their kind.
        element_type: ElementTypeId,
        /// The maker's lot.
        lot: String,
        /// Last day of their shelf life.
        shelf_life_until: Date,
        /// When their seal was opened.
        opened: Timestamp,
    },
    /// The elements of a unit were taken off and thrown away.
    #[serde(rename = "elements-discarded.1")]
    ElementsDiscarded {
        /// The unit.
        unit: UnitId,
        /// Why.
        why: String,
    },
    /// A licensed health professional gave a written recommendation. Nothing else medical is kept.
    #[serde(rename = "clearance-given.1")]
    ClearanceGiven {
        /// The person.
        wearer: PersonId,
        /// The recommendation.
        clearance: Clearance,
        /// Last day it holds, if it ends.
        until: Option<Date>,
    },
    /// A fit test was done.
    #[serde(rename = "fit-tested.1")]
    FitTested {
        /// The person.
        wearer: PersonId,
        /// The model worn.
        model: ModelId,
        /// The size worn.
        size: String,
        /// How it was tested.
        method: FitMethod,
        /// Whether it passed by its protocol.
        passed: bool,
        /// Hair lay between the seal and the face, or another thing spoiled the seal.
        hair_in_seal: bool,
        /// What was noted of the seal.
        seal_note: String,
    },
    /// A person was trained.
    #[serde(rename = "trained.1")]
    Trained {
        /// The person.
        wearer: PersonId,
        /// In what.
        topic: TrainingTopic,
        /// Whether understanding was shown.
        understood: bool,
    },
    /// A voluntary wearer was given the information the rules ask for.
    #[serde(rename = "voluntary-information-given.1")]
    VoluntaryInformationGiven {
        /// The person.
        wearer: PersonId,
    },
    /// A unit was issued.
    #[serde(rename = "issued.1")]
    Issued {
        /// The unit.
        unit: UnitId,
        /// To whom.
        wearer: PersonId,
    },
    /// A unit came back.
    #[serde(rename = "returned.1")]
    Returned {
        /// The unit.
        unit: UnitId,
        /// From whom.
        wearer: PersonId,
    },
    /// A unit was taken apart, washed, rinsed and dried.
    #[serde(rename = "cleaned.1")]
    Cleaned {
        /// The unit.
        unit: UnitId,
    },
    /// A unit was disinfected.
    #[serde(rename = "disinfected.1")]
    Disinfected {
        /// The unit.
        unit: UnitId,
        /// With what, at which strength.
        agent: String,
        /// How long it was in contact.
        contact: Minutes,
    },
    /// A unit was inspected.
    #[serde(rename = "inspected.1")]
    Inspected {
        /// The unit.
        unit: UnitId,
        /// On which occasion.
        occasion: InspectionOccasion,
        /// Whether every point passed.
        passed: bool,
        /// What was found.
        found: String,
    },
    /// A unit was held back from use.
    #[serde(rename = "held.1")]
    Held {
        /// The unit.
        unit: UnitId,
        /// Why.
        why: String,
    },
    /// A held unit was released.
    #[serde(rename = "released.1")]
    Released {
        /// The unit.
        unit: UnitId,
        /// What was done.
        done: String,
    },
    /// A unit was retired for good.
    #[serde(rename = "retired.1")]
    Retired {
        /// The unit.
        unit: UnitId,
        /// Why.
        why: String,
    },
    /// The pressure of a cylinder was read.
    #[serde(rename = "cylinder-read.1")]
    CylinderRead {
        /// The unit that carries it.
        unit: UnitId,
        /// Its rated pressure.
        rated: Kilopascal,
        /// The pressure read.
        read: Kilopascal,
    },
    /// The air supply of a unit was tested.
    #[serde(rename = "breathing-air-tested.1")]
    BreathingAirTested {
        /// The unit.
        unit: UnitId,
        /// What the test said.
        quality: AirQuality,
    },
    /// The battery and the flow of a powered unit were checked.
    #[serde(rename = "powered-flow-checked.1")]
    PoweredFlowChecked {
        /// The unit.
        unit: UnitId,
        /// The flow found.
        flow: LitrePerMin,
        /// The least flow the maker asks for.
        least: LitrePerMin,
    },
    /// A unit was worn for a task.
    #[serde(rename = "worn.1")]
    Worn {
        /// The unit.
        unit: UnitId,
        /// By whom.
        wearer: PersonId,
        /// For which task.
        task: TaskId,
        /// How long in contaminated air.
        time: Minutes,
    },
    /// A wearer smelled, tasted or felt something inside the mask.
    #[serde(rename = "breakthrough-sensed.1")]
    BreakthroughSensed {
        /// The unit.
        unit: UnitId,
        /// Who wore it.
        wearer: PersonId,
        /// For which task.
        task: TaskId,
        /// What was sensed.
        sign: SeriousSign,
    },
    /// A change schedule, stricter than or equal to the computed one, was adopted for a task.
    #[serde(rename = "schedule-adopted.1")]
    ScheduleAdopted {
        /// The task.
        task: TaskId,
        /// The kind of element.
        element_type: ElementTypeId,
        /// Longest wear of one set.
        max_wear: Minutes,
        /// How many shifts one set may serve.
        shifts: u8,
    },
}

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
    /// A respirator is not needed, and worn by choice.
    pub voluntary: bool,
}

/// How hard a person works, and so how much air passes through the elements.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WorkRate {
    /// Standing, light handling.
    Light,
    /// Walking, steady handling.
    Moderate,
    /// Carrying, shovelling.
    Heavy,
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

/// What a test of breathing air said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum AirQuality {
    /// At least Grade D.
    Meets,
    /// Below Grade D.
    Fails,
}
