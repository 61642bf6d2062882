//! Vapour pressure from the boiling point alone.

use quantity::Celsius;

/// Name and source of the method.
pub const SOURCE: &str = "from the boiling point by Clausius and Clapeyron with the entropy of boiling after Trouton, Hildebrand and Everett; Mackay, Bobra, Chan, Shiu 1982, Environ. Sci. Technol. 16:645-649; value from memory";

const ATMOSPHERE_KPA: f64 = 101.325;

/// Vapour pressure, kPa, at `at`, of a liquid boiling at `boiling_k` kelvin under one atmosphere.
///
/// The entropy of boiling grows with the boiling point, and the heat of boiling rises as the liquid
/// cools. Good to about a third for liquids without hydrogen bonds; alcohols and acids come out too
/// high, up to four times, because their entropy of boiling is larger.
#[must_use]
pub fn vapour_pressure_kpa(boiling_k: f64, at: Celsius) -> f64 {
    let ratio = boiling_k / at.as_kelvin();
    let entropy = 4.4 + boiling_k.ln();
    ATMOSPHERE_KPA * (-entropy * (1.803 * (ratio - 1.0) - 0.803 * ratio.ln())).exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(t: f64) -> Celsius {
        Celsius::from_celsius(t).unwrap()
    }

    #[test]
    fn a_liquid_boils_at_its_boiling_point() {
        assert!((vapour_pressure_kpa(373.15, at(100.0)) - ATMOSPHERE_KPA).abs() < 1e-9);
    }

    #[test]
    fn toluene_comes_out_within_a_third() {
        let found = vapour_pressure_kpa(383.75, at(22.0));
        assert!((found / 3.2477 - 1.0).abs() < 0.33, "{found}");
    }
}
