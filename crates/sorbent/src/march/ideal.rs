//! Several Dubinin vapours that share the micropores: one cell reduces to two unknowns.
//!
//! With `s_i` what enters and is held of vapour i, the level within the cell is
//! `c_i = x_i c_i0(Pi)` and the load in balance `x_i n`, so that `x_i = s_i/(c_i0(Pi) + a_i n)`;
//! the spreading pressure Pi and the total load n follow from `sum x_i = 1` and
//! `sum x_i/n_i0(Pi) = 1/n`, however many vapours there are.
//!
//! Whether molecules or pores are counted ([`crate::Sharing`]) lies in the unit of each vapour's loads and
//! levels.
//!
//! Source: ideal adsorbed solution of Myers and Prausnitz 1965 (form from memory); the reduction is
//! derived here and checked against nested searches, see the tests.
//!
//! INVARIANT (lanes): every array here has one entry for each lane, a cell of its own, and every index
//! runs over them.
#![expect(
    clippy::indexing_slicing,
    clippy::needless_range_loop,
    reason = "loops over the lanes of fixed arrays, INVARIANT (lanes), which the compiler turns into vectors"
)]

use std::hint::select_unpredictable as choose;

use super::alone::{Alone, At};
use super::dubinin::Dubinin;
use super::input::MOST_COMPONENTS;
use super::lanes::exp;

/// Newton's steps before a nested search takes over.
const MOST_STEPS: u32 = 30;
/// Greatest change of a logarithm in one step.
const MOST_CHANGE: f64 = 2.5;
/// The same for lanes together; those left then go on by themselves.
const MOST_TOGETHER: u32 = 6;
/// Steps shorter than this leave an error of their square.
const NEAR: f64 = 1e-5;
/// Part of the pores' spreading pressure below which a vapour is left out of the search for it.
const LEAST_SHARE: f64 = 1e-12;
/// Greatest change of a logarithm, and of its trend, in one step that is taken to go on.
const STEADY: f64 = 0.3;

/// The vapours that share the pores.
#[derive(Debug, Clone)]
pub(super) struct Ideal {
    pub alone: Vec<Alone>,
    /// What loads and levels of each vapour are counted in, mol.
    pub units: Vec<f64>,
    /// Spreading pressure up to which all of them are on their straight ends.
    straight: f64,
}

/// What each cell remembers of its last balance.
#[derive(Debug, Clone, Copy)]
pub(super) struct Guess<const N: usize> {
    pub ln_pi: Known<N>,
    pub ln_total: Known<N>,
}

impl<const N: usize> Guess<N> {
    /// Nothing known yet.
    pub const NONE: Self = Self::at([f64::NAN; N], [f64::NAN; N]);

    pub const fn at(ln_pi: [f64; N], ln_total: [f64; N]) -> Self {
        Self { ln_pi: Known::at(ln_pi), ln_total: Known::at(ln_total) }
    }
}

/// A logarithm, how much it changed in the last step, and how much that changed.
#[derive(Debug, Clone, Copy)]
pub(super) struct Known<const N: usize> {
    pub at: [f64; N],
    trend: [f64; N],
    bend: [f64; N],
}

impl<const N: usize> Known<N> {
    const fn at(at: [f64; N]) -> Self {
        Self { at, trend: [0.0; N], bend: [0.0; N] }
    }

    /// Where the next search starts: what the last steps changed, the next will about change again,
    /// unless a front just came. Where nothing is known it starts at `otherwise`.
    #[inline(always)]
    fn next(&self, otherwise: f64) -> [f64; N] {
        let mut next = [0.0; N];
        for j in 0..N {
            let trend = choose(self.trend[j].abs() < STEADY, self.trend[j], 0.0);
            let bend = choose(self.bend[j].abs() < STEADY, self.bend[j], 0.0);
            let at = self.at[j];
            next[j] = choose(at.is_nan(), otherwise, at + trend + bend);
        }
        next
    }

    /// Takes `to` in the lanes that were searched.
    #[inline(always)]
    fn update(&mut self, to: &[f64; N], live: &[f64; N]) {
        for j in 0..N {
            let trend = to[j] - self.at[j];
            let known = (live[j] > 0.0) & !trend.is_nan();
            self.bend[j] = choose(known, trend - self.trend[j], 0.0);
            self.trend[j] = choose(known, trend, 0.0);
            self.at[j] = choose(live[j] > 0.0, to[j], self.at[j]);
        }
    }
}

