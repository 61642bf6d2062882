//! What `demo/plant.toml` lists, as it is written there.

use anyhow::Context;
use program::{BedSpec, CalibratedReactions, TaskSegment, TaskSpec};
use quantity::{Concentration, Kilopascal, LitrePerMin, Minutes};
use rulebook::{AirborneForm, Device, Elements};
use serde::Deserialize;
use substance::Cas;

const PLANT: &str = include_str!("../../../../demo/plant.toml");

/// The whole list.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Listed {
    #[serde(rename = "site")]
    pub(super) sites: Vec<Site>,
    #[serde(rename = "model")]
    pub(super) models: Vec<Model>,
    #[serde(rename = "element_type")]
    pub(super) element_types: Vec<ElementType>,
    #[serde(rename = "task")]
    pub(super) tasks: Vec<Task>,
    #[serde(rename = "crew")]
    pub(super) crews: Vec<Crew>,
    #[serde(rename = "units")]
    pub(super) racks: Vec<Rack>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Site {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) time_zone: String,
    pub(super) utc_offset_hours: i8,
    pub(super) administrator: String,
    pub(super) technicians: Vec<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Model {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) sizes: Vec<String>,
    pub(super) approval: String,
    /// The kinds of element that its approval label names.
    #[serde(default)]
    pub(super) approved_elements: Vec<String>,
    /// The part numbers of the cylinders that its approval names.
    #[serde(default)]
    pub(super) approved_cylinders: Vec<String>,
    /// The least flow of a powered unit.
    pub(super) least_flow: Option<LitrePerMin>,
    /// The rated pressure of a cylinder it carries.
    pub(super) cylinder: Option<Kilopascal>,
    pub(super) device: Device,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ElementType {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) count: u8,
    /// How many wears one set serves at this plant.
    pub(super) uses: u32,
    pub(super) elements: Elements,
    pub(super) bed: Option<BedSpec>,
    #[serde(rename = "reaction", default)]
    pub(super) reactions: CalibratedReactions,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Task {
    pub(super) id: String,
    pub(super) site: String,
    #[serde(default)]
    pub(super) schedule: Vec<Schedule>,
    pub(super) spec: TaskSpec,
    #[serde(rename = "segment", default)]
    pub(super) segments: Vec<TaskSegment>,
    #[serde(rename = "contaminant")]
    pub(super) contaminants: Vec<Contaminant>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Schedule {
    pub(super) element_type: String,
    pub(super) max_wear: Minutes,
    pub(super) shifts: u8,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Contaminant {
    pub(super) cas: Cas,
    pub(super) low: Option<Concentration>,
    pub(super) high: Option<Concentration>,
    pub(super) form: AirborneForm,
    pub(super) method: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Crew {
    pub(super) id: String,
    pub(super) site: String,
    pub(super) task: String,
    pub(super) model: String,
    /// The part of working days on which a member wears.
    pub(super) share: f64,
    #[serde(default)]
    pub(super) pool: Vec<String>,
    pub(super) members: Vec<Member>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Member {
    pub(super) name: String,
    pub(super) size: String,
    /// Respirators of one's own, the newest last.
    #[serde(default)]
    pub(super) units: Vec<String>,
    pub(super) odd: Option<MemberOdd>,
}

/// The one thing that is not as it should be with a person.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum MemberOdd {
    FitExpired,
    FitNever,
    FitOtherSize,
    FitOtherModel,
    FitFailed,
    FitQualitative,
    FitFactorLow,
    HairInSeal,
    SealNote,
    RecordsDisagree,
    ClearanceExpired,
    ClearanceMissing,
    PoweredOnly,
    NotCleared,
    TrainingExpired,
    TrainingMissing,
    TrainingNotUnderstood,
    Uninformed,
}

/// Respirators of one model kept in one way.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Rack {
    pub(super) site: String,
    pub(super) model: String,
    pub(super) kept: Kept,
    /// What is usually fitted.
    pub(super) element: Option<String>,
    pub(super) list: Vec<Unit>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum Kept {
    Own,
    Shared,
    Emergency,
    Spare,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Unit {
    pub(super) tag: String,
    pub(super) size: String,
    /// What this one carries at the end instead of what is usual.
    pub(super) fits: Option<String>,
    pub(super) odd: Option<UnitOdd>,
}

/// The one thing that is not as it should be with a respirator.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum UnitOdd {
    Held,
    Retired,
    InspectionFailed,
    NotInspected,
    NotCleaned,
    NotDisinfected,
    ShortContact,
    HungBack,
    InOtherHands,
    ShelfLifePassed,
    OpenedEarlier,
    WornPastSchedule,
    Sensed,
    NoElements,
    AirNever,
    AirFailed,
    FlowNever,
    FlowLow,
    /// Nobody listed or read it.
    CylinderNever,
    CylinderLow,
    /// One of another set, too small, and filled above its rating.
    CylinderWrong,
    MonthlyOverdue,
}

impl Listed {
    pub(super) fn read() -> anyhow::Result<Self> {
        toml::from_str(PLANT).context("demo/plant.toml")
    }

    pub(super) fn model(&self, id: &str) -> anyhow::Result<&Model> {
        let found = self.models.iter().find(|model| model.id == id);
        found.with_context(|| format!("model `{id}` is not listed"))
    }

    pub(super) fn element_type(&self, id: &str) -> anyhow::Result<&ElementType> {
        let found = self.element_types.iter().find(|kind| kind.id == id);
        found.with_context(|| format!("element type `{id}` is not listed"))
    }

    pub(super) fn task(&self, id: &str) -> anyhow::Result<&Task> {
        let found = self.tasks.iter().find(|task| task.id == id);
        found.with_context(|| format!("task `{id}` is not listed"))
    }

    /// The respirator with this tag, and the rack it stands in.
    pub(super) fn unit(&self, tag: &str) -> anyhow::Result<(&Rack, &Unit)> {
        let in_rack = |rack| Rack::unit(rack, tag).map(|unit| (rack, unit));
        let found = self.racks.iter().find_map(in_rack);
        found.with_context(|| format!("respirator `{tag}` is not listed"))
    }

    pub(super) fn crews_of<'a>(&'a self, site: &'a Site) -> impl Iterator<Item = &'a Crew> {
        self.crews.iter().filter(|crew| crew.site == site.id)
    }

    pub(super) fn racks_of<'a>(&'a self, site: &'a Site) -> impl Iterator<Item = &'a Rack> {
        self.racks.iter().filter(|rack| rack.site == site.id)
    }
}

impl Rack {
    fn unit(&self, tag: &str) -> Option<&Unit> {
        self.list.iter().find(|unit| unit.tag == tag)
    }

    /// What `unit` of this rack carries at the end of the history.
    pub(super) fn fitted_to<'a>(&'a self, unit: &'a Unit) -> Option<&'a str> {
        unit.fits.as_deref().or(self.element.as_deref())
    }
}
