//! The rules as data and pure functions, each with an id and a citation.
//!
//! Knows nothing of storage, people's records or screens: a check is given plain facts and answers
//! with findings.
#![deny(missing_docs)]

mod device;
mod finding;

pub use device::{
    AirSource, Device, ElementKind, Elements, Facepiece, FilterClass, FilterLevel, FilterSeries,
    Mounting,
};
pub use finding::{Authority, Decision, Finding, Rule, Severity, decide};
