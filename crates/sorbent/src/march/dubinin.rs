//! The equation of Dubinin and Radushkevich with its straight low end, one vapour alone.

/// `q*(c)` of one vapour, mol/kg at mol/m³.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Dubinin {
    /// Load that fills the micropores, mol/kg.
    pub full: f64,
    /// Its inverse, kg/mol.
    pub per_full: f64,
    /// `R T / (beta E0)`.
    pub b: f64,
    /// Logarithm of the saturated level in mol/m³.
    pub ln_saturation: f64,
    /// Reduced potential `b ln(saturation/c)` at which the straight line begins: `1/(2 b)`.
    pub reduced_tangent: f64,
    /// Level at which it begins, mol/m³.
    pub tangent: f64,
    /// Load over level on the straight line, m³/kg.
    pub henry: f64,
}

impl Dubinin {
    /// The curve with its tangent through the origin.
    pub fn new(full: f64, b: f64, saturation: f64) -> Self {
        Self::straight_from(full, b, saturation, 0.5 / b)
    }

    /// The same curve with load and level counted in `unit` mol.
    pub fn counted_in(&self, unit: f64) -> Self {
        Self {
            full: self.full / unit,
            per_full: self.per_full * unit,
            ln_saturation: self.ln_saturation - unit.ln(),
            tangent: self.tangent / unit,
            ..*self
        }
    }

    /// The curve down to the reduced potential `reduced_tangent`, at most `1/(2 b)`, and from there
    /// straight to the origin.
    fn straight_from(full: f64, b: f64, saturation: f64, reduced_tangent: f64) -> Self {
        let ln_tangent = saturation.ln() - reduced_tangent / b;
        let ln_load = full.ln() - reduced_tangent * reduced_tangent;
        Self {
            full,
            per_full: 1.0 / full,
            b,
            ln_saturation: saturation.ln(),
            reduced_tangent,
            tangent: ln_tangent.exp(),
            henry: (ln_load - ln_tangent).exp(),
        }
    }

    /// The same curve, straight from where it fills `filling` of the pores: a low end that some
    /// carbon may have, for tests of what depends on it.
    #[cfg(test)]
    pub fn straight_below(&self, filling: f64) -> Self {
        let reduced = (-filling.ln()).sqrt().min(self.reduced_tangent);
        Self::straight_from(self.full, self.b, self.ln_saturation.exp(), reduced)
    }

    /// Load in balance with the level `exp(ln_c)`, and its logarithmic slope, 0 to 1.
    pub fn load_at_ln(&self, ln_c: f64) -> (f64, f64) {
        let reduced = self.b * (self.ln_saturation - ln_c);
        if reduced >= self.reduced_tangent {
            (self.henry * ln_c.exp(), 1.0)
        } else if reduced <= 0.0 {
            (self.full, 0.0)
        } else {
            (self.full * (-reduced * reduced).exp(), 2.0 * self.b * reduced)
        }
    }

    /// Whether the level `exp(ln_c)` lies between the straight low end and saturation.
    #[inline(always)]
    pub fn curved_at(&self, ln_c: f64) -> bool {
        let reduced = self.b * (self.ln_saturation - ln_c);
        (reduced > 0.0) & (reduced < self.reduced_tangent)
    }

    /// Load in balance with level `c`.
    pub fn load(&self, c: f64) -> f64 {
        if c > 0.0 { self.load_at_ln(c.ln()).0 } else { 0.0 }
    }

    /// Slope of the load at level `c`, m³/kg.
    pub fn slope(&self, c: f64) -> f64 {
        if c > 0.0 {
            let (load, logarithmic) = self.load_at_ln(c.ln());
            load * logarithmic / c
        } else {
            self.henry
        }
    }

