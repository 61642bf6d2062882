//! What the readings of an exposure group say of its high days, and the concentration to plan for.

mod answer;
mod censored;
mod conclude;
mod distribution;
mod en_689;
mod land;
mod lognormal;
mod readings;
mod shapiro_wilk;

pub use answer::{Arithmetic, Basis, Design, ExposureAnswer, Fitted, LimitAnswer};
pub use censored::NoFit;
pub(crate) use conclude::chance_of_worse;
pub use conclude::{shown, shown_upper};
pub use distribution::{
    noncentral_t_cdf, noncentral_t_quantile, noncentrality_at, normal_cdf, normal_quantile,
    tolerance_factor,
};
pub use en_689::En689;
pub use lognormal::{Exceedance, Limits, Logarithms, Means, Percentile};
pub use readings::{Reading, Readings, ReadingsError};
pub use shapiro_wilk::ShapiroWilk;

use quantity::{Concentration, WrittenUnit};

use readings::Unit;

/// A group known by its summary alone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Summary {
    /// How many readings.
    pub n: u32,
    /// Geometric mean.
    pub geometric_mean: Concentration,
    /// Geometric standard deviation, 1 or more.
    pub geometric_sd: f64,
    /// The unit in which the mean was written, in which it is answered; where it is not told, in ppm,
    /// mg/m3 or f/cm3.
    pub unit: Option<WrittenUnit>,
}

/// The statistics of a group and its design concentration, held against `limit` where there is one.
///
/// Lognormal; exact limits of confidence where all readings were detected, maximum likelihood with
/// cautious limits where some were not. Refuses a limit of zero or in another unit.
pub fn analyse(
    readings: &Readings,
    limit: Option<Concentration>,
) -> Result<ExposureAnswer, ReadingsError> {
    let limit = checked(limit, readings.unit())?;
    Ok(conclude::of_readings(readings, limit))
}

/// The design concentration of a group alone, as [`analyse`] gives it; none where it would be beyond
/// any concentration.
#[must_use]
pub fn design_concentration(readings: &Readings) -> Option<Design> {
    conclude::design_of(readings)
}

/// The same from a summary, as reports often give it.
///
/// Refuses a geometric standard deviation below 1, fewer than two readings, a geometric mean of zero,
/// and a limit of zero or in another unit.
pub fn analyse_summary(
    summary: &Summary,
    limit: Option<Concentration>,
) -> Result<ExposureAnswer, ReadingsError> {
    let unit = Unit::of(summary.geometric_mean).written(summary.unit);
    if summary.n < 2 {
        return Err(ReadingsError::SummaryOfFew(summary.n));
    }
    if summary.geometric_mean.number() <= 0.0 {
        return Err(ReadingsError::NoMean(summary.geometric_mean));
    }
    if !(summary.geometric_sd >= 1.0 && summary.geometric_sd.is_finite()) {
        return Err(ReadingsError::GsdBelowOne(summary.geometric_sd));
    }
    let limit = checked(limit, unit)?;
    let n = f64::from(summary.n);
    let logarithms = Logarithms {
        n,
        mean: unit.number(summary.geometric_mean).ln(),
        sd: summary.geometric_sd.ln(),
        detected: n,
    };
    Ok(conclude::of_summary(&logarithms, summary, (unit, limit)))
}

/// The number of a limit in the unit of the readings.
fn checked(limit: Option<Concentration>, unit: Unit) -> Result<Option<f64>, ReadingsError> {
    match limit {
        None => Ok(None),
        Some(limit) if !unit.is_of(limit) => {
            Err(ReadingsError::LimitUnit { limit, unit: unit.word() })
        }
        Some(limit) if limit.number() <= 0.0 => Err(ReadingsError::NoLimit(limit)),
        Some(limit) => Ok(Some(unit.number(limit))),
    }
}
