//! Several vapours that share the pores through all cells of the bed, on any path.
//!
//! Lanes as in [`super::lanes`]: each holds one cell and lags the one upstream by a step.
#![expect(
    clippy::indexing_slicing,
    clippy::needless_range_loop,
    reason = "loops over the lanes of fixed arrays, INVARIANT (lanes) of `lanes`, which the compiler turns into vectors"
)]

use std::hint::select_unpredictable as choose;

use super::ideal::{Guess, Ideal, Share};
use super::input::Path;
use super::lanes::{LANES, backwards};
use super::scheme::{Steps, weight};

/// The vapours through all cells of one segment.
pub(super) struct Together<'a> {
    pub ideal: &'a Ideal,
    /// Rates, 1/s.
    pub per_s: Vec<f64>,
    /// Sorbent in one cell over the velocity, kg s/m³.
    pub bed: f64,
    /// Lengths of the steps, s.
    pub lengths: &'a [f64],
}

/// What a march of several vapours reads and changes: a list of cells or steps for each vapour.
pub(super) struct Lists<'a> {
    pub loads: &'a mut [Vec<f64>],
    pub slopes: &'a mut [Vec<f64>],
    /// One for each cell.
    pub guesses: &'a mut [Guess<1>],
    pub streams: &'a mut [Vec<f64>],
}

impl Together<'_> {
    /// Marches cells in the order of the flow. `lists.loads` and `lists.slopes` hold one list of cells for
    /// each vapour; `streams` what enters of each, overwritten with what leaves.
    ///
    /// INVARIANT (whole strips): the number of cells is a multiple of [`LANES`], see `plan`.
    pub fn march(&self, path: Path, lists: Lists<'_>) {
        match path {
            Path::Widest => pulp::Arch::new().dispatch(Wide { together: self, lists }),
            Path::Portable => self.strips::<LANES>(lists),
            Path::OneByOne => self.strips::<1>(lists),
        }
    }

    #[inline(always)]
    fn strips<const N: usize>(&self, lists: Lists<'_>) {
        let Lists { loads, slopes, guesses, streams } = lists;
        let steps: Vec<Steps> =
            self.per_s.iter().map(|k| Steps::new(self.lengths, self.bed, 1.0, *k)).collect();
        for (strip, guesses) in guesses.chunks_exact_mut(N).enumerate() {
            let cells = strip * N..(strip + 1) * N;
            let mut vapours: Vec<Vapour<N>> = loads
                .iter()
                .zip(slopes.iter())
                .zip(&steps)
                .map(|((load, slope), steps)| Vapour {
                    load: backwards(&load[cells.clone()]),
                    slope: backwards(&slope[cells.clone()]),
                    left: [0.0; N],
                    enters: [0.0; N],
                    per_theta: [0.0; N],
                    bed: steps.list(N).0,
                })
                .collect();
            let per_bed = steps.first().map(|steps| steps.list(N).1).unwrap_or_default();
            let known = |of: fn(&Guess<1>) -> f64| {
                let known: Vec<f64> = guesses.iter().map(of).collect();
                backwards(&known)
            };
            let mut guess = Guess::at(known(|g| g.ln_pi.at[0]), known(|g| g.ln_total.at[0]));
            self.strip(&mut vapours, per_bed, &mut guess, streams);
            for ((vapour, load), slope) in vapours.iter().zip(&mut *loads).zip(&mut *slopes) {
                load[cells.clone()].copy_from_slice(&backwards::<N>(&vapour.load));
                slope[cells.clone()].copy_from_slice(&backwards::<N>(&vapour.slope));
            }
            for (j, kept) in guesses.iter_mut().rev().enumerate() {
                *kept = Guess::at([guess.ln_pi.at[j]], [guess.ln_total.at[j]]);
            }
        }
    }

    #[inline(always)]
    fn strip<const N: usize>(
        &self,
        vapours: &mut [Vapour<'_, N>],
        per_bed: &[f64],
        guess: &mut Guess<N>,
        streams: &mut [Vec<f64>],
    ) {
        let mut shares = vec![Share::ZERO; vapours.len()];
        // INVARIANT (lag): lane j works on step `tick + j - (N - 1)`; the lists of steps hold N - 1
        // idle ones before and after.
        let windows = per_bed.windows(N).filter_map(|window| window.first_chunk::<N>());
        for (tick, per_bed) in windows.enumerate() {
            for ((vapour, share), stream) in vapours.iter_mut().zip(&mut shares).zip(&*streams) {
                vapour.enters[..N - 1].copy_from_slice(&vapour.left[1..]);
                vapour.enters[N - 1] = stream.get(tick).copied().unwrap_or(0.0);
                let Some(bed) = vapour.bed.get(tick..).and_then(|rest| rest.first_chunk::<N>())
                else {
                    continue;
                };
                for j in 0..N {
                    let theta;
                    (theta, vapour.per_theta[j]) = weight(bed[j] * vapour.slope[j]);
                    share.a[j] = theta * bed[j];
                    share.s[j] = vapour.enters[j] + share.a[j] * vapour.load[j];
                }
            }
            let mut active = [0.0; N];
            for j in 0..N {
                active[j] = choose(per_bed[j] > 0.0, 1.0, 0.0);
            }
            self.ideal.balance(&mut shares, guess, &active);
            for ((vapour, share), stream) in vapours.iter_mut().zip(&shares).zip(&mut *streams) {
                vapour.take(share, per_bed);
                if let Some(place) = (tick + 1).checked_sub(N)
                    && let Some(level) = stream.get_mut(place)
                {
                    *level = vapour.left[0];
                }
            }
        }
    }
}

/// One vapour in the cells of one strip. Lane 0 is the last cell along the flow.
struct Vapour<'a, const N: usize> {
    load: [f64; N],
    slope: [f64; N],
    enters: [f64; N],
    left: [f64; N],
    per_theta: [f64; N],
    /// As [`Steps::bed`].
    bed: &'a [f64],
}

impl<const N: usize> Vapour<'_, N> {
    /// What leaves each cell and what it holds after the step.
    #[inline(always)]
    fn take(&mut self, share: &Share<N>, per_bed: &[f64; N]) {
        for j in 0..N {
            let enters = self.enters[j];
            let within = choose(share.a[j] > 0.0, share.c[j], enters);
            let out = enters - (enters - within) * self.per_theta[j];
            let out = choose(out > 0.0, out, 0.0);
            self.left[j] = out;
            // A cell that releases all it holds may round to just below nothing.
            let load = self.load[j] + (enters - out) * per_bed[j];
            self.load[j] = choose(load > 0.0, load, 0.0);
            self.slope[j] = choose(per_bed[j] > 0.0, share.slope[j], self.slope[j]);
        }
    }
}

/// The march, compiled once for each width of vector.
struct Wide<'a, 'b> {
    together: &'a Together<'b>,
    lists: Lists<'a>,
}

impl pulp::NullaryFnOnce for Wide<'_, '_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        self.together.strips::<LANES>(self.lists);
    }
}
