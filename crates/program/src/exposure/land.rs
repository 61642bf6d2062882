//! Exact limits of the arithmetic mean of a lognormal group.

use std::f64::consts::FRAC_PI_2;

use super::Logarithms;
use super::distribution::{integrate, panels};

/// The logarithm of the exact one-sided limit of the mean `exp(mu + sigma^2/2)` at confidence `p`:
/// an upper one above one half, a lower one below. None below three readings, where all are equal,
/// or where the limit lies beyond any concentration.
///
/// Given a mean with logarithm `theta`, the readings' logarithms lie on a sphere about it whose radius
/// is sufficient for the variance; on it the place of their mean has the density
/// `(1 - t^2)^((n-3)/2) exp(-kappa t)` with `kappa = sqrt(n V) / 2`. The limit is the `theta` at which
/// the mean seen has the chance `1 - p` from below. Integrated directly in the angle of `t`.
///
/// Source: Land 1971, Ann. Math. Statist. 42:1187-1205 (from memory; the conditional density was
/// derived anew). Checked against published limits, `data/checks/exposure_statistics.csv`.
#[must_use]
pub(super) fn land_limit(logs: &Logarithms, p: f64) -> Option<f64> {
    if logs.n < 3.0 || logs.sd <= 0.0 || logs.detected < logs.n {
        return None;
    }
    let start = logs.mean + logs.sd * logs.sd / 2.0;
    let upward = p >= 0.5;
    let mut step = logs.sd / logs.n.sqrt();
    let mut inner = start;
    // The chance falls as theta rises.
    let beyond = |theta: f64| {
        let chance = chance_below(logs, theta);
        if upward { chance < 1.0 - p } else { chance > 1.0 - p }
    };
    let mut outer = start;
    while !beyond(outer) {
        inner = outer;
        outer += if upward { step } else { -step };
        step *= 2.0;
        if (outer - logs.mean).abs() > FARTHEST {
            return None;
        }
    }
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(inner, outer);
        if beyond(middle) {
            outer = middle;
        } else {
            inner = middle;
        }
    }
    Some(f64::midpoint(inner, outer))
}

/// A mean this many natural logarithms off is no concentration.
const FARTHEST: f64 = 60.0;

const HALVINGS: u32 = 60;

/// The chance of a mean of logarithms as low as was seen, were `theta` the logarithm of the mean.
fn chance_below(logs: &Logarithms, theta: f64) -> f64 {
    let (n, off) = (logs.n, logs.mean - theta);
    let about = (n - 1.0) * logs.sd * logs.sd + n * off * off;
    let kappa = (n * about).sqrt() / 2.0;
    let seen = (n.sqrt() * off / about.sqrt()).clamp(-1.0, 1.0).asin();

    let power = n - 2.0;
    let sine = (power - power.hypot(2.0 * kappa)) / (2.0 * kappa);
    let top = sine.clamp(-1.0, 1.0).asin();
    let exponent =
        |angle: f64| power * angle.cos().max(f64::MIN_POSITIVE).ln() - kappa * angle.sin();
    let highest = exponent(top);
    let cosine = top.cos();
    let width = 1.0 / (power / (cosine * cosine) - kappa * sine).sqrt();
    let density = |angle: f64| (exponent(angle) - highest).exp();
    let part =
        |low: f64, high: f64| integrate(&panels((low, high), EVEN_PANELS, (top, width)), density);
    let below = part(-FRAC_PI_2, seen);
    below / (below + part(seen, FRAC_PI_2))
}

const EVEN_PANELS: u32 = 16;
