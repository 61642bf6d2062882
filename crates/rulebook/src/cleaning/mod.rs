//! What the rules ask of a wash: with what, and how warm.
//!
//! Knows nothing of how facts are kept: a check is given [`WashFacts`].

pub mod cleaner;
pub mod cleaner_known;
pub mod water;

#[cfg(test)]
mod sample;

use quantity::Celsius;

use crate::Rule;
use crate::ask::{Binds, Check};

/// One wash or rinse.
#[derive(Debug, Clone, PartialEq)]
pub struct WashFacts<'a> {
    /// What it was washed with, as named.
    pub cleaner: &'a str,
    /// The cleaners that the maker of the respirator forbids.
    pub forbidden: Vec<&'a str>,
    /// The temperature of the water, where it was read.
    pub water: Option<Celsius>,
    /// The entry.
    pub entry: &'a str,
}

/// The checks of this folder, in the order in which they are visited.
#[must_use]
pub fn checks<'a>() -> [Check<WashFacts<'a>>; 3] {
    let always = |rule, run| Check { rule, binds: Binds::Always, run };
    [
        always(&cleaner_known::RULE, cleaner_known::check),
        always(&cleaner::RULE, cleaner::check),
        always(&water::RULE, water::check),
    ]
}

/// The rules of this folder.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    checks().iter().map(|check| check.rule).collect()
}
