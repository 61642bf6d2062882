//! Properties tabulated over temperature.

use std::fmt;

use quantity::{Celsius, QuantityError};

/// A property that may be asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Property {
    /// Mass per amount.
    MolarMass,
    /// Saturation pressure over the liquid.
    VapourPressure,
    /// Density of the liquid.
    LiquidDensity,
    /// Refractive index of the liquid, sodium D line.
    RefractiveIndex,
    /// Molar polarisation at optical frequency, which is the molar refraction.
    MolarPolarisation,
}

impl fmt::Display for Property {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::MolarMass => "molar mass",
            Self::VapourPressure => "vapour pressure",
            Self::LiquidDensity => "liquid density",
            Self::RefractiveIndex => "refractive index",
            Self::MolarPolarisation => "molar polarisation",
        })
    }
}

/// Why a property cannot be given.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PropertyError {
    /// No table has it and no method can estimate it.
    #[error(
        "{property} of {substance} is not known and cannot be estimated: {lacking}\n  enter a measured value with its source"
    )]
    Unknown {
        /// Name of the substance.
        substance: String,
        /// What was asked for.
        property: Property,
        /// What an estimate would have needed.
        lacking: &'static str,
    },
    /// The temperature is outside the table; nothing is extrapolated.
    #[error(
        "{property} of {substance} is known from {lowest} to {highest} degC, not at {asked}\n  use a temperature in that range"
    )]
    OutOfRange {
        /// Name of the substance.
        substance: String,
        /// What was asked for.
        property: Property,
        /// The temperature asked for.
        asked: Celsius,
        /// Lowest temperature, degC.
        lowest: f64,
        /// Highest temperature, degC.
        highest: f64,
    },
    /// An estimate came out as a number that the quantity cannot be.
    #[error("{property} of {substance} came out impossible\n  {error}")]
    Impossible {
        /// Name of the substance.
        substance: String,
        /// What was asked for.
        property: Property,
        /// Which bound it broke.
        error: QuantityError,
    },
}

/// Lowest temperature at which properties are given, degC.
pub(crate) const LOWEST_C: f64 = 0.0;
/// Highest temperature at which properties are given, degC.
pub(crate) const HIGHEST_C: f64 = 50.0;

/// Values at rising temperatures, degC.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Tabulated(Vec<(f64, f64)>);

impl Tabulated {
    /// INVARIANT (rising): temperatures rise strictly; the reader of the table gives them in column order.
    pub(crate) fn new(points: Vec<(f64, f64)>) -> Self {
        debug_assert!(points.is_sorted_by(|a, b| a.0 < b.0));
        Self(points)
    }

    /// Straight in temperature. `None` outside the table.
    pub(crate) fn linear(&self, at_c: f64) -> Option<f64> {
        self.between(at_c, |t| t, |y| y, |y| y)
    }

    /// The logarithm straight in reciprocal absolute temperature, as a vapour pressure runs.
    /// `None` outside the table.
    pub(crate) fn clausius_clapeyron(&self, at: Celsius) -> Option<f64> {
        let zero = at.as_kelvin() - at.as_celsius();
        self.between(at.as_celsius(), |t| 1.0 / (t + zero), f64::ln, f64::exp)
    }

    fn between(
        &self,
        at_c: f64,
        x: impl Fn(f64) -> f64,
        forth: impl Fn(f64) -> f64,
        back: impl Fn(f64) -> f64,
    ) -> Option<f64> {
        let (low, high) = self
            .0
            .iter()
            .zip(self.0.iter().skip(1))
            .find(|(low, high)| low.0 <= at_c && at_c <= high.0)?;
        let part = (x(at_c) - x(low.0)) / (x(high.0) - x(low.0));
        Some(back(forth(low.1) + part * (forth(high.1) - forth(low.1))))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_meets_its_points_and_refuses_the_outside() {
        let table = Tabulated::new(vec![(0.0, 1.0), (5.0, 2.0), (10.0, 4.0)]);
        for (t, value) in [(0.0, 1.0), (5.0, 2.0), (10.0, 4.0)] {
            let at = Celsius::from_celsius(t).unwrap();
            assert!((table.clausius_clapeyron(at).unwrap() - value).abs() < 1e-12 * value);
        }
        assert_eq!(table.linear(7.5), Some(3.0));
        assert_eq!(table.linear(10.1), None);
        assert_eq!(table.clausius_clapeyron(Celsius::from_celsius(-0.1).unwrap()), None);
    }
}
