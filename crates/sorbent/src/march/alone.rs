//! Each vapour alone at a given spreading pressure: what an ideal adsorbed solution is made of.

use super::dubinin::Dubinin;
use super::plan::as_f64;

/// Intervals of the table. The cubic between nodes is right to about 1e-8.
const INTERVALS: usize = 512;

/// A vapour alone that would need more than e to this times its saturated level is as good as not
/// held at all.
const FARTHEST_OVER: f64 = 40.0;

/// Level and load of one vapour alone as functions of the logarithm of the reduced spreading
/// pressure `Pi = integral of q dln c`, mol/kg.
///
/// On the straight low end `Pi` is the load; above it
/// `Pi = full sqrt(pi)/(2 b) erfc(b ln(saturation/c))` and a constant; above saturation it grows
/// with the logarithm of the level. Level and load are kept in a table of their logarithms with exact
/// slopes, because the inverse of erfc is dear.
///
/// Source: closed form as in [`crate::Adsorbate`], with the low end of [`super`].
#[derive(Debug, Clone)]
pub(super) struct Alone {
    pub law: Dubinin,
    ln_henry: f64,
    ln_full: f64,
    /// Logarithms of the spreading pressures where the table begins and ends.
    first: f64,
    last: f64,
    /// Spreading pressure at saturation.
    at_saturation: f64,
    per_interval: f64,
    /// ln c, its slope, ln q, its slope, each slope for one interval.
    nodes: Vec<[f64; 4]>,
}

/// Logarithms of level and load of a vapour alone, and the slope of the latter by ln Pi.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct LnAt {
    pub ln_c: f64,
    pub ln_load: f64,
    pub nu: f64,
}

/// A vapour alone at one spreading pressure.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct At {
    /// Level, mol/m³.
    pub c: f64,
    /// Load, mol/kg.
    pub load: f64,
    /// Slope of ln load by ln Pi.
    pub nu: f64,
}

impl Alone {
    pub fn new(law: Dubinin) -> Self {
        let tail = law.full * (-law.reduced_tangent * law.reduced_tangent).exp();
        let scale = law.full * std::f64::consts::PI.sqrt() / (2.0 * law.b);
        let offset = tail - scale * libm::erfc(law.reduced_tangent);
        let at_saturation = scale + offset;
        let (first, last) = (tail.ln(), at_saturation.ln());
        let width = (last - first) / as_f64(INTERVALS);
        let mut reduced = law.reduced_tangent;
        let node = |i: usize| {
            let pi = (first + width * as_f64(i)).exp();
            reduced = inverse_erfc(((pi - offset) / scale).clamp(1e-300, 1.0), reduced);
            let load = law.full * (-reduced * reduced).exp();
            let slope = width * pi / load;
            [
                law.ln_saturation - reduced / law.b,
                slope,
                law.full.ln() - reduced * reduced,
                slope * 2.0 * law.b * reduced,
            ]
        };
        Self {
            law,
            ln_henry: law.henry.ln(),
            ln_full: law.full.ln(),
            first,
            last,
            at_saturation,
            per_interval: 1.0 / width,
            nodes: (0..=INTERVALS).map(node).collect(),
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
    pub fn at(&self, ln_pi: f64, pi: f64) -> At {
        let at = self.ln_at(ln_pi, pi);
        At { c: at.ln_c.exp(), load: at.ln_load.exp(), nu: at.nu }
    }

    /// The same in logarithms.
    #[inline(always)]
    pub fn ln_at(&self, ln_pi: f64, pi: f64) -> LnAt {
        if ln_pi < self.first {
            return LnAt { ln_c: ln_pi - self.ln_henry, ln_load: ln_pi, nu: 1.0 };
        }
        let place = (ln_pi - self.first) * self.per_interval;
        let index = whole(place);
        let Some([[c0, dc0, q0, dq0], [c1, dc1, q1, dq1]]) =
            self.nodes.get(index..).and_then(|nodes| nodes.first_chunk())
        else {
            let over = (pi - self.at_saturation) / self.law.full;
            let ln_c = self.law.ln_saturation + over.clamp(0.0, FARTHEST_OVER);
            return LnAt { ln_c, ln_load: self.ln_full, nu: 0.0 };
        };
        let t = place - as_f64(index);
        let ln_c = cubic(t, (*c0, *dc0), (*c1, *dc1)).0;
        let (ln_load, slope) = cubic(t, (*q0, *dq0), (*q1, *dq1));
        LnAt { ln_c, ln_load, nu: slope * self.per_interval }
    }
}

/// The cubic with given values and slopes at 0 and 1, and its slope, at `t`.
#[inline]
fn cubic(t: f64, (y0, d0): (f64, f64), (y1, d1): (f64, f64)) -> (f64, f64) {
    let rise = y1 - y0;
    let second = 3.0 * rise - 2.0 * d0 - d1;
    let third = d0 + d1 - 2.0 * rise;
    (y0 + t * (d0 + t * (second + t * third)), d0 + t * (2.0 * second + 3.0 * t * third))
}

/// The whole part of a place in the table.
#[inline]
#[expect(
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a float becomes the whole number below it, negative and NaN become zero, and a place beyond the table is found by `get`"
)]
fn whole(place: f64) -> usize {
    place as usize
}

/// The `u` for which erfc(u) is `share`, from a guess that is not less. Newton on the logarithm,
/// which is concave, so that the search comes from the right without overshooting.
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
        if step.abs() <= 1e-14 * u.abs().max(1e-3) {
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
        let at = alone.at(sum.ln(), sum);
        assert!((at.c / 0.5 - 1.0).abs() < 1e-6, "{}", at.c);
        assert!((at.load / alone.law.load(0.5) - 1.0).abs() < 1e-7);
    }

    #[test]
    fn the_table_is_smooth_over_its_ends() {
        let alone = acetone();
        for edge in [alone.first, alone.last] {
            let (low, high) = (edge - 1e-9, edge + 1e-9);
            let (below, above) = (alone.at(low, low.exp()), alone.at(high, high.exp()));
            assert!((below.c / above.c - 1.0).abs() < 1e-6);
            assert!((below.load / above.load - 1.0).abs() < 1e-6);
        }
    }
}
