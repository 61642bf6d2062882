//! The test of EN 689:2018, from memory.

use serde::Serialize;

use super::distribution::tolerance_factor;

/// What the test says.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "outcome", rename_all = "kebab-case")]
pub enum En689 {
    /// A reading lies above the limit: not complied with.
    ReadingAbove,
    /// The preliminary test is passed: every reading lies below this part of the limit.
    PreliminaryPassed {
        /// The part.
        part: f64,
    },
    /// The preliminary test does not decide; at least six readings are needed.
    MoreReadings {
        /// The part that some reading is not below; none below three readings.
        part: Option<f64>,
    },
    /// The test of at least six readings, passed or not.
    Statistical {
        /// Whether it is passed.
        passed: bool,
        /// `(ln limit - m) / s`.
        index: f64,
        /// What it must reach: the factor of the 70 % upper limit of the 95th percentile.
        required: f64,
    },
    /// Six or more readings, and no spread could be found.
    NoSpread,
}

/// Parts of the limit that three, four and five readings must all stay below.
///
/// Source: EN 689:2018 (from memory, unconfirmed).
const PRELIMINARY: [(usize, f64); 3] = [(3, 0.1), (4, 0.15), (5, 0.2)];

/// The test of EN 689:2018 of `readings`, a reading below detection counting as its detection level,
/// against `limit`; `index` is that of the fitted distribution.
///
/// Source: EN 689:2018 (from memory, unconfirmed); the factors were computed.
#[must_use]
pub(super) fn en_689(readings: &[f64], limit: f64, index: Option<f64>) -> En689 {
    let n = readings.len();
    let highest = readings.iter().copied().fold(0.0, f64::max);
    if highest > limit {
        return En689::ReadingAbove;
    }
    if let Some((_, part)) = PRELIMINARY.into_iter().find(|(count, _)| *count == n) {
        if highest < part * limit {
            return En689::PreliminaryPassed { part };
        }
        return En689::MoreReadings { part: Some(part) };
    }
    if n < 3 {
        return En689::MoreReadings { part: None };
    }
    match index {
        None => En689::NoSpread,
        Some(index) => {
            let required = tolerance_factor(super::lognormal::count(n), 0.95, 0.70);
            En689::Statistical { passed: required <= index, index, required }
        }
    }
}

impl En689 {
    /// The outcome in words.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::ReadingAbove => {
                "a reading lies above the limit, so the limit is not kept".to_owned()
            }
            Self::PreliminaryPassed { part } => {
                format!(
                    "the preliminary test is passed, every reading lies below {part} of the limit"
                )
            }
            Self::MoreReadings { part: Some(part) } => format!(
                "no decision, for not every reading lies below {part} of the limit; take at least six"
            ),
            Self::MoreReadings { part: None } => "no decision below three readings".to_owned(),
            Self::Statistical { passed: true, index, required } => {
                format!("the limit is kept, {index:.3} is at least {required:.3}")
            }
            Self::Statistical { passed: false, index, required } => {
                format!("the limit is not shown to be kept, {index:.3} is below {required:.3}")
            }
            Self::NoSpread => "no decision, for no spread could be found".to_owned(),
        }
    }
}
