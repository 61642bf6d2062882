//! What the rules ask of the program of a site as a whole.
//!
//! Knows nothing of how facts are kept: a check is given [`ProgramFacts`].

pub mod action_overdue;
pub mod administrator;
pub mod consulted;
pub mod evaluated;
pub mod written;

#[cfg(test)]
mod sample;

use jiff::civil::Date;

use crate::Rule;
use crate::ask::{Binds, Check};
use crate::interval::Every;

/// The program of one site on one day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProgramFacts<'a> {
    /// The day at the site.
    pub day: Date,
    /// The written program, where there is one.
    pub written: Option<WrittenProgram<'a>>,
    /// The program administrator.
    pub administrator: Option<Administrator<'a>>,
    /// The latest evaluation.
    pub evaluated: Option<Evaluation<'a>>,
    /// How long an evaluation counts at this site.
    pub evaluation_counts: Every,
    /// The consultations of the wearers.
    pub consulted: Vec<Consultation<'a>>,
    /// How long a consultation counts at this site.
    pub consultation_counts: Every,
    /// The corrective actions that are open.
    pub open_actions: Vec<OpenAction<'a>>,
}

/// The written program.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WrittenProgram<'a> {
    /// The day of its latest revision.
    pub day: Date,
    /// The sections that it has.
    pub sections: Vec<Section>,
    /// The entry.
    pub entry: &'a str,
}

/// A section that a written program must have.
///
/// Source: 29 CFR 1910.134(c)(1)(i)-(ix).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Section {
    /// How respirators are chosen.
    Selection,
    /// Medical evaluation.
    Medical,
    /// Fit testing.
    FitTesting,
    /// Use in routine work and emergencies.
    Use,
    /// Cleaning, storing, inspecting, repairing, discarding.
    Care,
    /// Quality, quantity and flow of breathing air.
    Air,
    /// Training on the hazards.
    HazardTraining,
    /// Training on the use.
    UseTraining,
    /// Evaluation of the program.
    Evaluation,
}

impl Section {
    /// Every section, in the order of the paragraphs.
    pub const ALL: [Self; 9] = [
        Self::Selection,
        Self::Medical,
        Self::FitTesting,
        Self::Use,
        Self::Care,
        Self::Air,
        Self::HazardTraining,
        Self::UseTraining,
        Self::Evaluation,
    ];

    /// What it is about.
    #[must_use]
    pub const fn words(&self) -> &'static str {
        match self {
            Self::Selection => "how respirators are chosen",
            Self::Medical => "medical evaluation",
            Self::FitTesting => "fit testing",
            Self::Use => "use in routine work and in emergencies",
            Self::Care => "cleaning, disinfecting, storing, inspecting, repairing and discarding",
            Self::Air => "quality, quantity and flow of breathing air",
            Self::HazardTraining => "training on the hazards",
            Self::UseTraining => "training on donning, doffing, limits and upkeep",
            Self::Evaluation => "how the program is evaluated",
        }
    }

    /// The duty to write it, by its number in the list of duties: where a person shows that duty
    /// kept, the section is there.
    #[must_use]
    pub const fn duty(&self) -> &'static str {
        match self {
            Self::Selection => "D005",
            Self::Medical => "D006",
            Self::FitTesting => "D007",
            Self::Use => "D008",
            Self::Care => "D009",
            Self::Air => "D010",
            Self::HazardTraining => "D011",
            Self::UseTraining => "D012",
            Self::Evaluation => "D013",
        }
    }
}

/// The program administrator.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Administrator<'a> {
    /// Name to show.
    pub name: &'a str,
    /// The training or experience, as recorded.
    pub shown: &'a str,
    /// Last day of the part, if it ends.
    pub until: Option<Date>,
    /// The entry.
    pub entry: &'a str,
}

/// An evaluation of the program.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Evaluation<'a> {
    /// The day at the site.
    pub day: Date,
    /// The entry.
    pub entry: &'a str,
}

/// A consultation of the wearers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Consultation<'a> {
    /// The day at the site.
    pub day: Date,
    /// What they were asked about.
    pub topics: Vec<Topic>,
    /// The entry.
    pub entry: &'a str,
}

/// What wearers are asked about.
///
/// Source: 29 CFR 1910.134(l)(2)(i)-(iv).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Topic {
    /// Fit, and whether it hinders the work.
    Fit,
    /// Selection for the hazards.
    Selection,
    /// Use in the conditions met.
    Use,
    /// Maintenance.
    Maintenance,
}

impl Topic {
    /// Every topic, in the order of the paragraphs.
    pub const ALL: [Self; 4] = [Self::Fit, Self::Selection, Self::Use, Self::Maintenance];

    /// Its name.
    #[must_use]
    pub const fn words(&self) -> &'static str {
        match self {
            Self::Fit => "fit",
            Self::Selection => "selection",
            Self::Use => "use",
            Self::Maintenance => "maintenance",
        }
    }

    /// The duty to ask about it, by its number in the list of duties.
    #[must_use]
    pub const fn duty(&self) -> &'static str {
        match self {
            Self::Fit => "D165",
            Self::Selection => "D166",
            Self::Use => "D167",
            Self::Maintenance => "D168",
        }
    }
}

/// A corrective action that is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OpenAction<'a> {
    /// What is to be put right.
    pub what: &'a str,
    /// Last day for it.
    pub until: Date,
    /// The entry.
    pub entry: &'a str,
}

/// The checks of this folder, in the order in which they are visited.
#[must_use]
pub fn checks<'a>() -> [Check<ProgramFacts<'a>>; 5] {
    let always = |rule, run| Check { rule, binds: Binds::Always, run };
    [
        always(&written::RULE, written::check),
        always(&administrator::RULE, administrator::check),
        always(&evaluated::RULE, evaluated::check),
        always(&consulted::RULE, consulted::check),
        always(&action_overdue::RULE, action_overdue::check),
    ]
}

/// The rules of this folder.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    checks().iter().map(|check| check.rule).collect()
}