/// A vapour in the balance of each cell.
#[derive(Debug, Clone, Copy)]
pub(super) struct Share<const N: usize> {
    /// What enters and is held, mol/m³.
    pub s: [f64; N],
    /// Level taken per unit of load, kg/m³.
    pub a: [f64; N],
    /// Level within the cell, mol/m³.
    pub c: [f64; N],
    /// Slope of its own load by its own level, m³/kg.
    pub slope: [f64; N],
    at: At<N>,
}

impl<const N: usize> Share<N> {
    pub const ZERO: Self =
        Self { s: [0.0; N], a: [0.0; N], c: [0.0; N], slope: [0.0; N], at: At::ZERO };

    fn lane(&self, j: usize) -> Share<1> {
        Share { s: [self.s[j]], a: [self.a[j]], ..Share::ZERO }
    }
}

/// The vapours alone that a march has met; what their tables are is found once.
#[derive(Debug, Default)]
pub(super) struct Tables(Vec<Alone>);

impl Tables {
    /// The vapour of `law` alone.
    pub fn of(&mut self, law: &Dubinin) -> Alone {
        if let Some(known) = self.0.iter().find(|known| known.law == *law) {
            return known.clone();
        }
        let alone = Alone::new(*law);
        self.0.push(alone.clone());
        alone
    }
}

impl Ideal {
    /// The vapours with loads and levels counted in `units`.
    pub fn new(alone: Vec<Alone>, units: Vec<f64>) -> Self {
        let straight = alone.iter().map(Alone::straight_up_to).fold(f64::INFINITY, f64::min);
        Self { alone, units, straight }
    }

    /// Fills levels and slopes of `shares`, in the order of the vapours, in the cells that are `active`.
    #[inline(always)]
    pub fn balance<const N: usize>(
        &self,
        shares: &mut [Share<N>],
        guess: &mut Guess<N>,
        active: &[f64; N],
    ) {
        let mut pressure = [0.0; N];
        for (alone, share) in self.alone.iter().zip(shares.iter_mut()) {
            let henry = alone.law.henry;
            for j in 0..N {
                share.c[j] = share.s[j] / (1.0 + share.a[j] * henry);
                share.slope[j] = henry;
                pressure[j] += henry * share.c[j];
            }
        }
        // All on their straight ends, where they do not see each other: solved as it stands.
        let mut live = [0.0; N];
        let mut any = 0;
        for j in 0..N {
            let searched = (active[j] > 0.0) & (pressure[j] > self.straight);
            live[j] = choose(searched, 1.0, 0.0);
            any |= u64::from(searched);
        }
        if any == 0 {
            return;
        }
        if let ([alone], [share]) = (self.alone.as_slice(), &mut *shares) {
            for j in (0..N).filter(|j| live[*j] > 0.0) {
                alone_in(&alone.law, j, share, guess);
            }
            return;
        }
        // Where the straight ends meet the curve, pressure and total load are the same.
        let meets = self.straight.ln();
        let (mut y, mut m) = (guess.ln_pi.next(meets), guess.ln_total.next(meets));
        let left = self.newton(shares, &live, (&mut y, &mut m));
        for j in (0..N).filter(|j| left[*j] > 0.0) {
            let of = |known: &Known<N>| Known::at([known.at[j]]).next(meets);
            let start = (of(&guess.ln_pi), of(&guess.ln_total));
            (y[j], m[j]) = self.rescue(j, shares, start);
        }
        guess.ln_pi.update(&y, &live);
        guess.ln_total.update(&m, &live);
    }

