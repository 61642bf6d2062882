//! What the rules ask of those who stand by outside while somebody is in immediately dangerous air.
//!
//! Knows nothing of how facts are kept: a check is given [`StandbyFacts`], and [`PostedFacts`] of each who
//! stands outside. A rescue is neither allowed nor refused here: it may begin before the whole team is there
//! (29 CFR 1910.134(g) Note 2), and who goes in for it asks nobody's record.

pub mod contact;
pub mod enough;
pub mod entered_together;
pub mod equipped;
pub mod named_inside;
pub mod notified;
pub mod one_place;
pub mod posted;
pub mod ready;
pub mod retrieval;
pub mod trained;

#[cfg(test)]
mod sample;

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::ask::{Binds, Check};
use crate::interval::Every;
use crate::{Device, Rule};

/// The longest that a posting stands: a long shift, minutes. Common practice, no source.
pub const LONGEST_MIN: u32 = 720;

/// How those outside and those inside keep in touch.
///
/// Source: 29 CFR 1910.134(g)(3)(ii).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Contact {
    /// They see each other.
    Sight,
    /// They hear each other, by radio too.
    Voice,
    /// By a line and signals on it.
    SignalLine,
}

/// How who is inside would be brought out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Retrieval<'a> {
    /// With this equipment.
    Equipment(&'a str),
    /// By equivalent means, and why no equipment is used.
    Otherwise {
        /// The means.
        means: &'a str,
        /// Why equipment would not help, or add risk.
        why: &'a str,
    },
}

/// Whether a posting stands for the wear that is asked about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Stands {
    /// From now until the wear ends.
    ToTheEnd,
    /// Only until this time, while the wear ends at that one.
    Until {
        /// When it ends.
        until: String,
        /// When the wear ends.
        wear: String,
    },
    /// It was ended.
    Ended,
}

/// A task in immediately dangerous air, and who stands by outside.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StandbyFacts<'a> {
    /// The task.
    pub task: &'a str,
    /// The name of the wearer.
    pub wearer: &'a str,
    /// Whether a fire is fought inside a structure.
    pub fire: bool,
    /// How many stand outside at least, as the site says of the task; none where it says nothing.
    pub asked_outside: Option<u8>,
    /// The latest posting.
    pub posting: Option<PostingFacts<'a>>,
}

/// Who was posted, and how.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PostingFacts<'a> {
    /// Whether it stands.
    pub stands: Stands,
    /// How many stand outside.
    pub outside: usize,
    /// How many of them have another role beside.
    pub other_role: usize,
    /// How many enter, as named; none where nobody is.
    pub inside: usize,
    /// Whether the wearer is among those who enter.
    pub wearer_inside: bool,
    /// Whether the wearer is among those outside.
    pub wearer_outside: bool,
    /// Who is named outside and inside at once.
    pub in_both: Vec<&'a str>,
    /// How those outside and those inside keep in touch.
    pub contact: &'a [Contact],
    /// How those inside keep in touch with each other.
    pub together: &'a [Contact],
    /// How who is inside would be brought out.
    pub retrieval: Retrieval<'a>,
    /// Who is told before anybody goes in for a rescue.
    pub notify: &'a str,
    /// What help that brings.
    pub help: &'a str,
    /// The entry.
    pub entry: &'a str,
}

/// One person who stands outside.
#[derive(Debug, Clone, PartialEq)]
pub struct PostedFacts<'a> {
    /// The name.
    pub who: &'a str,
    /// The day until which all must hold.
    pub day: Date,
    /// Whether a fire is fought inside a structure.
    pub fire: bool,
    /// The set at hand, where one was named that nobody else has.
    pub set: Option<&'a str>,
    /// What that set is, where it is known.
    pub device: Option<&'a Device>,
    /// The latest training in standing by and rescue.
    pub training: Option<RescueTraining<'a>>,
    /// How long it counts.
    pub training_counts: Every,
    /// The other task at which the person is at the same time, and its entry.
    pub elsewhere: Option<(&'a str, &'a str)>,
    /// The other task for which that set is at hand at the same time, and its entry.
    pub set_elsewhere: Option<(&'a str, &'a str)>,
    /// What would keep this person from wearing that set in this air now, with the entries that say so.
    pub against: Vec<Against>,
    /// The entry of the posting.
    pub entry: &'a str,
}

/// A reason why somebody could not go in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Against {
    /// In words.
    pub words: String,
    /// The entries that say so.
    pub entries: Vec<String>,
}

/// A training in standing by and rescue.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RescueTraining<'a> {
    /// The day of it.
    pub day: Date,
    /// Whether understanding was shown.
    pub understood: bool,
    /// The entry.
    pub entry: &'a str,
}

/// The checks of a posting, in the order in which they are visited.
#[must_use]
pub fn checks<'a>() -> [Check<StandbyFacts<'a>>; 7] {
    let always = |rule, run| Check { rule, binds: Binds::Always, run };
    [
        always(&posted::RULE, posted::check),
        always(&enough::RULE, enough::check),
        always(&named_inside::RULE, named_inside::check),
        always(&entered_together::RULE, entered_together::check),
        always(&contact::RULE, contact::check),
        always(&retrieval::RULE, retrieval::check),
        always(&notified::RULE, notified::check),
    ]
}

/// The checks of each who stands outside, in the order in which they are visited.
#[must_use]
pub fn posted_checks<'a>() -> [Check<PostedFacts<'a>>; 4] {
    let always = |rule, run| Check { rule, binds: Binds::Always, run };
    [
        always(&one_place::RULE, one_place::check),
        always(&trained::RULE, trained::check),
        always(&equipped::RULE, equipped::check),
        always(&ready::RULE, ready::check),
    ]
}

/// The rules of this folder.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    let of_posting = checks();
    let of_posting = of_posting.iter().map(|check| check.rule);
    of_posting.chain(posted_checks().iter().map(|check| check.rule)).collect()
}
