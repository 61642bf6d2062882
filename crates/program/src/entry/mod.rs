//! Entries: facts in the past tense, never edited.

mod by_kind;
mod care;
mod fact;
mod parts;
mod segment;
mod site;

use jiff::Timestamp;
use serde::{Deserialize, Serialize};

use crate::ids::{EntryId, PersonId, SiteId};

pub use care::{
    AgentsMade, CareStep, FitExercise, FitRecord, PointFound, PointResult, RepairScope, SealCheck,
    SparePart,
};
pub use fact::Fact;
pub use parts::{
    AirQuality, BedSpec, Clearance, FitMethod, InspectionOccasion, ProfessionalTold, Renewal,
    SeriousSign, TaskSpec, TrainingTopic, WorkRate,
};
pub use rulebook::interval::Every;
pub use segment::TaskSegment;
pub use site::{AirFigures, CylinderTerms, Gas, ReuseCalculation, Role, StockItem, SupplySource};

/// One fact: who, when it happened, when it was entered, on which device, about what.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// Given by the client that made the entry.
    pub id: EntryId,
    /// The site in whose chain the entry stands.
    pub site: SiteId,
    /// When the fact happened.
    pub happened: Timestamp,
    /// When it was entered.
    pub entered: Timestamp,
    /// Who entered it.
    pub by: PersonId,
    /// The device on which it was entered.
    pub device: String,
    /// The entry that this one puts right; both stay visible, this one counts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corrects: Option<EntryId>,
    /// What happened.
    pub fact: Fact,
}
