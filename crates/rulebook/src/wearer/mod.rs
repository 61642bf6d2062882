//! What the rules ask of a wearer: clearance, fit, seal, training, advice.
//!
//! Knows nothing of how facts are kept: a check is given [`WearerFacts`].

pub mod fit_agent;
pub mod fit_complete;
pub mod fit_factor;
pub mod fit_in_date;
pub mod fit_instrument;
pub mod fit_method;
pub mod fit_negative_pressure;
pub mod fit_passed;
pub mod fit_protocol;
pub mod fit_renewal;
pub mod fit_steady;
pub mod fit_tested;
pub mod known;
pub mod medical_air_source;
pub mod medical_cleared;
pub mod medical_given;
pub mod medical_in_date;
pub mod medical_information;
pub mod medical_limits;
pub mod medical_renewal;
pub mod medical_written;
pub mod seal_hair;
pub mod seal_hair_seen;
pub mod seal_note;
pub mod training_given;
pub mod training_in_date;
pub mod training_renewal;
pub mod training_understood;
pub mod voluntary_information;

mod facts;
#[cfg(test)]
mod sample;

pub use fit_agent::AgentUsed;
pub use fit_instrument::MadeWith;

pub use facts::{
    Allows, ClearanceFact, FitGave, FitTestFact, RunBy, ToldFact, TrainingFact, WearerFacts,
};

use crate::Rule;
use crate::ask::{Binds, Check};

/// The checks of this folder, in the order in which they are visited.
#[must_use]
pub fn checks<'a>() -> [Check<WearerFacts<'a>>; 29] {
    use Binds::{Always, NotFilteringFacepieceByChoice as Fit, RequiredUse as Required};
    let check = |rule, binds, run| Check { rule, binds, run };
    [
        check(&known::RULE, Always, known::check),
        check(&medical_given::RULE, Fit, medical_given::check),
        check(&medical_cleared::RULE, Always, medical_cleared::check),
        check(&medical_in_date::RULE, Fit, medical_in_date::check),
        check(&medical_renewal::RULE, Always, medical_renewal::check),
        check(&medical_information::RULE, Fit, medical_information::check),
        check(&medical_written::RULE, Fit, medical_written::check),
        check(&medical_air_source::RULE, Fit, medical_air_source::check),
        check(&medical_limits::RULE, Always, medical_limits::check),
        check(&fit_tested::RULE, Required, fit_tested::check),
        check(&fit_complete::RULE, Required, fit_complete::check),
        check(&fit_passed::RULE, Required, fit_passed::check),
        check(&fit_protocol::RULE, Required, fit_protocol::check),
        check(&fit_negative_pressure::RULE, Required, fit_negative_pressure::check),
        check(&fit_agent::RULE, Required, fit_agent::check),
        check(&fit_instrument::RULE, Required, fit_instrument::check),
        check(&fit_in_date::RULE, Required, fit_in_date::check),
        check(&fit_renewal::RULE, Required, fit_renewal::check),
        check(&fit_method::RULE, Required, fit_method::check),
        check(&fit_factor::RULE, Required, fit_factor::check),
        check(&fit_steady::RULE, Required, fit_steady::check),
        check(&seal_hair::RULE, Required, seal_hair::check),
        check(&seal_hair_seen::RULE, Required, seal_hair_seen::check),
        check(&seal_note::RULE, Required, seal_note::check),
        check(&training_given::RULE, Required, training_given::check),
        check(&training_in_date::RULE, Required, training_in_date::check),
        check(&training_renewal::RULE, Required, training_renewal::check),
        check(&training_understood::RULE, Required, training_understood::check),
        check(&voluntary_information::RULE, Always, voluntary_information::check),
    ]
}

/// The rules of this folder.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    checks().iter().map(|check| check.rule).collect()
}
