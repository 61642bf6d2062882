use jiff::civil::Date;

use super::{AgentUsed, MadeWith};
use crate::fit_test::{Mask, TestedAs};
use crate::interval::Every;
use crate::{AirSource, Device, Elements};

/// What the rules ask about a wearer, for one set on one day.
#[derive(Debug, Clone, PartialEq)]
pub struct WearerFacts<'a> {
    /// Name to show.
    pub wearer: &'a str,
    /// Whether the person is enrolled.
    pub enrolled: bool,
    /// The day on which the person left the program, where the person did.
    pub left: Option<Date>,
    /// The respirator, where its model is known.
    pub device: Option<Device>,
    /// Name of its model.
    pub model: &'a str,
    /// The kinds of element that its model names; none where it names none or one is not known.
    pub approved: Option<Vec<&'a Elements>>,
    /// Its size.
    pub size: &'a str,
    /// The last day of the planned wear, at the site.
    pub day: Date,
    /// How long a fit test counts at this site.
    pub test_counts: Every,
    /// How long a training counts at this site.
    pub training_counts: Every,
    /// The latest recommendation of a health professional.
    pub clearance: Option<ClearanceFact<'a>>,
    /// The latest fit test with this model and size.
    pub fit_test: Option<FitTestFact<'a>>,
    /// The latest fit test with any facepiece, if hair was found in the seal then.
    pub hair_in_seal: Option<&'a str>,
    /// The entry that says that hair was seen where a mask seals, where none says since that it is gone.
    pub hair_seen: Option<&'a str>,
    /// The entry that asks for a new fit test, later than the latest with this model and size.
    pub fit_renewal: Option<&'a str>,
    /// The entry that asks for a new medical evaluation, later than the latest recommendation.
    pub medical_renewal: Option<&'a str>,
    /// The entry that asks for new training, later than the latest in wearing.
    pub training_renewal: Option<&'a str>,
    /// The latest training in wearing.
    pub training: Option<TrainingFact<'a>>,
    /// The entry that says the printed advice for use by choice was given.
    pub information: Option<&'a str>,
    /// Whether the wearing is by choice.
    pub voluntary: bool,
    /// How many times over its limit the worst contaminant is, where that is known.
    pub needed_factor: Option<f64>,
}

impl WearerFacts<'_> {
    /// Whether the respirator is known to seal against the face.
    #[must_use]
    pub fn is_tight_fitting(&self) -> bool {
        self.device.as_ref().is_some_and(|device| device.facepiece.is_tight_fitting())
    }

    /// The fit test, where the respirator needs one.
    #[must_use]
    pub fn tight_fit_test(&self) -> Option<&FitTestFact<'_>> {
        self.fit_test.as_ref().filter(|_| self.is_tight_fitting())
    }
}

/// What a recommendation allows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Allows<'a> {
    /// Any respirator.
    Any,
    /// These air sources only.
    Only {
        /// The air sources.
        air_sources: &'a [AirSource],
        /// Further limits, as written.
        limits: &'a str,
    },
    /// No respirator.
    Nothing,
}

/// A written recommendation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClearanceFact<'a> {
    /// What it allows.
    pub allows: Allows<'a>,
    /// Its last day, if it ends.
    pub until: Option<Date>,
    /// The licensed health professional who made it; none where it was recorded before that was asked.
    pub professional: Option<&'a str>,
    /// Whether it states that the worker was given a copy; none where it was recorded before that was asked.
    pub copy_given: Option<bool>,
    /// What was told to the professional before it.
    pub told: Option<ToldFact<'a>>,
    /// The entry.
    pub entry: &'a str,
}

/// What a health professional was told of the respirator and the work before a recommendation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ToldFact<'a> {
    /// The name of the one who was told, where another made the recommendation.
    pub another: Option<&'a str>,
    /// Where the respirators that were named get their air from.
    pub air_sources: &'a [AirSource],
    /// What was not given, in words.
    pub missing: Vec<&'static str>,
    /// The entry.
    pub entry: &'a str,
}

/// What a fit test gave.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FitGave {
    /// Pass or fail, by taste, smell or irritation.
    PassOrFail,
    /// An overall fit factor.
    Factor(f64),
    /// It was measured, and there is no overall factor.
    NoFactor,
}

/// A fit test.
#[derive(Debug, Clone, PartialEq)]
pub struct FitTestFact<'a> {
    /// The day at the site.
    pub day: Date,
    /// What it gave.
    pub gave: FitGave,
    /// Whether it passed.
    pub passed: bool,
    /// How it was run, where that is written.
    pub run_by: Option<RunBy<'a>>,
    /// Of a facepiece that is fed with air, which one was tested and how, where that is written.
    pub tested_as: Option<TestedAs>,
    /// What it was done with, where it was by taste or smell and is written down with its protocol.
    pub agents: Vec<AgentUsed>,
    /// The instrument or the test kit that it was made with.
    pub made_with: MadeWith<'a>,
    /// The exercises of the protocol that were not done or not measured, where nothing else kept it
    /// from passing; empty otherwise.
    pub missing: &'a str,
    /// What was noted of the seal.
    pub seal_note: &'a str,
    /// How the air outside moved while it was measured; empty where it held steady or nothing was
    /// written down.
    pub unsteady: &'a str,
    /// The entry.
    pub entry: &'a str,
}

/// How a fit test was run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RunBy<'a> {
    /// Id of the protocol.
    pub protocol: &'a str,
    /// The facepiece that it was run for.
    pub facepiece: Mask,
}

/// A training in wearing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TrainingFact<'a> {
    /// The day at the site.
    pub day: Date,
    /// Whether understanding was shown.
    pub understood: bool,
    /// The entry.
    pub entry: &'a str,
}
