//! Physics of a packed bed of sorbent: how much it holds, how fast it takes up, how long it lasts.
//!
//! Knows nothing of people, of rules or of what a respirator is.
//!
//! The closed form here answers for steady air: one flow, one level of each vapour, from a fresh
//! bed to the moment the outlet reaches a stated level.
#![deny(missing_docs)]

mod bed;
mod breakthrough;
mod breathed;
mod calibrate;
mod capacity;
mod certified;
mod drying;
mod error;
mod explore;
mod life;
pub mod march;
mod mixture;
mod moved;
mod pattern;
mod rate;
mod reaction;
mod sobol;
mod solve;
mod spread;
mod steady;
mod vapour;
mod worst_start;

pub use bed::{Air, Bed, BedParts, Carbon, DEFAULT_GRANULE_CM};
pub use breakthrough::{Breakthrough, BreakthroughTerms};
pub use breathed::breathed_over_steady;
pub use calibrate::{
    Beside, Calibration, CalibrationError, Measured, Own, ReactionCalibration, ReactionError,
    ReactionMeasured, Start, calibrate, calibrate_reaction,
};
pub use capacity::{
    REFERENCE_POLARISATION_CM3_PER_MOL, TYPICAL_WATER, WaterIsotherm, adsorbed_volume, affinity,
    humid_volume, reference_energy_of_wood_1994, wood_1994_energy,
};
pub use certified::{CertifiedTest, reactive_life, sorbent_proven};
pub use error::LifeError;
pub use explore::{Exploration, Explored, Progress, Sampling, explore};
pub use life::{Method, SteadyCase, Stream, Validity, VapourLife, steady_life};
pub use mixture::{Adsorbate, Plateau, Sharing, adsorbed_mixture, displacement_train};
pub use moved::{INPUTS, Input, Moved, Spread};
pub use pattern::{Pattern, PatternError, PatternVapour, Restart, Run, Stretch};
pub use rate::{wood_1994_rate, wood_lodewyckx_2003_rate};
pub use reaction::{HeldByReaction, REACTION_MODEL_ERROR, Spell};
pub use spread::{
    BoundedLife, Contribution, MODEL_ERROR, bounded_life, explore_life, explore_pattern,
};
pub use vapour::{Estimated, Vapour};
pub use worst_start::{Ends, Opened, WorstStart, worst_start};
