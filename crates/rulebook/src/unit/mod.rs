//! What the rules ask of one respirator: where it is, what state it is in, what is fitted to it.
//!
//! Knows nothing of how facts are kept: a check is given [`UnitFacts`].

pub mod auxiliary_air;
pub mod breathing_air;
pub mod cylinder_approved;
pub mod cylinder_full;
pub mod cylinder_known;
pub mod cylinder_overfilled;
pub mod cylinder_suits;
pub mod disinfectant;
pub mod disinfectant_strong;
pub mod disinfected_between_wearers;
pub mod disinfection_contact;
pub mod element_type_listed;
pub mod elements_approved;
pub mod elements_fitted;
pub mod elements_mounting;
pub mod elements_suit_model;
pub mod emergency_disinfected;
pub mod in_right_hands;
pub mod in_service;
pub mod inspected_before_use;
pub mod inspected_monthly;
pub mod inspection_passed;
pub mod inspection_recent;
pub mod known;
pub mod model_approved;
pub mod model_listed;
pub mod not_held;
pub mod nothing_sensed;
pub mod one_wearer_only;
pub mod opened_this_shift;
pub mod powered_flow;
pub mod restored;
pub mod schedule_known;
pub mod shelf_life;
pub mod shifts;
pub mod use_by_known;
pub mod within_rated_time;
pub mod within_schedule;

mod facts;
#[cfg(test)]
mod sample;

pub use facts::{
    AirTest, Breathing, Changed, CylinderFact, DisinfectionFact, DoubtfulDisinfection,
    ElementFacts, FlowFact, InspectionFact, LifeFacts, ListedCylinder, MountedFact, Round,
    UnitFacts, Use, UseBy,
};

use crate::Rule;
use crate::ask::{Binds, Check};

/// The checks of this folder, in the order in which they are visited.
#[must_use]
pub fn checks<'a>() -> [Check<UnitFacts<'a>>; 38] {
    use Binds::{Always, NotFilteringFacepieceByChoice as Care, RequiredUse as Required};
    let check = |rule, binds, run| Check { rule, binds, run };
    [
        check(&known::RULE, Always, known::check),
        check(&model_listed::RULE, Always, model_listed::check),
        check(&model_approved::RULE, Required, model_approved::check),
        check(&in_service::RULE, Always, in_service::check),
        check(&not_held::RULE, Always, not_held::check),
        check(&restored::RULE, Always, restored::check),
        check(&in_right_hands::RULE, Always, in_right_hands::check),
        check(&one_wearer_only::RULE, Always, one_wearer_only::check),
        check(&disinfected_between_wearers::RULE, Always, disinfected_between_wearers::check),
        check(&emergency_disinfected::RULE, Care, emergency_disinfected::check),
        check(&disinfection_contact::RULE, Care, disinfection_contact::check),
        check(&disinfectant::RULE, Always, disinfectant::check),
        check(&disinfectant_strong::RULE, Always, disinfectant_strong::check),
        check(&inspected_before_use::RULE, Care, inspected_before_use::check),
        check(&inspection_recent::RULE, Care, inspection_recent::check),
        check(&inspection_passed::RULE, Always, inspection_passed::check),
        check(&inspected_monthly::RULE, Care, inspected_monthly::check),
        check(&cylinder_known::RULE, Always, cylinder_known::check),
        check(&cylinder_suits::RULE, Always, cylinder_suits::check),
        check(&cylinder_approved::RULE, Always, cylinder_approved::check),
        check(&cylinder_overfilled::RULE, Always, cylinder_overfilled::check),
        check(&cylinder_full::RULE, Always, cylinder_full::check),
        check(&within_rated_time::RULE, Always, within_rated_time::check),
        check(&breathing_air::RULE, Always, breathing_air::check),
        check(&auxiliary_air::RULE, Always, auxiliary_air::check),
        check(&powered_flow::RULE, Care, powered_flow::check),
        check(&elements_fitted::RULE, Care, elements_fitted::check),
        check(&element_type_listed::RULE, Care, element_type_listed::check),
        check(&elements_suit_model::RULE, Always, elements_suit_model::check),
        check(&elements_approved::RULE, Always, elements_approved::check),
        check(&elements_mounting::RULE, Always, elements_mounting::check),
        check(&shelf_life::RULE, Always, shelf_life::check),
        check(&use_by_known::RULE, Always, use_by_known::check),
        check(&schedule_known::RULE, Required, schedule_known::check),
        check(&within_schedule::RULE, Required, within_schedule::check),
        check(&shifts::RULE, Required, shifts::check),
        check(&opened_this_shift::RULE, Required, opened_this_shift::check),
        check(&nothing_sensed::RULE, Always, nothing_sensed::check),
    ]
}

/// The rules of this folder.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    checks().iter().map(|check| check.rule).collect()
}
