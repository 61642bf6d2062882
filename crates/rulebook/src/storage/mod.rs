//! What the rules ask of the place where a set is kept.
//!
//! Knows nothing of how facts are kept: a check is given [`StorageFacts`].

pub mod emergency_accessible;
pub mod emergency_marked;
pub mod not_deformed;
pub mod protected;
pub mod stock_shelf_life;

#[cfg(test)]
mod sample;

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::Rule;
use crate::ask::{Binds, Check};

/// One set and the place where it is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StorageFacts<'a> {
    /// Whether the set is kept for emergencies.
    pub emergency: bool,
    /// Its place, where one is recorded.
    pub place: Option<PlaceFacts<'a>>,
}

/// A place of storage, as it was described.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlaceFacts<'a> {
    /// Its name.
    pub name: &'a str,
    /// What it does not protect from.
    pub lacks: Vec<Harm>,
    /// Whether a set there is bent or pressed.
    pub deforms: bool,
    /// Whether it is within reach of the work area.
    pub within_reach: bool,
    /// Whether it is plainly marked as holding sets for emergencies.
    pub marked: bool,
    /// The entry.
    pub entry: &'a str,
}

/// What harms a set in store.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Harm {
    /// Knocks and crushing.
    Damage,
    /// What is in the air of the work.
    Contamination,
    /// Dust.
    Dust,
    /// Sunlight.
    Sun,
    /// Extreme heat or cold.
    ExtremeTemperature,
    /// Too much moisture.
    Damp,
    /// Chemicals that attack it.
    Chemicals,
}

impl Harm {
    /// Everything that harms.
    pub const ALL: [Self; 7] = [
        Self::Damage,
        Self::Contamination,
        Self::Dust,
        Self::Sun,
        Self::ExtremeTemperature,
        Self::Damp,
        Self::Chemicals,
    ];

    /// Its name.
    #[must_use]
    pub const fn words(&self) -> &'static str {
        match self {
            Self::Damage => "damage",
            Self::Contamination => "contamination",
            Self::Dust => "dust",
            Self::Sun => "sunlight",
            Self::ExtremeTemperature => "extreme heat or cold",
            Self::Damp => "excess moisture",
            Self::Chemicals => "harmful chemicals",
        }
    }
}

/// What lies in one box.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StockFacts<'a> {
    /// What it is.
    pub item: &'a str,
    /// The maker's lot.
    pub lot: &'a str,
    /// How many are left.
    pub left: u32,
    /// The day at the site.
    pub day: Date,
    /// Last day of its shelf life.
    pub shelf_life_until: Date,
    /// The entry.
    pub entry: &'a str,
}

/// The checks of this folder, in the order in which they are visited.
#[must_use]
pub fn checks<'a>() -> [Check<StorageFacts<'a>>; 4] {
    let always = |rule, run| Check { rule, binds: Binds::Always, run };
    [
        always(&protected::RULE, protected::check),
        always(&not_deformed::RULE, not_deformed::check),
        always(&emergency_accessible::RULE, emergency_accessible::check),
        always(&emergency_marked::RULE, emergency_marked::check),
    ]
}

/// The rules of this folder.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    let of_place = checks().map(|check| check.rule);
    of_place.into_iter().chain([&stock_shelf_life::RULE]).collect()
}
