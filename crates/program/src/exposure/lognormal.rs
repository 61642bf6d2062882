//! Lognormal statistics of readings that were all detected.

use std::sync::OnceLock;

use serde::Serialize;

use super::censored::NO_SPREAD;
use super::distribution::{
    noncentral_t_quantile, noncentrality_at, normal_cdf, normal_quantile, tolerance_factor,
};
use super::land::land_limit;

/// Mean and standard deviation of the natural logarithms of readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Logarithms {
    /// How many readings.
    pub n: f64,
    /// Their mean.
    pub mean: f64,
    /// Their standard deviation, divided by n - 1.
    pub sd: f64,
    /// How many readings the limits of confidence rest on: those that were detected.
    pub detected: f64,
}

/// A lower and an upper limit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Limits {
    /// Lower.
    pub lower: f64,
    /// Upper.
    pub upper: f64,
}

/// Estimates of the arithmetic mean of the group.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Means {
    /// The best one: unbiased with the least variance where all readings were detected, else that of
    /// maximum likelihood.
    pub best: f64,
    /// Unbiased with the least variance.
    pub unbiased: Option<f64>,
    /// Coefficient of variation of the group that goes with it.
    pub unbiased_cv: Option<f64>,
    /// Maximum likelihood, `exp(m + s^2 (n-1)/(2n))`.
    pub likelihood: f64,
    /// Coefficient of variation of the group that goes with it.
    pub likelihood_cv: f64,
    /// Simple, `exp(m + s^2/2)`.
    pub simple: f64,
    /// Exact limits of Land, two-sided 95 %; none below three readings, or where below detection.
    pub land_95: Option<Limits>,
    /// Exact upper limit of Land, one-sided 95 %.
    pub land_upper_95: Option<f64>,
    /// Limits of Cox, two-sided 95 %, approximate.
    pub cox_95: Option<Limits>,
}

/// The 95th percentile of the group.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Percentile {
    /// Its estimate.
    pub estimate: f64,
    /// Factor of the 95 % upper limit.
    pub k_95_95: f64,
    /// Upper limit at 95 % confidence.
    pub upper_95: f64,
    /// Factor of the 70 % upper limit.
    pub k_95_70: f64,
    /// Upper limit at 70 % confidence.
    pub upper_70: f64,
}

/// How often a limit is passed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Exceedance {
    /// The part of shifts above the limit.
    pub fraction: f64,
    /// Its lower limit, one-sided 95 %.
    pub lower_95: f64,
    /// Its upper limit, one-sided 95 %.
    pub upper_95: f64,
    /// `(ln limit - m) / s`.
    pub index: f64,
}

impl Logarithms {
    /// Of readings greater than zero, all detected; none for fewer than two.
    #[must_use]
    pub fn of(values: &[f64]) -> Option<Self> {
        let n = count(values.len());
        if n < 2.0 {
            return None;
        }
        let logs: Vec<f64> = values.iter().map(|value| value.ln()).collect();
        let mean = logs.iter().sum::<f64>() / n;
        let squares: f64 = logs.iter().map(|y| (y - mean) * (y - mean)).sum();
        Some(Self { n, mean, sd: (squares / (n - 1.0)).sqrt(), detected: n })
    }

    /// Geometric mean.
    #[must_use]
    pub fn geometric_mean(&self) -> f64 {
        self.mean.exp()
    }

    /// Geometric standard deviation.
    #[must_use]
    pub fn geometric_sd(&self) -> f64 {
        self.sd.exp()
    }

