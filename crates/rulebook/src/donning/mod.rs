//! What the rules ask at the moment a respirator is put on.
//!
//! Knows nothing of how facts are kept: a check is given [`DonningFacts`].

pub mod filtering_facepiece_discard;
pub mod powered_ready;
pub mod seal_check;

#[cfg(test)]
mod sample;

use crate::Rule;
use crate::ask::{Binds, Check};

/// One donning.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DonningFacts<'a> {
    /// Whether the facepiece seals against the face.
    pub tight_fitting: bool,
    /// The seal check of this donning.
    pub seal_check: Option<SealCheck<'a>>,
    /// Battery and flow, where it is powered.
    pub powered: Option<PoweredCheck>,
    /// Its state, where it is a filtering facepiece.
    pub filtering_facepiece: Option<KeptFacepiece>,
}

/// A seal check.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SealCheck<'a> {
    /// Whether it held.
    pub passed: bool,
    /// Whether it was done in a way of the maker's own.
    pub makers_own: bool,
    /// Whether the employer shows that way to be as good as the printed ones.
    pub shown_equal: bool,
    /// The entry.
    pub entry: &'a str,
}

/// The check of a powered unit before use; none where that part was not checked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PoweredCheck {
    /// Whether the battery is charged.
    pub battery: Option<bool>,
    /// Whether the flow is at or above the maker's least.
    pub flow: Option<bool>,
}

/// A filtering facepiece that was worn before, or not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptFacepiece {
    /// What speaks for throwing it away.
    pub signs: Vec<DiscardSign>,
    /// How many times it was worn.
    pub wears_so_far: u32,
    /// How many wears the site has written down; none where it has written nothing.
    pub most_wears: Option<u32>,
}

/// What speaks for throwing a filtering facepiece away.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DiscardSign {
    /// Soiled inside or out.
    Soiled,
    /// Damp.
    Damp,
    /// Torn, creased or with a broken strap.
    Damaged,
    /// Hard to breathe through.
    HardToBreathe,
    /// Used in air that asks for throwing it away after the use.
    Contaminated,
}

impl DiscardSign {
    /// Every sign.
    pub const ALL: [Self; 5] =
        [Self::Soiled, Self::Damp, Self::Damaged, Self::HardToBreathe, Self::Contaminated];

    /// Its name.
    #[must_use]
    pub const fn words(&self) -> &'static str {
        match self {
            Self::Soiled => "soiled",
            Self::Damp => "damp",
            Self::Damaged => "damaged",
            Self::HardToBreathe => "hard to breathe through",
            Self::Contaminated => "contaminated",
        }
    }
}

/// The checks of this folder, in the order in which they are visited.
#[must_use]
pub fn checks<'a>() -> [Check<DonningFacts<'a>>; 3] {
    let always = |rule, run| Check { rule, binds: Binds::Always, run };
    [
        always(&seal_check::RULE, seal_check::check),
        always(&powered_ready::RULE, powered_ready::check),
        always(&filtering_facepiece_discard::RULE, filtering_facepiece_discard::check),
    ]
}

/// The rules of this folder.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    checks().iter().map(|check| check.rule).collect()
}
