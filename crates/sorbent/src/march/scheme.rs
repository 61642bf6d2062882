//! One step of one cell: how inlet and outlet are weighed, and what a list of steps holds.

use super::lanes::WIDE;

/// Share of the outlet in the level that a cell sees, for a cell of optical `thickness`
/// (bed x slope): the level within is `(1 - theta) in + theta out`.
///
/// One half for a thin cell, which is second order; `1 - 1/thickness` for a thick one, which keeps
/// what leaves positive. Between them it follows the decay `exp(-thickness)` of the linear cell, by
/// a fraction that equals `1/(1 - exp(-x)) - 1/x` to third order. Gives the share and its inverse.
#[inline(always)]
pub(super) fn weight(thickness: f64) -> (f64, f64) {
    let x = std::hint::select_unpredictable(thickness < 1e6, thickness, 1e6);
    let numerator = 0.5 + x * (1.0 / 6.0 + x / 24.0);
    let denominator = 1.0 + x * (0.5 + x * (1.0 / 6.0 + x / 24.0));
    let rest = denominator - numerator;
    let per = 1.0 / (rest * denominator);
    (rest * rest * per, denominator * denominator * per)
}

/// The steps of one segment as the lanes read them, padded with idle steps.
#[derive(Debug, Default)]
pub(super) struct Steps {
    /// `rho dz (1 - exp(-k dt)) / (u dt)`: level that a cell takes per unit of driving force.
    bed: Vec<f64>,
    /// `u dt / (rho dz)`: load that a cell gains per unit of level it keeps.
    per_bed: Vec<f64>,
}

impl Steps {
    /// Steps of lengths `dt`, s, in cells that hold `sorbent` kg/m² and see `velocity` m/s.
    pub fn new(lengths: &[f64], sorbent: f64, velocity: f64, rate: f64) -> Self {
        let idle = std::iter::repeat_n(0.0, WIDE - 1);
        let taken = |dt: &f64| -(-rate * dt).exp_m1() * sorbent / (velocity * dt);
        let gained = |dt: &f64| velocity * dt / sorbent;
        Self {
            bed: idle.clone().chain(lengths.iter().map(taken)).chain(idle.clone()).collect(),
            per_bed: idle.clone().chain(lengths.iter().map(gained)).chain(idle).collect(),
        }
    }

    /// Both lists with as many idle steps before and after as `lanes`, at most [`WIDE`], need: bed
    /// and per bed.
    pub fn list(&self, lanes: usize) -> (&[f64], &[f64]) {
        let spare = WIDE - lanes;
        let run = spare..self.bed.len() - spare;
        let bed = self.bed.get(run.clone()).unwrap_or_default();
        (bed, self.per_bed.get(run).unwrap_or_default())
    }

    /// Every run of `N` steps, at most [`WIDE`], first of the idle ones before and last of those after.
    pub fn windows<const N: usize>(&self) -> impl Iterator<Item = (&[f64; N], &[f64; N])> {
        let (bed, per_bed) = self.list(N);
        let bed = bed.windows(N).filter_map(|w| w.first_chunk());
        let per_bed = per_bed.windows(N).filter_map(|w| w.first_chunk());
        bed.zip(per_bed)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Limits: a thin cell is weighed evenly, a thick one keeps what leaves positive.
    #[test]
    fn weight_keeps_what_leaves_positive() {
        assert!((weight(0.0).0 - 0.5).abs() < 1e-15);
        for i in 0..2000 {
            let x = 1e-3 * 1.01_f64.powi(i);
            let (theta, _) = weight(x);
            assert!(theta >= 0.5 && theta >= 1.0 - 1.0 / x - 1e-12 && theta <= 1.0, "{x}");
        }
        let x: f64 = 0.3;
        let exact = 1.0 / (1.0 - (-x).exp()) - 1.0 / x;
        assert!((weight(x).0 - exact).abs() < x.powi(3) / 100.0);
    }
}
