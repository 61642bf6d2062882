//! The normal distribution.

use std::f64::consts::{LN_2, PI, SQRT_2};

/// Half the logarithm of two pi.
fn half_log_two_pi() -> f64 {
    (LN_2 + PI.ln()) / 2.0
}

/// The part of a standard normal distribution below `z`.
#[must_use]
pub fn normal_cdf(z: f64) -> f64 {
    libm::erfc(-z / SQRT_2) / 2.0
}

/// The logarithm of [`normal_cdf`], good far below zero too.
///
/// Below -30 by the asymptotic series of the tail, whose first left-out term is under 1e-8 of 1/z^2.
#[must_use]
pub fn log_normal_cdf(z: f64) -> f64 {
    if z > -30.0 {
        return normal_cdf(z).ln();
    }
    let inverse = 1.0 / (z * z);
    let series = 1.0 - inverse * (1.0 - 3.0 * inverse * (1.0 - 5.0 * inverse));
    -z * z / 2.0 - half_log_two_pi() - (-z).ln() + series.ln()
}

/// Density over distribution, `phi(z) / Phi(z)`: the mean of what lies below `z`, with its sign turned.
#[must_use]
pub fn inverse_mills(z: f64) -> f64 {
    (-z * z / 2.0 - half_log_two_pi() - log_normal_cdf(z)).exp()
}

/// The value below which the part `p` of a standard normal distribution lies; `0 < p < 1`.
///
/// A rational first guess (Hastings; from memory) brought to full precision by three steps of
/// Halley's method on the distribution itself.
#[must_use]
pub fn normal_quantile(p: f64) -> f64 {
    let tail = p.min(1.0 - p);
    let t = (-2.0 * tail.ln()).sqrt();
    let guess = t
        - (2.515_517 + t * (0.802_853 + t * 0.010_328))
            / (1.0 + t * (1.432_788 + t * (0.189_269 + t * 0.001_308)));
    let mut z = -guess;
    for _ in 0..3 {
        let density = (-z * z / 2.0 - half_log_two_pi()).exp();
        let step = (normal_cdf(z) - tail) / density;
        z -= step / (1.0 + z * step / 2.0);
    }
    if p < 0.5 { z } else { -z }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Table values of the normal distribution, from memory; the 95 % point stands in SCIENCE too.
    #[test]
    fn known_points_and_the_inverse_hold() {
        assert!((normal_quantile(0.95) - 1.644_853_626_951_472_7).abs() < 1e-14);
        assert!((normal_quantile(0.975) - 1.959_963_984_540_054).abs() < 1e-14);
        for p in [1e-12, 1e-5, 0.02, 0.3, 0.5, 0.7, 0.999] {
            assert!((normal_cdf(normal_quantile(p)) / p - 1.0).abs() < 1e-12, "{p}");
        }
    }

    #[test]
    fn the_logarithm_joins_its_series_and_the_ratio_nears_minus_z() {
        let slope = log_normal_cdf(-30.0) - log_normal_cdf(-29.999_999_999);
        assert!(slope.abs() < 1e-6, "{slope}");
        assert!((inverse_mills(0.0) - (2.0 / PI).sqrt()).abs() < 1e-14);
        assert!((inverse_mills(-200.0) / 200.0 - 1.0).abs() < 1e-4);
    }
}