    /// As [`Self::balance`] of one cell, and fills `slopes`, row by row, with what each level rises by for
    /// each vapour's `s`: the rows of [`Sums::step`] differentiated.
    pub fn balance_with_slopes(
        &self,
        shares: &mut [Share<1>],
        guess: &mut Guess<1>,
        slopes: &mut [f64],
    ) {
        *guess = Guess::at(guess.ln_pi.at, guess.ln_total.at);
        self.balance(shares, guess, &[1.0]);
        let count = shares.len();
        let free = |(alone, share): (&Alone, &Share<1>)| 1.0 / (1.0 + share.a[0] * alone.law.henry);
        let pairs = || self.alone.iter().zip(shares.iter());
        let pressure: f64 =
            pairs().map(|(v, share)| v.law.henry * share.s[0] * free((v, share))).sum();
        slopes.fill(0.0);
        if pressure <= self.straight {
            for (i, pair) in pairs().enumerate() {
                slopes[i * count + i] = free(pair);
            }
            return;
        }
        if let ([share], [slope]) = (&*shares, &mut *slopes) {
            *slope = 1.0 / (1.0 + share.a[0] * share.slope[0]);
            return;
        }
        let (y, total) = (guess.ln_pi.at, [guess.ln_total.at[0].exp()]);
        let pi = [y[0].exp()];
        let mut sums = Sums::ZERO;
        for (alone, share) in self.alone.iter().zip(shares.iter_mut()) {
            share.at = alone.at(&y, &pi);
            sums.add(share, &pi, &total, &[1.0]);
        }
        let (j11, j12) = (sums.x_by_y[0], sums.x_by_m[0]);
        let (j21, j22) = (sums.per_load_by_y[0], 1.0 / total[0] + sums.per_load_by_m[0]);
        let per = 1.0 / (j11 * j22 - j12 * j21);
        for (j, of) in shares.iter().enumerate() {
            let by_x = 1.0 / (of.at.c[0] + of.a[0] * total[0]);
            let by_load = by_x / of.at.load[0];
            let dy = (j12 * by_load - j22 * by_x) * per;
            let dm = (j21 * by_x - j11 * by_load) * per;
            for (i, share) in shares.iter().enumerate() {
                let whole = 1.0 / (share.at.c[0] + share.a[0] * total[0]);
                let held = share.a[0] * total[0] * whole;
                let moves = pi[0] / share.at.load[0] * dy - dm;
                slopes[i * count + j] = share.s[0] * share.at.c[0] * whole * held * moves;
            }
            slopes[j * count + j] += of.at.c[0] * by_x;
        }
    }

    /// Newton's steps on the logarithms of both unknowns; gives the lanes in which they did not end. The
    /// matrix is never singular: its determinant is negative because all its products are.
    #[inline(always)]
    fn newton<const N: usize>(
        &self,
        shares: &mut [Share<N>],
        live: &[f64; N],
        (y, m): (&mut [f64; N], &mut [f64; N]),
    ) -> [f64; N] {
        let most = if N > 1 { MOST_TOGETHER } else { MOST_STEPS };
        let (mut left, mut counts) = (*live, [true; MOST_COMPONENTS]);
        for step in 1..=most {
            let (mut pi, mut total) = ([0.0; N], [0.0; N]);
            for j in 0..N {
                pi[j] = exp(y[j]);
            }
            for j in 0..N {
                total[j] = exp(m[j]);
            }
            let sums = self.sums(shares, (y, &pi, &total), (live, &mut counts));
            let (dy, dm) = sums.step(&total);
            let mut any = 0;
            for j in 0..N {
                let ends = (dy[j].abs() < NEAR) & (dm[j].abs() < NEAR);
                left[j] = choose(ends, 0.0, live[j]);
                any |= u64::from(left[j] > 0.0);
            }
            if any == 0 || step == most {
                let whole = self.complete(shares, (y, &pi, &total), (live, &mut counts));
                if whole || step == most {
                    finish(shares, (&pi, &total), (&dy, &dm), live);
                    for j in 0..N {
                        left[j] = choose(whole, left[j], live[j]);
                        y[j] += dy[j];
                        m[j] += dm[j];
                    }
                    break;
                }
            }
            for j in 0..N {
                y[j] += dy[j];
                m[j] += dm[j];
            }
        }
        left
    }

    /// Looks up the vapours that were left out; whether they were rightly so.
    #[inline(always)]
    fn complete<const N: usize>(
        &self,
        shares: &mut [Share<N>],
        (y, pi, total): (&[f64; N], &[f64; N], &[f64; N]),
        (live, counts): (&[f64; N], &mut [bool; MOST_COMPONENTS]),
    ) -> bool {
        let (mut whole, mut sums) = (true, Sums::ZERO);
        for ((alone, share), counts) in self.alone.iter().zip(shares).zip(counts) {
            if !*counts {
                share.at = alone.at(y, pi);
                *counts = sums.add(share, pi, total, live);
                whole &= !*counts;
            }
        }
        whole
    }

    /// Sums over the vapours that `counts`; those that are found not to are left out from here on.
    #[inline(always)]
    fn sums<const N: usize>(
        &self,
        shares: &mut [Share<N>],
        (y, pi, total): (&[f64; N], &[f64; N], &[f64; N]),
        (live, counts): (&[f64; N], &mut [bool; MOST_COMPONENTS]),
    ) -> Sums<N> {
        let mut sums = Sums::ZERO;
        for ((alone, share), counts) in self.alone.iter().zip(shares).zip(counts) {
            if *counts {
                share.at = alone.at(y, pi);
                *counts = sums.add(share, pi, total, live);
            }
        }
        sums
    }

