//! Of a facepiece that is fed with air: which facepiece was tested, and how.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::TestKind;

/// Which facepiece was put to the test of a tight-fitting set with a blower, an airline or carried air,
/// and how it came to be tested in negative-pressure mode.
///
/// Source: 29 CFR 1910.134(f)(8)(i) and (ii).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum TestedAs {
    /// The facepiece that is worn, its air supply taken off and filters put on.
    OwnConverted,
    /// The same, with an adapter for a time through which the air inside is sampled.
    OwnWithAdapter,
    /// An air-purifying facepiece with the same sealing surfaces.
    Surrogate,
    /// Such a facepiece with a sampling probe built in.
    ProbedSurrogate,
    /// The facepiece with its air on, as it is worn.
    AirOn,
}

impl TestedAs {
    /// Whether the facepiece that is worn was changed for the test, so that it is to be put back.
    #[must_use]
    pub const fn changes_own(self) -> bool {
        matches!(self, Self::OwnConverted | Self::OwnWithAdapter)
    }

    /// Whether the rule has this way for tests of this kind. A test that measures samples the air inside;
    /// one by taste, smell or irritation does as well on a facepiece that could be sampled.
    #[must_use]
    pub const fn serves(self, kind: TestKind) -> bool {
        match self {
            Self::OwnConverted | Self::Surrogate => matches!(kind, TestKind::Qualitative),
            Self::OwnWithAdapter | Self::ProbedSurrogate => true,
            Self::AirOn => false,
        }
    }
}

impl fmt::Display for TestedAs {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::OwnConverted => "the facepiece that is worn, with filters for its air supply",
            Self::OwnWithAdapter => {
                "the facepiece that is worn, with filters and a sampling adapter"
            }
            Self::Surrogate => "an air-purifying facepiece with the same sealing surfaces",
            Self::ProbedSurrogate => {
                "an air-purifying facepiece with the same sealing surfaces and a sampling probe"
            }
            Self::AirOn => "the facepiece with its air on",
        })
    }
}
