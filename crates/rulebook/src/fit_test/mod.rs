//! Fit tests: which protocol serves which facepiece, fit factors from raw counts, and the answer.
//!
//! Source of every figure: 29 CFR 1910.134 App. A Part I, kept in `data/fit_protocols.csv` and
//! `data/fit_protocol_facepieces.csv`.

mod agent;
mod conduct;
mod instrument;
mod protocol;
mod qualitative;
mod quantitative;
mod rules;
mod tested_as;

use std::fmt;

use serde::{Deserialize, Serialize};

pub use agent::FitAgent;
pub(crate) use agent::{CITED, WHY_FRESH};
pub use conduct::Conduct;
pub use instrument::{
    Calibration, Checked, FitInstrument, InstrumentFacts, LONGEST_CALIBRATION_MONTHS, Unready,
};
pub use protocol::{Allowance, Allowed, Exercise, Protocol, Suits, TestKind, protocol, protocols};
pub use qualitative::{QualitativeAnswer, QualitativeTest, Response, judge};
pub use quantitative::{
    Counts, ExerciseAnswer, Measured, QuantitativeAnswer, QuantitativeTest, Reading, measure,
    overall_fit_factor,
};
pub use rules::rules;
pub use tested_as::TestedAs;

use crate::{Device, Facepiece, Finding};

/// The facepiece under test, in the words of the protocols.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mask {
    /// Covers mouth and nose, sealing above the chin.
    QuarterMask,
    /// Elastomeric, covers mouth, nose and chin.
    HalfMask,
    /// Made of the filter itself.
    FilteringFacepiece,
    /// Covers the whole face with the eyes.
    FullFacepiece,
}

impl Mask {
    /// Every kind.
    pub const ALL: [Self; 4] =
        [Self::QuarterMask, Self::HalfMask, Self::FilteringFacepiece, Self::FullFacepiece];

    /// What a device puts to the test; none where it does not seal against the face.
    #[must_use]
    pub fn of(device: &Device) -> Option<Self> {
        match device.facepiece {
            _ if device.filtering_facepiece => Some(Self::FilteringFacepiece),
            Facepiece::QuarterMask => Some(Self::QuarterMask),
            Facepiece::HalfMask => Some(Self::HalfMask),
            Facepiece::FullFacepiece => Some(Self::FullFacepiece),
            Facepiece::HelmetOrHood | Facepiece::LooseFitting => None,
        }
    }

    /// Reads the words of a table, a file or an option.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let text = text.trim();
        Self::ALL.into_iter().find(|mask| mask.word() == text || mask.to_string() == text)
    }

    /// The words that name a facepiece, for a message.
    #[must_use]
    pub fn words() -> String {
        Self::ALL.map(Self::word).join(", ")
    }

    const fn word(self) -> &'static str {
        match self {
            Self::QuarterMask => "quarter-mask",
            Self::HalfMask => "half-mask",
            Self::FilteringFacepiece => "filtering-facepiece",
            Self::FullFacepiece => "full-facepiece",
        }
    }
}

impl fmt::Display for Mask {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::QuarterMask => "quarter mask",
            Self::HalfMask => "half mask",
            Self::FilteringFacepiece => "filtering facepiece",
            Self::FullFacepiece => "full facepiece",
        })
    }
}

/// Why what was written cannot be a fit test.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FitError {
    /// No protocol has this name.
    #[error("there is no fit-test protocol `{asked}`\n  name one of: {known}")]
    UnknownProtocol {
        /// What was asked for.
        asked: String,
        /// The ids that are known.
        known: String,
    },
    /// A protocol of the other kind is needed.
    #[error("`{protocol}` is {is}, and {given} was given\n  {hint}")]
    WrongKind {
        /// Id of the protocol.
        protocol: String,
        /// What the protocol is.
        is: &'static str,
        /// What came with it.
        given: &'static str,
        /// What puts it right.
        hint: &'static str,
    },
    /// The protocol has no such exercise.
    #[error("`{protocol}` has no exercise {exercise}\n  its exercises are numbered 1 to {last}")]
    UnknownExercise {
        /// Id of the protocol.
        protocol: String,
        /// What was written.
        exercise: u8,
        /// Its last exercise.
        last: u8,
    },
    /// An exercise stands twice.
    #[error("exercise {exercise} stands twice\n  keep one line for each exercise")]
    ExerciseTwice {
        /// The number.
        exercise: u8,
    },
    /// A count that no test can give.
    #[error("exercise {exercise}: {what} is {value}\n  {hint}")]
    ImpossibleCount {
        /// The number of the exercise.
        exercise: u8,
        /// Which count.
        what: &'static str,
        /// Its value.
        value: f64,
        /// What puts it right.
        hint: &'static str,
    },
    /// So little inside that no instrument can tell it from nothing.
    #[error(
        "exercise {exercise}: a fit factor of {factor:.0} is beyond what any instrument resolves\n  a count inside of nearly nothing says that nothing was sampled: look at the count and at the sampling tube, and test again"
    )]
    BeyondResolution {
        /// The number of the exercise.
        exercise: u8,
        /// Outside over inside.
        factor: f64,
    },
    /// More inside than outside.
    #[error(
        "exercise {exercise}: a fit factor of {factor:.3} means more inside the facepiece than outside\n  check whether the two counts are swapped"
    )]
    FactorBelowOne {
        /// The number of the exercise.
        exercise: u8,
        /// The factor.
        factor: f64,
    },
}

/// The finding that a protocol does not serve a facepiece, or serves it under a condition.
fn facepiece_finding(protocol: &Protocol, mask: Mask) -> Option<Finding> {
    let allowance = protocol.allowance(mask)?;
    let (rule, says) = match allowance.allowed {
        Allowed::Yes => return None,
        Allowed::No => (Finding::stop(&rules::FACEPIECE_ALLOWED), "is not for a"),
        Allowed::Only => (Finding::caution(&rules::FACEPIECE_CONDITION), "is for a"),
    };
    let finding = rule.with("protocol", &protocol.name).with("says", says).with("facepiece", mask);
    Some(finding.with("condition", &allowance.condition).citing(&allowance.citation))
}

/// Refuses an exercise that stands twice or that the protocol does not have.
fn check_numbers(protocol: &Protocol, numbers: impl Iterator<Item = u8>) -> Result<(), FitError> {
    let mut seen = Vec::new();
    for exercise in numbers {
        if protocol.exercise(exercise).is_none() {
            let last = protocol.exercises.iter().map(|e| e.number).max().unwrap_or_default();
            let protocol = protocol.id.clone();
            return Err(FitError::UnknownExercise { protocol, exercise, last });
        }
        if seen.contains(&exercise) {
            return Err(FitError::ExerciseTwice { exercise });
        }
        seen.push(exercise);
    }
    Ok(())
}
