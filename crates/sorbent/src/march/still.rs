//! Levels in the gas beside the vapours of a bed at rest.
#![expect(
    clippy::indexing_slicing,
    reason = "loops over the lanes of fixed arrays, which the compiler turns into vectors"
)]

use std::hint::select_unpredictable as choose;

use super::alone::{Alone, At};
use super::dubinin::Dubinin;
use super::ideal::{Ideal, near_ln};
use super::input::Path;
use super::lanes::{LANES, exp, ln};

/// Loads in sum below this are taken as none, mol/kg.
const LEAST_LOAD: f64 = 1e-200;
/// Steps of the search for a spreading pressure, which halves its bracket where Newton leaves it.
const MOST_STEPS: u32 = 200;
/// Steps shorter than this leave an error of their square.
const NEAR: f64 = 1e-7;
/// Least logarithm of the spreading pressure.
const LOWEST: f64 = -690.0;

/// Loads of every cell of one vapour alone, and what is in balance with them.
pub(super) struct Lone<'a> {
    pub law: &'a Dubinin,
    /// mol/kg.
    pub loads: &'a [f64],
    /// Level, mol/m³, and its slope by the load.
    pub levels: &'a mut [(f64, f64)],
}

impl Lone<'_> {
    /// Fills the levels.
    ///
    /// INVARIANT (whole strips): the number of cells is a multiple of [`LANES`], see `plan`.
    pub fn balance(self, path: Path) {
        match path {
            Path::Widest => pulp::Arch::new().dispatch(self),
            Path::Portable => self.strips(),
            Path::OneByOne => {
                for (level, load) in self.levels.iter_mut().zip(self.loads) {
                    *level = self.law.level(*load);
                }
            }
        }
    }

    /// As [`Dubinin::level`], which says what the numbers mean.
    #[inline(always)]
    fn strips(self) {
        let law = self.law;
        let (ln_full, per_b, per_henry) = (law.full.ln(), 1.0 / law.b, 1.0 / law.henry);
        let loads = self.loads.chunks_exact(LANES);
        for (levels, loads) in self.levels.chunks_exact_mut(LANES).zip(loads) {
            let (mut reduced, mut c, mut slope) = ([0.0; LANES], [0.0; LANES], [0.0; LANES]);
            for j in 0..LANES {
                let depth = ln_full - ln(loads[j]);
                reduced[j] = choose(depth > 1e-9, depth, 1e-9).sqrt();
            }
            for j in 0..LANES {
                c[j] = exp(law.ln_saturation - reduced[j] * per_b);
            }
            for j in 0..LANES {
                let straight = reduced[j] >= law.reduced_tangent;
                slope[j] = c[j] / (loads[j] * 2.0 * law.b * reduced[j]);
                slope[j] = choose(straight, per_henry, slope[j]);
                c[j] = choose(straight, loads[j] * per_henry, c[j]);
            }
            for j in 0..LANES {
                levels[j] = (c[j], slope[j]);
            }
        }
    }
}

impl pulp::NullaryFnOnce for Lone<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        self.strips();
    }
}

/// Loads of every cell, a list for each vapour, and what is in balance with them.
pub(super) struct Still<'a> {
    pub ideal: &'a Ideal,
    /// mol/kg.
    pub loads: &'a [Vec<f64>],
    /// Level, mol/m³, and its slope by its own load.
    pub levels: &'a mut [Vec<(f64, f64)>],
    /// Logarithm of the spreading pressure in each cell where the search starts; takes what it finds.
    pub ln_pi: &'a mut [f64],
}