    /// Lane `j` by itself: Newton's search from `start`, then the nested one.
    #[cold]
    #[inline(never)]
    fn rescue<const N: usize>(
        &self,
        j: usize,
        all: &mut [Share<N>],
        (mut y, mut m): ([f64; 1], [f64; 1]),
    ) -> (f64, f64) {
        let mut shares: Vec<Share<1>> = all.iter().map(|share| share.lane(j)).collect();
        if self.newton(&mut shares, &[1.0], (&mut y, &mut m)) != [0.0] {
            (y, m) = self.nested(&mut shares);
        }
        for (to, from) in all.iter_mut().zip(&shares) {
            (to.c[j], to.slope[j]) = (from.c[0], from.slope[0]);
        }
        (y[0], m[0])
    }

    /// Bisection in Pi around bisection in n: slow and sure.
    fn nested(&self, shares: &mut [Share<1>]) -> ([f64; 1], [f64; 1]) {
        // The lowest Pi of all is far down the straight ends; the highest where even with no load
        // the shares sum to one.
        let (mut low, mut high) = (-650.0, 0.0);
        while self.free_sum(shares, high) > 1.0 && high < 650.0 {
            high += 1.0;
        }
        let at = |shares: &mut [Share<1>], y: f64, m: f64| {
            let mut all = [true; MOST_COMPONENTS];
            self.sums(shares, (&[y], &[y.exp()], &[m.exp()]), (&[1.0], &mut all))
        };
        for _ in 0..200 {
            let y = 0.5 * (low + high);
            let m = self.total_at(shares, y);
            let sums = at(shares, y, m);
            if m.is_finite() && m + sums.per_load[0].ln() > 0.0 {
                low = y;
            } else {
                high = y;
            }
            if high - low < 1e-9 * (1.0 + low.abs()) {
                break;
            }
        }
        // The total from its own definition: where hardly any vapour is being taken up the shares
        // say nothing of it.
        let (y, rough) = (low, self.total_at(shares, low).clamp(-650.0, 650.0));
        let m = -at(shares, y, rough).per_load[0].ln();
        at(shares, y, m);
        finish(shares, (&[y.exp()], &[m.exp()]), (&[0.0], &[0.0]), &[1.0]);
        ([y], [m])
    }

    fn free_sum(&self, shares: &[Share<1>], y: f64) -> f64 {
        let pairs = self.alone.iter().zip(shares);
        pairs.map(|(alone, share)| share.s[0] / alone.at(&[y], &[y.exp()]).c[0]).sum()
    }

    /// ln of the total for which the shares sum to one at a given Pi; minus infinity where they
    /// never do.
    fn total_at(&self, shares: &mut [Share<1>], y: f64) -> f64 {
        if self.free_sum(shares, y) <= 1.0 {
            return f64::NEG_INFINITY;
        }
        let (mut low, mut high) = (-700.0, 700.0);
        for _ in 0..100 {
            let m: f64 = 0.5 * (low + high);
            let mut all = [true; MOST_COMPONENTS];
            let at = (&[y], &[y.exp()], &[m.exp()]);
            if self.sums(shares, at, (&[1.0], &mut all)).x[0] > 1.0 {
                low = m;
            } else {
                high = m;
            }
        }
        0.5 * (low + high)
    }
}

/// One vapour with the pores to itself in lane `j`; the guess is that of its level.
fn alone_in<const N: usize>(law: &Dubinin, j: usize, share: &mut Share<N>, guess: &mut Guess<N>) {
    let ln_c = law.balance(share.a[j], share.s[j], guess.ln_pi.at[j]);
    guess.ln_pi.at[j] = ln_c;
    share.c[j] = ln_c.exp();
    let (load, logarithmic) = law.load_at_ln(ln_c);
    share.slope[j] = load * logarithmic / share.c[j];
}

/// Sums over the vapours of one balance, and their slopes by ln Pi (y) and ln n (m).
struct Sums<const N: usize> {
    x: [f64; N],
    x_by_y: [f64; N],
    x_by_m: [f64; N],
    per_load: [f64; N],
    per_load_by_y: [f64; N],
    per_load_by_m: [f64; N],
}

impl<const N: usize> Sums<N> {
    const ZERO: Self = Self {
        x: [0.0; N],
        x_by_y: [0.0; N],
        x_by_m: [0.0; N],
        per_load: [0.0; N],
        per_load_by_y: [0.0; N],
        per_load_by_m: [0.0; N],
    };

