//! What the rules ask of a repair and of the release after it.
//!
//! Knows nothing of how facts are kept: a check is given [`RepairFacts`].

pub mod instructions;
pub mod maker_only;
pub mod parts;
pub mod trained;

#[cfg(test)]
mod sample;

use std::fmt;

use jiff::civil::Date;

use crate::Rule;
use crate::ask::{Binds, Check};
use crate::interval::Every;

/// One repair, adjustment or release.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RepairFacts<'a> {
    /// The set, by its tag.
    pub unit: &'a str,
    /// Who did it.
    pub by: &'a str,
    /// The day at the site.
    pub day: Date,
    /// The latest repair training of that person.
    pub training: Option<RepairTraining<'a>>,
    /// How long such a training counts at this site.
    pub training_counts: Every,
    /// Who that person is to the maker.
    pub standing: Standing,
    /// What was worked on.
    pub worked_on: Vec<Component>,
    /// The parts that were fitted.
    pub parts: Vec<PartFact<'a>>,
    /// The maker's instructions that were followed, as named; empty where none are.
    pub instructions: &'a str,
    /// The entry.
    pub entry: &'a str,
}

/// A training in repair.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RepairTraining<'a> {
    /// The day.
    pub day: Date,
    /// Whether understanding was shown.
    pub understood: bool,
    /// The entry.
    pub entry: &'a str,
}

/// Who repairs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Standing {
    /// The maker.
    Maker,
    /// A technician whom the maker trained.
    TrainedByMaker,
    /// A person of the site.
    OfTheSite,
}

/// What a repair works on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Component {
    /// A reducing valve.
    ReducingValve,
    /// An admission valve.
    AdmissionValve,
    /// A regulator.
    Regulator,
    /// An alarm.
    Alarm,
    /// Anything else: straps, lenses, valves of the facepiece, hoses.
    Other,
}

impl fmt::Display for Component {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::ReducingValve => "the reducing valve",
            Self::AdmissionValve => "the admission valve",
            Self::Regulator => "the regulator",
            Self::Alarm => "the alarm",
            Self::Other => "the set",
        })
    }
}

/// A part that was fitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PartFact<'a> {
    /// Its number.
    pub number: &'a str,
    /// Whether the maker made it for this respirator, as listed.
    pub made_for_it: bool,
}

/// The checks of this folder, in the order in which they are visited.
#[must_use]
pub fn checks<'a>() -> [Check<RepairFacts<'a>>; 4] {
    let always = |rule, run| Check { rule, binds: Binds::Always, run };
    [
        always(&trained::RULE, trained::check),
        always(&parts::RULE, parts::check),
        always(&instructions::RULE, instructions::check),
        always(&maker_only::RULE, maker_only::check),
    ]
}

/// The rules of this folder.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    checks().iter().map(|check| check.rule).collect()
}
