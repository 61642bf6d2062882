//! What the rules ask of the question itself: the task, the site and the state of the records.
//!
//! Knows nothing of how facts are kept: a check is given [`AskFacts`].

mod interval;

pub mod corrected;
pub mod guarded;
pub mod records_agree;
pub mod records_not_ahead;
pub mod task_known;
pub mod time_zone_known;
pub mod voluntary_holds;

#[cfg(test)]
mod sample;

pub use interval::Interval;

use crate::{Finding, Rule};

/// In which kind of use a rule binds. Where it does not bind, what it finds is a note.
///
/// Source: 29 CFR 1910.134(c)(2)(i)-(ii): by choice, a filtering facepiece asks for the advice of
/// Appendix D only; any other respirator for medical fitness, cleaning, storage and upkeep too.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Binds {
    /// Whatever the use.
    Always,
    /// Not where a filtering facepiece is worn by choice.
    NotFilteringFacepieceByChoice,
    /// Only where wearing is required.
    RequiredUse,
}

/// A rule with its question put to facts of the kind `F`.
pub struct Check<F: ?Sized> {
    /// The rule.
    pub rule: &'static Rule,
    /// In which kind of use it binds.
    pub binds: Binds,
    /// Puts the question.
    pub run: fn(&F) -> Option<Finding>,
}

/// Words that were entered, with the entry they stand in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Noted<'a> {
    /// The words.
    pub words: &'a str,
    /// The entry.
    pub entry: &'a str,
}

/// A contradiction that is not settled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt<'a> {
    /// What contradicts what.
    pub words: &'a str,
    /// The entries that do.
    pub entries: Vec<&'a str>,
}

/// A correction by somebody who does not run the program.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Corrected<'a> {
    /// The name of who corrected.
    pub who: &'a str,
    /// The corrected entry, where it is here, and the correction.
    pub entries: Vec<&'a str>,
    /// What stood in the way before, in words.
    pub stood_in_the_way: Vec<String>,
}

/// What the rules of this folder ask about, but for [`corrected`], which is asked of each correction, and
/// [`guarded`], which is asked of the database.
#[derive(Debug, Clone, PartialEq)]
pub struct AskFacts<'a> {
    /// The task as it was asked for.
    pub task: &'a str,
    /// Whether the task is described.
    pub task_described: bool,
    /// Whether the time zone of the site is known.
    pub time_zone_known: bool,
    /// Contradictions about the wearer, the set or the task that are not settled.
    pub doubts: Vec<Doubt<'a>>,
    /// Entries about them that happened after the instant of the question; the words are the time.
    pub ahead: Vec<Noted<'a>>,
    /// Why wearing by choice is not accepted, where the task claims it.
    pub voluntary_refused: Option<&'a str>,
}

/// The checks of this folder, in the order in which they are visited.
#[must_use]
pub fn checks<'a>() -> [Check<AskFacts<'a>>; 5] {
    let always = |rule, run| Check { rule, binds: Binds::Always, run };
    [
        always(&task_known::RULE, task_known::check),
        always(&time_zone_known::RULE, time_zone_known::check),
        always(&records_agree::RULE, records_agree::check),
        always(&records_not_ahead::RULE, records_not_ahead::check),
        always(&voluntary_holds::RULE, voluntary_holds::check),
    ]
}

/// The rules of this folder.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    checks().iter().map(|check| check.rule).chain([&corrected::RULE, &guarded::RULE]).collect()
}
