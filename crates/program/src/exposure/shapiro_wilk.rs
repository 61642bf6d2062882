//! Whether readings look lognormal.

use serde::Serialize;

use super::distribution::{normal_cdf, normal_quantile};
use super::lognormal::count;

/// The test of Shapiro and Wilk on the logarithms.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ShapiroWilk {
    /// The statistic: near 1 where they look normal.
    pub w: f64,
    /// The chance of a statistic as low, were they normal.
    pub p: f64,
}

/// Fewest and most readings that the approximation holds for.
const READINGS: std::ops::RangeInclusive<usize> = 3..=5000;

/// Tests the logarithms of readings, in any order; none for fewer than three, more than 5000, or where
/// all are equal.
///
/// Weights from normal scores with polynomial corrections of the outer two, and a normal transform of
/// `1 - W`.
///
/// Source: Royston 1995, algorithm AS R94, Appl. Statist. 44:547-551 (constants from memory; agrees
/// with another program to the digits of `data/checks/exposure_statistics.csv`).
#[must_use]
pub(super) fn shapiro_wilk(values: &[f64]) -> Option<ShapiroWilk> {
    if !READINGS.contains(&values.len()) {
        return None;
    }
    let mut logs: Vec<f64> = values.iter().map(|value| value.ln()).collect();
    logs.sort_by(f64::total_cmp);
    let n = count(logs.len());
    let mean = logs.iter().sum::<f64>() / n;
    let squares: f64 = logs.iter().map(|y| (y - mean) * (y - mean)).sum();
    if squares <= super::censored::NO_SPREAD {
        return None;
    }
    let weights = weights(logs.len());
    let pairs = weights.iter().zip(logs.iter().zip(logs.iter().rev()));
    let linear: f64 = pairs.map(|(weight, (low, high))| weight * (high - low)).sum();
    let w = (linear * linear / squares).min(1.0);
    Some(ShapiroWilk { w, p: chance(w, n) })
}

/// Weights of the lower half, outermost first.
fn weights(readings: usize) -> Vec<f64> {
    let n = count(readings);
    let half = readings / 2;
    if readings == 3 {
        return vec![0.5_f64.sqrt()];
    }
    let scores: Vec<f64> =
        (1..=half).map(|i| -normal_quantile((count(i) - 0.375) / (n + 0.25))).collect();
    let squares = 2.0 * scores.iter().map(|m| m * m).sum::<f64>();
    let (root, x) = (squares.sqrt(), 1.0 / n.sqrt());
    let mut outer = scores.iter();
    let first = outer.next().copied().unwrap_or_default();
    let second = outer.next().copied().unwrap_or_default();
    let a1 = polynomial(&OUTERMOST, x) + first / root;
    let fixed = if readings > 5 {
        vec![(first, a1), (second, polynomial(&SECOND, x) + second / root)]
    } else {
        vec![(first, a1)]
    };
    let taken: f64 = fixed.iter().map(|(m, _)| 2.0 * m * m).sum();
    let given: f64 = fixed.iter().map(|(_, a)| 2.0 * a * a).sum();
    let rest = ((squares - taken) / (1.0 - given)).sqrt();
    let plain = scores.iter().skip(fixed.len()).map(|m| m / rest);
    fixed.iter().map(|(_, a)| *a).chain(plain).collect()
}

/// The chance of a statistic this low or lower.
fn chance(w: f64, n: f64) -> f64 {
    if n <= 3.0 {
        let least = 0.75_f64;
        let angle = w.sqrt().asin() - least.sqrt().asin();
        return (6.0 / std::f64::consts::PI * angle).clamp(0.0, 1.0);
    }
    let away = (1.0 - w).max(f64::MIN_POSITIVE).ln();
    let log_n = n.ln();
    let (transformed, mean, sd) = if n <= 11.0 {
        let gamma = polynomial(&SMALL_SHIFT, n);
        if away >= gamma {
            return LEAST_CHANCE;
        }
        (-(gamma - away).ln(), polynomial(&SMALL_MEAN, n), polynomial(&SMALL_SD, n).exp())
    } else {
        (away, polynomial(&LARGE_MEAN, log_n), polynomial(&LARGE_SD, log_n).exp())
    };
    normal_cdf((mean - transformed) / sd)
}

/// What is returned for a statistic too low for the transform.
const LEAST_CHANCE: f64 = 1e-99;

fn polynomial(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

const OUTERMOST: [f64; 6] = [0.0, 0.221_157, -0.147_981, -2.071_19, 4.434_685, -2.706_056];
const SECOND: [f64; 6] = [0.0, 0.042_981, -0.293_762, -1.752_461, 5.682_633, -3.582_633];
const SMALL_MEAN: [f64; 4] = [0.544, -0.399_78, 0.025_054, -6.714e-4];
const SMALL_SD: [f64; 4] = [1.382_2, -0.778_57, 0.062_767, -0.002_032_2];
const LARGE_MEAN: [f64; 4] = [-1.586_1, -0.310_82, -0.083_751, 0.003_891_5];
const LARGE_SD: [f64; 3] = [-0.480_3, -0.082_676, 0.003_030_2];
const SMALL_SHIFT: [f64; 2] = [-2.273, 0.459];
