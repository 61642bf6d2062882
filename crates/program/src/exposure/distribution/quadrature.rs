//! Gauss-Legendre quadrature over panels.

use std::f64::consts::PI;
use std::sync::OnceLock;

/// Points of a panel: exact for polynomials up to the 31st degree.
const POINTS: u32 = 16;

/// The integral of `f` over each panel, between neighbouring edges, added up.
pub(in crate::exposure) fn integrate(edges: &[f64], f: impl Fn(f64) -> f64) -> f64 {
    let panel = |low: f64, high: f64| {
        let (middle, half) = (f64::midpoint(low, high), (high - low) / 2.0);
        let sum: f64 = nodes().iter().map(|(x, weight)| weight * f(middle + half * x)).sum();
        half * sum
    };
    edges.windows(2).map(|pair| if let [low, high] = pair { panel(*low, *high) } else { 0.0 }).sum()
}

/// Edges of `even` equal panels from `low` to `high`, and of narrow ones of `width` on both sides of
/// `centre`, where the integrand turns fastest.
pub(in crate::exposure) fn panels(range: (f64, f64), even: u32, turn: (f64, f64)) -> Vec<f64> {
    let ((low, high), (centre, width)) = (range, turn);
    let step = (high - low) / f64::from(even);
    let mut edges: Vec<f64> = (0..=even).map(|i| low + step * f64::from(i)).collect();
    if width.is_finite() && centre.is_finite() {
        let near = (-NARROW..=NARROW).map(|i| centre + width * f64::from(i));
        edges.extend(near.filter(|edge| low < *edge && *edge < high));
    }
    edges.sort_by(f64::total_cmp);
    edges
}

/// Narrow panels on each side: beyond eight widths a normal integral is flat to a double's last bit.
const NARROW: i32 = 9;

/// Nodes and weights on -1 to 1, found by Newton's method on the Legendre polynomial.
fn nodes() -> &'static [(f64, f64)] {
    static NODES: OnceLock<Vec<(f64, f64)>> = OnceLock::new();
    NODES.get_or_init(|| (1..=POINTS).map(node).collect())
}

fn node(index: u32) -> (f64, f64) {
    let n = f64::from(POINTS);
    let mut x = (PI * (f64::from(index) - 0.25) / (n + 0.5)).cos();
    let mut slope = 1.0;
    for _ in 0..NEWTON_STEPS {
        let (value, below) = legendre(x);
        slope = n * (x * value - below) / (x * x - 1.0);
        x -= value / slope;
    }
    (x, 2.0 / ((1.0 - x * x) * slope * slope))
}

/// Steps that bring a node from its first guess to the last bit.
const NEWTON_STEPS: u32 = 8;

/// The Legendre polynomial of degree [`POINTS`] and of the one below at `x`.
fn legendre(x: f64) -> (f64, f64) {
    let mut pair = (1.0, 0.0);
    for degree in 1..=POINTS {
        let k = f64::from(degree);
        pair = (((2.0 * k - 1.0) * x * pair.0 - (k - 1.0) * pair.1) / k, pair.0);
    }
    pair
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_polynomial_of_degree_31_is_integrated_exactly() {
        let edges = [0.0, 1.0];
        assert!((integrate(&edges, |x| 32.0 * x.powi(31)) - 1.0).abs() < 1e-14);
        let weights: f64 = nodes().iter().map(|node| node.1).sum();
        assert!((weights - 2.0).abs() < 1e-14);
    }
}
