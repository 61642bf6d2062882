//! Each vapour alone at a given spreading pressure: what an ideal adsorbed solution is made of.
#![expect(
    clippy::indexing_slicing,
    clippy::needless_range_loop,
    reason = "loops over the lanes of fixed arrays, which the compiler turns into vectors"
)]

use std::hint::select_unpredictable as choose;
use std::rc::Rc;

use super::dubinin::Dubinin;
use super::lanes::exp;
use super::plan::as_f64;

/// Widest interval of the table in ln Pi, and the fewest intervals. The quintic between nodes is right
/// to 3e-8 of Pi (see the tests).
const WIDEST: f64 = 0.12;
const FEWEST: usize = 16;

/// A vapour alone that would need more than e to this times its saturated level is as good as not
/// held at all.
const FARTHEST_OVER: f64 = 40.0;

/// Level and load of one vapour alone as functions of the logarithm of the reduced spreading
/// pressure `Pi = integral of q dln c`, mol/kg.
///
/// On the straight low end `Pi` is the load; above it
/// `Pi = full sqrt(pi)/(2 b) erfc(b ln(saturation/c))` and a constant; above saturation it grows
/// with the logarithm of the level. The logarithm of the level is kept in a table with exact slopes,
/// because the inverse of erfc is dear; the load follows from it.
///
/// Source: closed form as in [`crate::Adsorbate`], with the low end of [`super`].
#[derive(Debug, Clone)]
pub(super) struct Alone {
    pub law: Dubinin,
    ln_henry: f64,
    /// Logarithms of the spreading pressures where the table begins and ends.
    first: f64,
    last: f64,
    /// Spreading pressure at saturation.
    at_saturation: f64,
    per_interval: f64,
    /// The quintic of ln c in each interval, lowest power first.
    pieces: Rc<[Piece]>,
}

/// Factors of a polynomial of the part of an interval, lowest power first.
type Piece = [f64; 6];

/// A vapour alone at a spreading pressure, in each of `N` lanes.
#[derive(Debug, Clone, Copy)]
pub(super) struct At<const N: usize> {
    /// Level, mol/m³.
    pub c: [f64; N],
    /// Load, mol/kg.
    pub load: [f64; N],
    /// Slope of ln load by ln Pi.
    pub nu: [f64; N],
    /// Half of how the slope of ln load by ln c falls with ln c.
    pub falls: [f64; N],
}

impl<const N: usize> At<N> {
    pub const ZERO: Self = Self { c: [0.0; N], load: [0.0; N], nu: [0.0; N], falls: [0.0; N] };
}

impl Alone {
    pub fn new(law: Dubinin) -> Self {
        let tail = law.full * (-law.reduced_tangent * law.reduced_tangent).exp();
        let scale = law.full * std::f64::consts::PI.sqrt() / (2.0 * law.b);
        let offset = tail - scale * libm::erfc(law.reduced_tangent);
        let at_saturation = scale + offset;
        let (first, last) = (tail.ln(), at_saturation.ln());
        let intervals = FEWEST.max(whole((last - first) / WIDEST) + 1);
        let width = (last - first) / as_f64(intervals);
        let mut reduced = law.reduced_tangent;
        // ln c with its first and second derivative for one interval.
        let node = |i: usize| {
            let pi = (first + width * as_f64(i)).exp();
            reduced = inverse_erfc(((pi - offset) / scale).clamp(1e-300, 1.0), reduced);
            let load = law.full * (-reduced * reduced).exp();
            let at = law.ln_saturation - reduced / law.b;
            let slope = width * pi / load;
            let bend = slope * (width - 2.0 * law.b * reduced * slope);
            // Where the next node lies, to second order.
            reduced = (reduced - law.b * (slope + 0.5 * bend)).max(0.0);
            [at, slope, bend]
        };
        let nodes: Vec<[f64; 3]> = (0..=intervals).map(node).collect();
        let pairs = nodes.iter().zip(nodes.iter().skip(1));
        Self {
            law,
            ln_henry: law.henry.ln(),
            first,
            last,
            at_saturation,
            per_interval: 1.0 / width,
            pieces: pairs.map(|(from, to)| quintic(*from, *to)).collect(),
        }
    }

    /// Spreading pressure up to which the low end is straight.
    pub fn straight_up_to(&self) -> f64 {
        self.first.exp()
    }

    /// Logarithm of the spreading pressure at saturation.
    pub fn ends_at(&self) -> f64 {
        self.last
    }

