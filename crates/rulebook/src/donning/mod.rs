//! What the rules ask at the moment a respirator is put on.
//!
//! Knows nothing of how facts are kept: a check is given [`DonningFacts`].

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

/// The checks of this folder, in the order in which they are visited.
#[must_use]
pub fn checks<'a>() -> [Check<DonningFacts<'a>>; 2] {
    let always = |rule, run| Check { rule, binds: Binds::Always, run };
    [
        always(&seal_check::RULE, seal_check::check),
        always(&powered_ready::RULE, powered_ready::check),
    ]
}

/// The rules of this folder.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    checks().iter().map(|check| check.rule).collect()
}