    /// Estimates of the arithmetic mean, all readings detected.
    ///
    /// Source: Aitchison and Brown, the series of `psi`; Land; Cox (all from memory; the values
    /// agree with published ones to their digits, `data/checks/exposure_statistics.csv`).
    #[must_use]
    pub fn means(&self) -> Means {
        let (n, m, variance) = (self.n, self.mean, self.sd * self.sd);
        let unbiased = m.exp() * psi(variance / 2.0, n);
        let spread = psi(2.0 * variance, n) - psi(variance * (n - 2.0) / (n - 1.0), n);
        let likely = variance * (n - 1.0) / n;
        let simple = m + variance / 2.0;
        let half = noncentral_t_quantile(0.975, n - 1.0, 0.0)
            * (variance / n + variance * variance / (2.0 * (n + 1.0))).sqrt();
        let land = |p| land_limit(self, p).map(f64::exp);
        Means {
            best: unbiased,
            unbiased: Some(unbiased),
            unbiased_cv: Some(m.exp() * spread.max(0.0).sqrt() / unbiased),
            likelihood: (m + likely / 2.0).exp(),
            likelihood_cv: likely.exp_m1().sqrt(),
            simple: simple.exp(),
            land_95: land(0.025).zip(land(0.975)).map(|(lower, upper)| Limits { lower, upper }),
            land_upper_95: land(0.95),
            cox_95: Some(Limits { lower: (simple - half).exp(), upper: (simple + half).exp() }),
        }
    }

    /// The 95th percentile and its upper limits.
    ///
    /// Source: exact tolerance limit of the normal distribution, [`tolerance_factor`]. With readings
    /// below detection the factor is that of the number detected.
    #[must_use]
    pub fn percentile_95(&self) -> Percentile {
        let k_95_95 = factor_95_95(self.detected);
        let k_95_70 = tolerance_factor(self.detected, 0.95, 0.70);
        let at = |k: f64| (self.mean + k * self.sd).exp();
        Percentile {
            estimate: at(normal_quantile(0.95)),
            k_95_95,
            upper_95: at(k_95_95),
            k_95_70,
            upper_70: at(k_95_70),
        }
    }

    /// The 95 % upper limit of the 95th percentile.
    #[must_use]
    pub fn upper_95_of_95(&self) -> f64 {
        (self.mean + factor_95_95(self.detected) * self.sd).exp()
    }

    /// How often `limit` is passed, with exact limits of confidence; none where all readings are equal.
    ///
    /// Source: exact theory with the noncentral t distribution (from memory).
    #[must_use]
    pub fn exceedance(&self, limit: f64) -> Option<Exceedance> {
        if self.sd <= NO_SPREAD {
            return None;
        }
        let index = (limit.ln() - self.mean) / self.sd;
        let root = self.detected.sqrt();
        let at = |p| {
            let delta = noncentrality_at(p, index * root, self.detected - 1.0);
            normal_cdf(-delta / root)
        };
        Some(Exceedance {
            fraction: normal_cdf(-index),
            lower_95: at(0.05),
            upper_95: at(0.95),
            index,
        })
    }
}

/// A count as a number.
pub(super) fn count(n: usize) -> f64 {
    u32::try_from(n).map_or(f64::INFINITY, f64::from)
}

/// The series that takes the bias from the exponential of an estimated variance.
///
/// `psi(t) = 1 + (n-1) t/n + (n-1)^3 t^2 / (2! n^2 (n+1)) + (n-1)^5 t^3 / (3! n^3 (n+1)(n+3)) + ...`
///
/// Source: Aitchison and Brown, The Lognormal Distribution (from memory).
fn psi(t: f64, n: f64) -> f64 {
    let mut term = (n - 1.0) * t / n;
    let mut sum = 1.0 + term;
    let mut k = 2.0;
    while term.abs() > sum.abs() * f64::EPSILON && k < LAST_TERM {
        term *= (n - 1.0) * (n - 1.0) * t / (k * n * (n + 2.0 * k - 3.0));
        sum += term;
        k += 1.0;
    }
    sum
}

/// Terms after which the series is left; it converges long before for any spread seen at work.
const LAST_TERM: f64 = 2000.0;

/// The factor of the 95 % upper limit of the 95th percentile, kept once computed for as many readings
/// as a group usually has: every verdict on a task asks for it again.
fn factor_95_95(n: f64) -> f64 {
    static KNOWN: [OnceLock<f64>; 128] = [const { OnceLock::new() }; 128];
    let factor = || tolerance_factor(n, 0.95, 0.95);
    let place = KNOWN.iter().zip(0_u32..).find(|(_, place)| f64::from(*place) == n);
    place.map_or_else(factor, |(known, _)| *known.get_or_init(factor))
}