impl Still<'_> {
    /// Fills the levels.
    ///
    /// INVARIANT (whole strips): the number of cells is a multiple of [`LANES`], see `plan`.
    pub fn balance(self, path: Path) {
        match path {
            Path::Widest => pulp::Arch::new().dispatch(self),
            Path::Portable => self.strips::<LANES>(),
            Path::OneByOne => self.strips::<1>(),
        }
    }

    #[inline(always)]
    fn strips<const N: usize>(self) {
        let Self { ideal, loads, levels, ln_pi } = self;
        let mut held = vec![[0.0; N]; loads.len()];
        let mut ats = vec![At::ZERO; loads.len()];
        for (strip, ln_pi) in ln_pi.chunks_exact_mut(N).enumerate() {
            let first = strip * N;
            let mut total = [0.0; N];
            for (held, loads) in held.iter_mut().zip(loads) {
                held.copy_from_slice(&loads[first..first + N]);
                for j in 0..N {
                    total[j] += held[j];
                }
            }
            let mut y = [0.0; N];
            for j in 0..N {
                // As if all were on their straight ends.
                let start = total[j].max(LEAST_LOAD).ln();
                y[j] = choose(ln_pi[j].is_nan(), start, ln_pi[j]);
            }
            let (pi, bend) = search(ideal, (&held, &total), &mut y, &mut ats);
            ln_pi.copy_from_slice(&y);
            for ((held, at), levels) in held.iter().zip(&ats).zip(levels.iter_mut()) {
                for j in 0..N {
                    let ratio = at.c[j] / total[j];
                    // Divided one by one: the square of the least loads is too small for a number.
                    let by_pi = pi[j] / at.load[j] * (1.0 / at.load[j]) / bend[j];
                    let slope = ratio * (1.0 - held[j] / total[j] + held[j] * by_pi);
                    let some = held[j] > 0.0 && total[j] > LEAST_LOAD;
                    levels[first + j] = if some { (ratio * held[j], slope) } else { (0.0, 0.0) };
                }
            }
        }
    }
}

impl pulp::NullaryFnOnce for Still<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        self.strips::<LANES>();
    }
}

/// Moves `y` to ln Pi for which `sum load/load_alone(Pi) = 1`, the sum of which falls with Pi; fills the
/// vapours there. Gives Pi and how the sum falls with ln Pi.
#[inline(always)]
fn search<const N: usize>(
    ideal: &Ideal,
    (loads, total): (&[[f64; N]], &[f64; N]),
    y: &mut [f64; N],
    ats: &mut [At<N>],
) -> ([f64; N], [f64; N]) {
    // Past saturation of every vapour no more is held: pores fuller than full stay there.
    let highest = ideal.alone.iter().map(Alone::ends_at).fold(LOWEST, f64::max);
    let (mut low, mut high) = ([LOWEST; N], [highest; N]);
    for y in y.iter_mut() {
        *y = y.clamp(LOWEST, highest);
    }
    let (mut pi, mut falls) = ([0.0; N], [0.0; N]);
    let mut searched = [0.0; N];
    for j in 0..N {
        searched[j] = choose(total[j] > LEAST_LOAD, 1.0, 0.0);
    }
    for _ in 0..MOST_STEPS {
        for j in 0..N {
            pi[j] = exp(y[j]);
        }
        let mut sum = [0.0; N];
        falls = [0.0; N];
        for ((alone, load), at) in ideal.alone.iter().zip(loads).zip(ats.iter_mut()) {
            *at = alone.at(y, &pi);
            for j in 0..N {
                let part = load[j] / at.load[j];
                sum[j] += part;
                falls[j] += part * at.nu[j].max(1e-9);
            }
        }
        let mut far = 0;
        let mut moved = [0.0; N];
        for j in 0..N {
            let misfit = near_ln(sum[j]);
            let above = misfit > 0.0;
            low[j] = choose(above, y[j], low[j]);
            high[j] = choose(above, high[j], y[j]);
            let newton = y[j] + misfit * sum[j] / falls[j];
            let inside = (low[j] <= newton) & (newton <= high[j]);
            let next = choose(inside, newton, 0.5 * (low[j] + high[j]));
            moved[j] = choose(searched[j] > 0.0, next - y[j], 0.0);
            y[j] += moved[j];
            // A lane that has ended stays: from rounding alone its bracket would send it away.
            let ends = moved[j].abs() <= NEAR;
            searched[j] = choose(ends, 0.0, searched[j]);
            far |= u64::from(!ends);
        }
        if far == 0 {
            for at in ats {
                for j in 0..N {
                    // From Gibbs: dPi = q dln c.
                    at.c[j] *= 1.0 + pi[j] / at.load[j] * moved[j];
                }
            }
            break;
        }
    }
    (pi, falls)
}
