//! What is answered of an exposure group.

use quantity::Concentration;
use rulebook::{Finding, shown_beside};
use serde::Serialize;

use super::conclude::shown_upper;
use super::{En689, Exceedance, Means, Percentile, Reading, ShapiroWilk};

/// Plain mean and standard deviation of readings that were all detected.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Arithmetic {
    /// Mean.
    pub mean: f64,
    /// Standard deviation, divided by n - 1; none for one reading.
    pub sd: Option<f64>,
}

/// The fitted lognormal distribution.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Fitted {
    /// How it was fitted.
    pub by: &'static str,
    /// Mean of the natural logarithms.
    pub mean_log: f64,
    /// Their standard deviation.
    pub sd_log: f64,
    /// Geometric mean.
    pub geometric_mean: f64,
    /// Geometric standard deviation.
    pub geometric_sd: f64,
    /// The arithmetic mean of the group.
    pub mean: Means,
    /// The 95th percentile of the group.
    pub percentile_95: Percentile,
}

/// The group against a limit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LimitAnswer {
    /// The limit.
    pub limit: Concentration,
    /// The same in the unit of the answer.
    pub number: f64,
    /// How many readings lie above it.
    pub readings_above: usize,
    /// How often it is passed; none without a spread.
    pub exceedance: Option<Exceedance>,
    /// The test of EN 689, from memory; none for a summary.
    pub en_689: Option<En689>,
}

/// What a design concentration rests on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Basis {
    /// The 95 % upper limit of the 95th percentile.
    UpperLimit,
    /// The highest reading, or the highest level that a reading lies below.
    HighestReading,
}

/// The concentration to plan for.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Design {
    /// The level.
    pub level: Concentration,
    /// The same in the unit of the answer.
    pub number: f64,
    /// What it rests on.
    pub basis: Basis,
    /// The same in words.
    pub words: String,
}

/// What the readings of a group say.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ExposureAnswer {
    /// The method in words.
    pub method: &'static str,
    /// Unit of every number without one of its own.
    pub unit: &'static str,
    /// The readings; empty for a summary.
    pub readings: Vec<Reading>,
    /// How many.
    pub n: usize,
    /// How many lie below detection.
    pub below_detection: usize,
    /// The highest reading, or level that one lies below; none for a summary.
    pub highest: Option<f64>,
    /// Plain mean and spread; none where some lie below detection.
    pub arithmetic: Option<Arithmetic>,
    /// The fitted distribution; none where there is no spread to fit.
    pub fitted: Option<Fitted>,
    /// Whether the readings look lognormal; none below three, or where some lie below detection.
    pub goodness: Option<ShapiroWilk>,
    /// The group against a limit.
    pub against_limit: Option<LimitAnswer>,
    /// The concentration to plan for; none where it would be beyond any concentration.
    pub design_concentration: Option<Design>,
    /// Everything found.
    pub findings: Vec<Finding>,
    /// Where the methods come from.
    pub sources: Vec<&'static str>,
}

impl ExposureAnswer {
    /// An upper limit of the 95th percentile as it is shown: never rounded down, nor up to the limit
    /// that it lies below.
    #[must_use]
    pub fn upper_shown(&self, upper: f64) -> String {
        let shown = shown_upper(upper);
        let reaches = |limit: f64| upper < limit && shown.parse().is_ok_and(|n: f64| limit <= n);
        match &self.against_limit {
            Some(against) if reaches(against.number) => shown_beside(upper, against.number, 4),
            _ => shown,
        }
    }
}