    /// Level in balance with load `q`, and its slope; at and above the full load that of
    /// a load just below it.
    pub fn level(&self, q: f64) -> (f64, f64) {
        if q <= 0.0 {
            return (0.0, 1.0 / self.henry);
        }
        let reduced = (self.full / q).ln().max(1e-9).sqrt();
        if reduced >= self.reduced_tangent {
            return (q / self.henry, 1.0 / self.henry);
        }
        let c = (self.ln_saturation - reduced / self.b).exp();
        (c, c / (q * 2.0 * self.b * reduced))
    }

    /// Logarithm of the level `c` with `c + a q*(c) = s`, for s > 0; by Newton's step on the
    /// logarithm within a bracket that every step narrows.
    ///
    /// The bracket is `s/(1 + a henry)` to `s`, because no ratio of load to level exceeds `henry`.
    pub fn balance(&self, a: f64, s: f64, guess: f64) -> f64 {
        let (mut low, mut high) = ((s / (1.0 + a * self.henry)).ln(), s.ln());
        let mut y = if low < guess && guess < high { guess } else { 0.5 * (low + high) };
        for _ in 0..200 {
            let (load, logarithmic) = self.load_at_ln(y);
            let c = y.exp();
            let sum = c + a * load;
            let misfit = (sum / s).ln();
            if misfit > 0.0 {
                high = y;
            } else {
                low = y;
            }
            let newton = y - misfit * sum / (c + a * load * logarithmic);
            let next = if low <= newton && newton <= high { newton } else { 0.5 * (low + high) };
            let moved = (next - y).abs();
            y = next;
            if moved <= 1e-14 * (1.0 + y.abs()) {
                break;
            }
        }
        y
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn toluene() -> Dubinin {
        Dubinin::new(4.225_952_030_445_352, 0.120_309_228_581_177_9, 1.313_602_349_673_565_5)
    }

    // Source: `data/checks/bed/problems.json`, load of toluene at 500 ppm 3.2925 mol/kg.
    #[test]
    fn load_is_the_shared_number() {
        let load = toluene().load(0.020_655_248_093_099_696);
        assert!((load / 3.292_519_968_765_275_5 - 1.0).abs() < 1e-12, "{load}");
    }

    // The straight line meets the curve with the same value and slope, and is its greatest ratio.
    #[test]
    fn the_low_end_is_the_tangent_through_the_origin() {
        for law in [toluene(), Dubinin::new(6.1, 0.195_66, 10.9), Dubinin::new(1.0, 1.2, 0.3)] {
            let tangent = (law.ln_saturation - law.reduced_tangent / law.b).exp();
            let (below, above) = (tangent * (1.0 - 1e-7), tangent * (1.0 + 1e-7));
            assert!((law.load(below) / law.load(above) - 1.0).abs() < 1e-6);
            assert!((law.slope(below) / law.slope(above) - 1.0).abs() < 1e-5);
            for e_folds in [-9.0, -1.0, -0.1, 0.1, 1.0, 5.0_f64] {
                let c = tangent * e_folds.exp();
                assert!(law.load(c) / c <= law.henry * (1.0 + 1e-12));
            }
        }
    }

    #[test]
    fn level_and_load_are_inverse() {
        let law = toluene();
        for ln_c in [-80.0, -40.0, -34.0, -20.0, -5.0, 0.0_f64] {
            let c = ln_c.exp();
            let (back, slope) = law.level(law.load(c));
            assert!((back / c - 1.0).abs() < 1e-11, "{c}: {back}");
            assert!((slope * law.slope(c) - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn balance_is_found_from_any_guess() {
        let law = toluene();
        for a in [1e-12, 1e-6, 1e-3, 1.0, 1e3] {
            for s in [1e-200, 1e-60, 1e-9, 1e-2, 1.0, 1e4] {
                for guess in [-600.0, -30.0, 0.0, 5.0] {
                    let y = law.balance(a, s, guess);
                    let sum = y.exp() + a * law.load_at_ln(y).0;
                    assert!((sum / s - 1.0).abs() < 1e-12, "{a} {s} {guess}");
                }
            }
        }
    }
}
