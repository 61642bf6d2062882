//! The rules as data and pure functions, each with an id and a citation.
//!
//! Knows nothing of storage, people's records or screens: a check is given plain facts and answers
//! with findings.
#![deny(missing_docs)]

pub mod ask;
mod assigned_protection;
pub mod bath;
mod blank;
pub mod breathing_air;
pub mod care;
mod certification;
mod change_caps;
pub mod checklist;
pub mod cleaning;
mod device;
pub mod donning;
pub mod duties;
pub mod exposure;
mod finding;
pub mod fit_test;
pub mod interval;
mod limits;
mod place;
pub mod repair;
mod selection;
pub mod service_life;
mod shown;
pub mod site;
pub mod standby;
pub mod storage;
mod substance_rules;
pub mod supply;
mod table;
pub mod tester;
pub mod unit;
pub mod wearer;

pub use assigned_protection::{AssignedFactor, assigned, may_show_factor_1000};
pub use blank::{is_blank, is_invisible};
pub use certification::{
    CertificationTest, MaxUse, max_use, minimum, minimum_for, minimum_powered,
};
pub use change_caps::{Cap, caps, is_clocked};
pub use device::{
    AirSource, Device, ElementKind, Elements, Facepiece, FilterClass, FilterLevel, FilterSeries,
    Mounting, NotAFilterClass,
};
pub use finding::{Authority, Decision, Finding, Rule, Severity, decide};
pub use limits::{FoundLimit, LimitSort, governing, immediately_dangerous};
pub use place::{AirborneForm, Contaminant, DustInAir, Handling, Level, NamedDust, Place, Purpose};
pub use selection::{
    Assessment, Judged, assess, counts_as_dangerous, describe, element_kinds_for, list,
};
pub use shown::shown_beside;
pub use table::TableError;

/// Every rule of this crate, in the order of its modules.
#[must_use]
pub fn all_rules() -> Vec<&'static Rule> {
    let mut rules = Vec::new();
    rules.extend(assigned_protection::RULES);
    rules.extend(selection::RULES);
    rules.extend(change_caps::RULES);
    rules.extend(service_life::rules());
    rules.extend(fit_test::rules());
    rules.extend(bath::rules());
    rules.extend(breathing_air::rules());
    rules.extend(exposure::rules());
    rules.extend(care::rules());
    rules.extend(checklist::rules());
    rules.extend(ask::rules());
    rules.extend(wearer::rules());
    rules.extend(unit::rules());
    rules.extend(donning::rules());
    rules.extend(cleaning::rules());
    rules.extend(repair::rules());
    rules.extend(storage::rules());
    rules.extend(supply::rules());
    rules.extend(tester::rules());
    rules.extend(standby::rules());
    rules.extend(site::rules());
    rules.extend(duties::rules());
    rules
}

/// The rules that are asked by judging a unit for a place.
#[must_use]
pub fn rules_of_selection() -> Vec<&'static Rule> {
    [&assigned_protection::RULES[..], &selection::RULES[..]].concat()
}

/// The rules that are asked by working out a change schedule.
#[must_use]
pub fn rules_of_schedule() -> Vec<&'static Rule> {
    [change_caps::RULES.to_vec(), service_life::rules()].concat()
}
