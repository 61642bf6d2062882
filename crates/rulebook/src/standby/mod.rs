//! What the rules ask before anyone enters immediately dangerous air.
//!
//! Knows nothing of how facts are kept: a check is given [`StandbyFacts`].

pub mod apparatus;
pub mod contact;
pub mod notice;
pub mod outside;
pub mod retrieval;
pub mod trained;

#[cfg(test)]
mod sample;

use crate::Rule;
use crate::ask::{Binds, Check};

/// One entry into immediately dangerous air, as it is planned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StandbyFacts<'a> {
    /// How many stand by outside.
    pub outside: u32,
    /// Whether a fire inside a structure is fought.
    pub structural_fire: bool,
    /// Whether sight, voice or a signal line is kept.
    pub contact: bool,
    /// Whether all of them are trained and equipped for rescue.
    pub trained: bool,
    /// Whether each has positive-pressure self-contained apparatus, or airline with an auxiliary
    /// self-contained supply.
    pub apparatus: bool,
    /// Whether there is retrieval equipment, or another means where that would not help.
    pub retrieval_or_equal: bool,
    /// Who is told before a rescue and sends help; empty where nobody is named.
    pub told_first: &'a str,
}

/// The checks of this folder, in the order in which they are visited.
#[must_use]
pub fn checks<'a>() -> [Check<StandbyFacts<'a>>; 6] {
    let always = |rule, run| Check { rule, binds: Binds::Always, run };
    [
        always(&outside::RULE, outside::check),
        always(&contact::RULE, contact::check),
        always(&trained::RULE, trained::check),
        always(&apparatus::RULE, apparatus::check),
        always(&retrieval::RULE, retrieval::check),
        always(&notice::RULE, notice::check),
    ]
}

/// The rules of this folder.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    checks().iter().map(|check| check.rule).collect()
}
