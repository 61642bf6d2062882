//! The domain: entries fold into state; state, rules, sorbent physics and a given instant give
//! verdicts, schedules and what is due.
//!
//! Knows nothing of storage or screens. It reads no clock and no file and draws no lots.
#![deny(missing_docs)]

pub mod air_sheet;
mod alike;
pub mod bring;
pub mod calibrate;
mod carbon;
pub mod care;
pub mod case;
pub mod check;
mod corrected;
pub mod due;
mod entry;
pub mod exposure;
pub mod fit_sheet;
pub mod forecast;
mod ids;
pub mod inspection;
pub mod life;
pub mod needs;
mod reaction;
mod reuse;
pub mod schedule;
mod standby;
pub mod state;
pub mod supply;
mod told;
mod undone;
pub mod upkeep;
mod used;
mod usual_shift;
pub mod verdict;
pub mod what_if;

pub use alike::alike;
pub use carbon::{CalibratedCarbon, CarbonError};
pub use entry::{
    AgentsMade, AirFigures, AirQuality, BedSpec, CareStep, Clearance, CylinderTerms, Entry, Every,
    Fact, FitExercise, FitMethod, FitRecord, Gas, InspectionOccasion, PointFound, PointResult,
    ProfessionalTold, Renewal, RepairScope, Retrieval, ReuseCalculation, Role, SealCheck,
    SeriousSign, SparePart, StockItem, SupplySource, TaskSegment, TaskSpec, TrainingTopic,
    WorkRate,
};
pub use ids::{
    ActionId, CylinderId, ElementTypeId, EntryId, GroupId, InstrumentId, ModelId, PersonId,
    PlaceId, SiteId, StockId, SupplyId, TaskId, UnitId,
};
pub use reaction::{CalibratedReaction, CalibratedReactions, ReactionLinesError, TestedAir};
pub use reuse::{LapsedReuse, TakenReuse};
pub use state::{Part, State, Subject};
pub use told::OPEN;
pub use verdict::{Ask, ScheduleBound, Verdict, may_wear, may_wear_with};