    /// Adds a vapour; whether its part counts for anything in a `live` lane.
    #[inline(always)]
    fn add(&mut self, share: &Share<N>, pi: &[f64; N], total: &[f64; N], live: &[f64; N]) -> bool {
        let at = &share.at;
        let mut counts = 0;
        for j in 0..N {
            let whole = 1.0 / (at.c[j] + share.a[j] * total[j]);
            let x = share.s[j] * whole;
            let free = at.c[j] * whole;
            let per = 1.0 / at.load[j];
            let falls = x * free * pi[j] * per;
            let held = x * (1.0 - free);
            self.x[j] += x;
            self.x_by_y[j] -= falls;
            self.x_by_m[j] -= held;
            self.per_load[j] += x * per;
            self.per_load_by_y[j] -= (falls + x * at.nu[j]) * per;
            self.per_load_by_m[j] -= held * per;
            // Not a number counts.
            counts |= u64::from((live[j] > 0.0) & ((x >= LEAST_SHARE) | x.is_nan()));
        }
        counts != 0
    }

    /// Newton's step for both unknowns.
    #[inline(always)]
    fn step(&self, total: &[f64; N]) -> ([f64; N], [f64; N]) {
        let (mut dy, mut dm) = ([0.0; N], [0.0; N]);
        for j in 0..N {
            let (f1, f2) = (near_ln(self.x[j]), near_ln(total[j] * self.per_load[j]));
            let (per_x, per_load) = (1.0 / self.x[j], 1.0 / self.per_load[j]);
            let (j11, j12) = (self.x_by_y[j] * per_x, self.x_by_m[j] * per_x);
            let j21 = self.per_load_by_y[j] * per_load;
            let j22 = 1.0 + self.per_load_by_m[j] * per_load;
            let per = 1.0 / (j11 * j22 - j12 * j21);
            dy[j] = limited((j12 * f2 - j22 * f1) * per);
            dm[j] = limited((j21 * f1 - j11 * f2) * per);
        }
        (dy, dm)
    }
}

#[inline(always)]
fn limited(change: f64) -> f64 {
    let change = choose(change > MOST_CHANGE, MOST_CHANGE, change);
    choose(change < -MOST_CHANGE, -MOST_CHANGE, change)
}

/// ln x to third order about one, never beyond ±2.
#[inline(always)]
pub(super) fn near_ln(x: f64) -> f64 {
    2.0 * (x - 1.0) / (x + 1.0)
}

/// Levels and slopes after the last short step `(dy, dm)` from `(pi, total)`, in the lanes that are
/// `live`.
#[inline(always)]
fn finish<const N: usize>(
    shares: &mut [Share<N>],
    (pi, total): (&[f64; N], &[f64; N]),
    (dy, dm): (&[f64; N], &[f64; N]),
    live: &[f64; N],
) {
    let (mut square, mut bend) = ([0.0; N], [0.0; N]);
    let (mut pi_now, mut total_now) = ([0.0; N], [0.0; N]);
    for j in 0..N {
        pi_now[j] = pi[j] * near_exp(dy[j]);
        total_now[j] = total[j] * near_exp(dm[j]);
    }
    for share in shares.iter_mut() {
        let Share { s, a, c, at, .. } = share;
        for j in 0..N {
            // From Gibbs: dPi = q dln c.
            let per = pi[j] / at.load[j];
            let nu = at.nu[j];
            at.c[j] *= near_exp(per * dy[j] * (1.0 + 0.5 * (1.0 - nu) * dy[j]));
            at.load[j] *= near_exp(nu * dy[j]);
            at.nu[j] += (nu * (1.0 - nu) - 2.0 * at.falls[j] * per * per) * dy[j];
            let x = s[j] / (at.c[j] + a[j] * total_now[j]);
            let per_load = 1.0 / at.load[j];
            square[j] += x * per_load * per_load;
            bend[j] += x * at.nu[j] * per_load;
            c[j] = choose(live[j] > 0.0, x * at.c[j], c[j]);
        }
    }
    for Share { c, slope, at, .. } in shares.iter_mut() {
        for j in 0..N {
            // x = c/c0(Pi) and 1/n = sum x/n0 by the product rule.
            let per_c = 1.0 / at.c[j];
            let load = c[j] * per_c * total_now[j];
            let relative = 1.0 - 2.0 * load / at.load[j]
                + total_now[j] * load * (square[j] + bend[j] / pi_now[j]);
            let found = total_now[j] * per_c * relative;
            let found = choose(found > 0.0, found, 0.0);
            slope[j] = choose(live[j] > 0.0, found, slope[j]);
        }
    }
}

/// e to a small power, to second order.
#[inline(always)]
fn near_exp(x: f64) -> f64 {
    1.0 + x * (1.0 + 0.5 * x)
}
