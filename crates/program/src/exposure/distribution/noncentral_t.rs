//! The noncentral t distribution, by direct integration.

use std::f64::consts::LN_2;

use super::{integrate, normal_cdf, normal_quantile, panels};

/// The part of a noncentral t distribution below `t`.
///
/// `degrees` of freedom 1 or more; `delta` the noncentrality. Integrates
/// `P(T <= t) = integral of f(x) Phi(t x / sqrt(degrees) - delta)` over the chi distribution `f`, by
/// Gauss-Legendre panels that are narrow where the normal part turns; error below 1e-12, checked
/// against another program (`data/checks/tolerance_k_factors.csv`).
///
/// Source: definition of the distribution, T = (Z + delta) / (chi / sqrt(degrees)).
#[must_use]
pub fn noncentral_t_cdf(t: f64, degrees: f64, delta: f64) -> f64 {
    let root = degrees.sqrt();
    let range = ((root - REACH).max(0.0), root + REACH);
    let turn = (delta * root / t, (root / t).abs());
    let log_constant = (1.0 - degrees / 2.0) * LN_2 - libm::lgamma(degrees / 2.0);
    let density = |x: f64| (log_constant + (degrees - 1.0) * x.ln() - x * x / 2.0).exp();
    let edges = panels(range, EVEN_PANELS, turn);
    integrate(&edges, |x| density(x) * normal_cdf(t * x / root - delta)).clamp(0.0, 1.0)
}

/// How far from its middle a chi distribution is followed; beyond lies less than 1e-17 of it.
const REACH: f64 = 9.0;

/// Equal panels over that range.
const EVEN_PANELS: u32 = 24;

/// The value below which the part `p` of a noncentral t distribution lies; `0 < p < 1`.
#[must_use]
pub fn noncentral_t_quantile(p: f64, degrees: f64, delta: f64) -> f64 {
    rising_root(|t| noncentral_t_cdf(t, degrees, delta) - p)
}

/// The noncentrality at which the part `p` of the distribution lies below `t`.
#[must_use]
pub fn noncentrality_at(p: f64, t: f64, degrees: f64) -> f64 {
    rising_root(|delta| p - noncentral_t_cdf(t, degrees, delta))
}

/// How many standard deviations above the mean of `n` readings lies the one-sided upper limit, at
/// this `confidence`, of the point below which `coverage` of a normal distribution lies.
///
/// `n` 2 or more; both parts between 0 and 1. `k = t(confidence; n - 1, z sqrt(n)) / sqrt(n)`.
///
/// Source: exact theory of the normal tolerance limit (from memory), checked against
/// `data/checks/tolerance_k_factors.csv`.
///
/// ```
/// let k = program::exposure::tolerance_factor(6.0, 0.95, 0.95);
/// assert!((k - 3.7077).abs() < 5e-5);
/// ```
#[must_use]
pub fn tolerance_factor(n: f64, coverage: f64, confidence: f64) -> f64 {
    let root = n.sqrt();
    noncentral_t_quantile(confidence, n - 1.0, normal_quantile(coverage) * root) / root
}

/// Where a rising function crosses zero: the interval is doubled until it holds the crossing, then
/// halved to the last bit.
fn rising_root(f: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (-1.0, 1.0);
    while f(low) > 0.0 && low > -FARTHEST {
        low *= 2.0;
    }
    while f(high) < 0.0 && high < FARTHEST {
        high *= 2.0;
    }
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if middle <= low || high <= middle {
            break;
        }
        if f(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

/// Beyond this no crossing is looked for.
const FARTHEST: f64 = 1e12;

/// Halvings from the widest interval to the last bit.
const HALVINGS: u32 = 80;

#[cfg(test)]
mod tests {
    use super::*;

    // With one degree of freedom and no noncentrality t is the ratio of Cauchy: 1/2 + atan(t)/pi.
    #[test]
    fn the_central_case_of_one_degree_is_cauchy() {
        for t in [-3.0, -0.5, 0.0, 1.0, 40.0] {
            let exact = 0.5 + f64::atan(t) / std::f64::consts::PI;
            assert!((noncentral_t_cdf(t, 1.0, 0.0) - exact).abs() < 1e-12, "{t}");
        }
    }

    // At t = 0 the denominator does not matter: P = Phi(-delta).
    #[test]
    fn at_zero_it_is_the_normal_distribution() {
        for delta in [-2.0, 0.0, 0.7, 5.0] {
            let value = noncentral_t_cdf(0.0, 7.0, delta);
            assert!((value - normal_cdf(-delta)).abs() < 1e-13, "{delta}: {value}");
        }
    }

    // Many degrees: the denominator is one, and t is normal about delta.
    #[test]
    fn many_degrees_recover_the_normal_distribution() {
        let value = noncentral_t_cdf(2.0, 1e6, 1.0);
        assert!((value - normal_cdf(1.0)).abs() < 1e-5, "{value}");
        assert!((tolerance_factor(1e6, 0.95, 0.5) - normal_quantile(0.95)).abs() < 1e-5);
    }

    #[test]
    fn quantile_and_noncentrality_turn_the_distribution_round() {
        for (degrees, delta, p) in [(2.0, 3.0, 0.95), (9.0, -4.0, 0.05), (46.0, 60.0, 0.5)] {
            let t = noncentral_t_quantile(p, degrees, delta);
            assert!((noncentral_t_cdf(t, degrees, delta) - p).abs() < 1e-11);
            assert!((noncentrality_at(p, t, degrees) - delta).abs() < 1e-8, "{degrees}");
        }
    }
}