    /// The vapour at the spreading pressure `pi`, whose logarithm is `ln_pi`.
    #[inline(always)]
    pub fn at<const N: usize>(&self, ln_pi: &[f64; N], pi: &[f64; N]) -> At<N> {
        let law = &self.law;
        let mut factors = [[0.0; N]; 6];
        // A place that rounding puts past the last interval is read at its end.
        let last = self.pieces.len() - 1;
        let mut t = [0.0; N];
        for j in 0..N {
            let place = (ln_pi[j] - self.first) * self.per_interval;
            let index = whole(place).min(last);
            let piece = self.pieces.get(index).unwrap_or(&[0.0; 6]);
            for (list, factor) in factors.iter_mut().zip(piece) {
                list[j] = *factor;
            }
            t[j] = place - as_f64(index);
        }
        let [k0, k1, k2, k3, k4, k5] = &factors;
        let mut ln_c = [0.0; N];
        let mut at = At::ZERO;
        for j in 0..N {
            let t = t[j];
            let high = k3[j] + t * (k4[j] + t * k5[j]);
            let within = k0[j] + t * (k1[j] + t * (k2[j] + t * high));
            let over = (pi[j] - self.at_saturation) * law.per_full;
            let over = choose(over < FARTHEST_OVER, over, FARTHEST_OVER);
            let over = law.ln_saturation + choose(over > 0.0, over, 0.0);
            let above = choose(ln_pi[j] < self.last, within, over);
            ln_c[j] = choose(ln_pi[j] < self.first, ln_pi[j] - self.ln_henry, above);
        }
        for j in 0..N {
            at.c[j] = exp(ln_c[j]);
        }
        for j in 0..N {
            let reduced = law.b * (law.ln_saturation - ln_c[j]);
            let reduced = choose(reduced > 0.0, reduced, 0.0);
            at.load[j] = law.full * exp(-(reduced * reduced));
        }
        for j in 0..N {
            let straight = ln_pi[j] < self.first;
            let reduced = law.b * (law.ln_saturation - ln_c[j]);
            let curved = (reduced > 0.0) & !straight;
            at.load[j] = choose(straight, pi[j], at.load[j]);
            let slope = choose(curved, 2.0 * law.b * reduced, 0.0);
            at.nu[j] = choose(straight, 1.0, slope * pi[j] / at.load[j]);
            at.falls[j] = choose(curved, law.b * law.b, 0.0);
        }
        at
    }
}

/// The quintic between two nodes of value, slope and bend.
fn quintic([y0, d0, s0]: [f64; 3], [y1, d1, s1]: [f64; 3]) -> Piece {
    let (rise, slope, bend) = (y1 - y0 - d0 - 0.5 * s0, d1 - d0 - s0, s1 - s0);
    [
        y0,
        d0,
        0.5 * s0,
        10.0 * rise - 4.0 * slope + 0.5 * bend,
        7.0 * slope - 15.0 * rise - bend,
        6.0 * rise - 3.0 * slope + 0.5 * bend,
    ]
}

/// The whole part of a place in the table.
#[inline(always)]
#[expect(
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a float becomes the whole number below it, negative and NaN become zero, and a place beyond the table is found by `get`"
)]
fn whole(place: f64) -> usize {
    place as usize
}

/// The `u` for which erfc(u) is `share`, from any guess. Newton on the logarithm, which is concave: from
/// the second step on the search comes from the right without overshooting.
fn inverse_erfc(share: f64, guess: f64) -> f64 {
    if share >= 1.0 {
        return 0.0;
    }
    let target = share.ln();
    let mut u = guess;
    for _ in 0..60 {
        let erfc = libm::erfc(u);
        let slope = -std::f64::consts::FRAC_2_SQRT_PI * (-u * u).exp() / erfc;
        let step = (erfc.ln() - target) / slope;
        u = (u - step).max(0.0);
        // The step after this one would be of its square.
        if step.abs() <= 1e-8 * u.abs().max(1e-3) {
            break;
        }
    }
    u
}

#[cfg(test)]
mod tests {
    use super::*;

    fn acetone() -> Alone {
        Alone::new(Dubinin::new(
            6.107_702_210_704_866,
            0.195_660_566_728_356,
            10.918_025_318_506_44,
        ))
    }

    // Identity (Gibbs): the spreading pressure is the integral of the load over ln c, summed here by
    // Simpson's rule from far down the straight end.
    #[test]
    fn spreading_pressure_is_the_integral_of_the_load() {
        let alone = acetone();
        let (from, to) = (-40.0, 0.5_f64.ln());
        let parts = 40_000;
        let step = (to - from) / f64::from(parts);
        let mut sum = alone.law.load_at_ln(from).0;
        for i in 0..parts {
            let y = from + step * f64::from(i);
            let value = |y: f64| alone.law.load_at_ln(y).0;
            sum += step / 6.0 * (value(y) + 4.0 * value(y + 0.5 * step) + value(y + step));
        }
        let at = alone.at(&[sum.ln()], &[sum]);
        assert!((at.c[0] / 0.5 - 1.0).abs() < 1e-6, "{}", at.c[0]);
        assert!((at.load[0] / alone.law.load(0.5) - 1.0).abs() < 1e-7);
    }

    // Between nodes too: the closed form of the spreading pressure, at the level that the table gives.
    #[test]
    fn the_table_is_right_between_its_nodes() {
        for b in [0.03, 0.08, 0.12, 0.3, 1.0, 2.0] {
            let alone = Alone::new(Dubinin::new(4.0, b, 1.3));
            let law = alone.law;
            let scale = law.full * std::f64::consts::PI.sqrt() / (2.0 * b);
            let tangent = law.reduced_tangent;
            let offset = law.full * (-tangent * tangent).exp() - scale * libm::erfc(tangent);
            let mut worst: f64 = 0.0;
            for i in 1..4_000 {
                let y = alone.first + (alone.last - alone.first) * as_f64(i) / 4_000.0;
                let at = alone.at(&[y], &[y.exp()]);
                let reduced = b * (law.ln_saturation - at.c[0].ln());
                let back = scale * libm::erfc(reduced) + offset;
                worst = worst.max((back / y.exp() - 1.0).abs());
            }
            assert!(worst < 3e-8, "{b}: {worst:e}");
        }
    }

    #[test]
    fn the_table_is_smooth_over_its_ends() {
        let alone = acetone();
        for edge in [alone.first, alone.last] {
            let (low, high) = (edge - 1e-9, edge + 1e-9);
            let (below, above) = (alone.at(&[low], &[low.exp()]), alone.at(&[high], &[high.exp()]));
            assert!((below.c[0] / above.c[0] - 1.0).abs() < 1e-6);
            assert!((below.load[0] / above.load[0] - 1.0).abs() < 1e-6);
        }
    }
}
