use quantity::{Celsius, Grams, LitrePerGramMin, LitrePerMin, MgPerM3, Percent, RelHumidity};
use serde::{Deserialize, Serialize};

/// What a calibration found of a gas held by reaction, and in which air.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReactionPart {
    /// The gas, by name or registry number.
    pub contaminant: String,
    /// What one element holds of it.
    pub capacity: Grams,
    /// Rate coefficient of its uptake.
    pub rate: LitrePerGramMin,
    /// Standard deviation of what is held.
    pub capacity_error: Percent,
    /// Standard deviation of the rate coefficient.
    pub rate_error: Percent,
    /// How these two errors go together.
    pub correlation: f64,
    /// Slowest flow through one element in the tests.
    pub slowest_flow: LitrePerMin,
    /// Lowest level in the tests.
    pub lowest_level: MgPerM3,
    /// Highest level in the tests.
    pub highest_level: MgPerM3,
    /// Least part that had passed at a time that was found.
    pub least_penetration: Percent,
    /// Humidity of the driest air of the tests.
    pub driest: RelHumidity,
    /// Humidity of the dampest air of the tests.
    pub dampest: RelHumidity,
    /// Temperature of the tests.
    pub temperature: Celsius,
    /// The laboratory report of the calibration.
    pub report: String,
}
