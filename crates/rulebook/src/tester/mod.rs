//! What the rules ask of the person who tests fit.
//!
//! Knows nothing of how facts are kept: a check is given [`TesterFacts`].

pub mod competent;

#[cfg(test)]
mod sample;

use jiff::civil::Date;

use crate::Rule;
use crate::ask::{Binds, Check};

/// One fit test, as far as it rests on the tester.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TesterFacts<'a> {
    /// Who tested.
    pub tester: &'a str,
    /// The day at the site.
    pub day: Date,
    /// How that person was shown able to do this kind of test.
    pub shown: Option<ShownAble<'a>>,
    /// The entry of the test.
    pub entry: &'a str,
}

/// That a person was shown able to test fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ShownAble<'a> {
    /// From which day.
    pub from: Date,
    /// Until which day, if it ends.
    pub until: Option<Date>,
    /// The entry.
    pub entry: &'a str,
}

/// The checks of this folder, in the order in which they are visited.
#[must_use]
pub fn checks<'a>() -> [Check<TesterFacts<'a>>; 1] {
    let always = |rule, run| Check { rule, binds: Binds::Always, run };
    [always(&competent::RULE, competent::check)]
}

/// The rules of this folder.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    checks().iter().map(|check| check.rule).collect()
}
