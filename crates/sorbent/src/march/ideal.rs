//! Several Dubinin vapours that share the micropores: one cell reduces to two unknowns.
//!
//! With `s_i` what enters and is held of vapour i, the level within the cell is
//! `c_i = x_i c_i0(Pi)` and the load in balance `x_i n`, so that `x_i = s_i/(c_i0(Pi) + a_i n)`;
//! the spreading pressure Pi and the total load n follow from `sum x_i = 1` and
//! `sum x_i/n_i0(Pi) = 1/n`, however many vapours there are.
//!
//! Source: ideal adsorbed solution of Myers and Prausnitz 1965 (form from memory); the reduction is
//! derived here and checked against nested searches, see the tests.

use super::alone::{Alone, At};
use super::dubinin::Dubinin;
use super::input::{MOST_COMPONENTS, Path};
use super::lanes::exp;
use super::scheme::weight;

/// Newton's steps before the nested search takes over.
const MOST_STEPS: u32 = 30;
/// Greatest change of a logarithm in one step.
const MOST_CHANGE: f64 = 2.5;
/// Steps shorter than this leave an error of their square.
const NEAR: f64 = 3e-7;

/// Greatest change of a logarithm in one step that is taken to go on.
const STEADY: f64 = 0.3;

/// Loads in sum below this are taken as none at rest, mol/kg.
const LEAST_LOAD: f64 = 1e-200;

/// The vapours that share the pores.
#[derive(Debug, Clone)]
pub(super) struct Ideal {
    pub alone: Vec<Alone>,
    /// Spreading pressure up to which all of them are on their straight ends.
    straight: f64,
}

/// What a cell remembers of its last balance.
#[derive(Debug, Clone, Copy)]
pub(super) struct Guess {
    pub ln_pi: f64,
    pub ln_total: f64,
    /// How much both changed in the last step.
    trend: (f64, f64),
}

impl Guess {
    /// Nothing known yet.
    pub const NONE: Self = Self::at(f64::NAN, f64::NAN);

    const fn at(ln_pi: f64, ln_total: f64) -> Self {
        Self { ln_pi, ln_total, trend: (0.0, 0.0) }
    }

    /// Where the next search starts: what the last step changed, it will about change again, unless a
    /// front just came.
    #[inline(always)]
    fn next(&self) -> (f64, f64) {
        let (y, m) = self.trend;
        let steady = y.abs() < STEADY && m.abs() < STEADY;
        if steady { (self.ln_pi + y, self.ln_total + m) } else { (self.ln_pi, self.ln_total) }
    }
}

/// A vapour in the balance of one cell.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Share {
    /// What enters and is held, mol/m³.
    pub s: f64,
    /// Level taken per unit of load, kg/m³.
    pub a: f64,
    /// Level within the cell, mol/m³.
    pub c: f64,
    /// Slope of its own load by its own level, m³/kg.
    pub slope: f64,
    /// Inverse of the share of the outlet in it.
    pub per_theta: f64,
    at: At,
    x: f64,
}

impl Ideal {
    pub fn new(alone: Vec<Alone>) -> Self {
        let straight = alone.iter().map(Alone::straight_up_to).fold(f64::INFINITY, f64::min);
        Self { alone, straight }
    }

    /// Fills levels and slopes of `shares`, in the order of the vapours.
    #[inline(always)]
    pub fn balance(&self, shares: &mut [Share], guess: &mut Guess) {
        let mut pressure = 0.0;
        for (alone, share) in self.alone.iter().zip(shares.iter_mut()) {
            let henry = alone.law.henry;
            share.c = share.s / (1.0 + share.a * henry);
            share.slope = henry;
            pressure += henry * share.c;
        }
        // All on their straight ends, where they do not see each other: solved as it stands.
        if pressure <= self.straight {
            return;
        }
        if let ([alone], [share]) = (self.alone.as_slice(), &mut *shares) {
            alone_in(&alone.law, share, guess);
            return;
        }
        if guess.ln_pi.is_nan() {
            // Where the straight ends meet the curve, pressure and total load are the same.
            *guess = Guess::at(self.straight.ln(), self.straight.ln());
        }
        if !self.newton(shares, guess) {
            self.nested(shares, guess);
        }
    }

    /// Newton's steps on the logarithms of both unknowns; whether they ended. The matrix is never
    /// singular: its determinant is negative because all its products are.
    #[inline(always)]
    fn newton(&self, shares: &mut [Share], guess: &mut Guess) -> bool {
        let (mut y, mut m) = guess.next();
        for _ in 0..MOST_STEPS {
            let [pi, total, ..] = exp_all(&[y, m, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]);
            let sums = self.sums(shares, (y, pi), total);
            let (f1, f2) = (near_ln(sums.x), near_ln(total * sums.per_load));
            let (per_x, per_load) = (1.0 / sums.x, 1.0 / sums.per_load);
            let (j11, j12) = (sums.x_by_y * per_x, sums.x_by_m * per_x);
            let (j21, j22) = (sums.per_load_by_y * per_load, 1.0 + sums.per_load_by_m * per_load);
            let determinant = j11 * j22 - j12 * j21;
            let dy = ((j12 * f2 - j22 * f1) / determinant).clamp(-MOST_CHANGE, MOST_CHANGE);
            let dm = ((j21 * f1 - j11 * f2) / determinant).clamp(-MOST_CHANGE, MOST_CHANGE);
            if !(dy.is_finite() && dm.is_finite()) {
                return false;
            }
            y += dy;
            m += dm;
            if dy.abs() < NEAR && dm.abs() < NEAR {
                let trend = (y - guess.ln_pi, m - guess.ln_total);
                *guess = Guess { ln_pi: y, ln_total: m, trend };
                finish(shares, (pi, total), (dy, dm));
                return true;
            }
        }
        false
    }

    /// Four vapours at a time, so that their exponentials can be taken together.
    #[inline(always)]
    fn sums(&self, shares: &mut [Share], (y, pi): (f64, f64), total: f64) -> Sums {
        let mut sums = Sums::default();
        for (alone, shares) in self.alone.chunks(4).zip(shares.chunks_mut(4)) {
            let mut both = [0.0; 8];
            let (levels, loads) = both.split_at_mut(4);
            let places = alone.iter().zip(shares.iter_mut()).zip(levels).zip(loads);
            for (((alone, share), level), load) in places {
                let at = alone.ln_at(y, pi);
                (*level, *load, share.at.nu) = (at.ln_c, at.ln_load, at.nu);
            }
            let both = exp_all(&both);
            let (levels, loads) = both.split_at(4);
            for ((share, c), load) in shares.iter_mut().zip(levels).zip(loads) {
                (share.at.c, share.at.load) = (*c, *load);
                sums.add(share, pi, total);
            }
        }
        sums
    }

    /// Bisection in Pi around bisection in n: slow and sure.
    #[cold]
    #[inline(never)]
    fn nested(&self, shares: &mut [Share], guess: &mut Guess) {
        // The lowest Pi of all is far down the straight ends; the highest where even with no load
        // the shares sum to one.
        let (mut low, mut high) = (-650.0, 0.0);
        while self.free_sum(shares, high) > 1.0 && high < 650.0 {
            high += 1.0;
        }
        for _ in 0..200 {
            let y = 0.5 * (low + high);
            let m = self.total_at(shares, y);
            let sums = self.sums(shares, (y, y.exp()), m.exp());
            if m.is_finite() && m + sums.per_load.ln() > 0.0 {
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
        let m = -self.sums(shares, (y, y.exp()), rough.exp()).per_load.ln();
        *guess = Guess::at(y, m);
        self.sums(shares, (y, y.exp()), m.exp());
        finish(shares, (y.exp(), m.exp()), (0.0, 0.0));
    }

    fn free_sum(&self, shares: &[Share], y: f64) -> f64 {
        let pairs = self.alone.iter().zip(shares);
        pairs.map(|(alone, share)| share.s / alone.at(y, y.exp()).c).sum()
    }

    /// ln of the total for which the shares sum to one at a given Pi; minus infinity where they
    /// never do.
    fn total_at(&self, shares: &mut [Share], y: f64) -> f64 {
        if self.free_sum(shares, y) <= 1.0 {
            return f64::NEG_INFINITY;
        }
        let (mut low, mut high) = (-700.0, 700.0);
        for _ in 0..100 {
            let m: f64 = 0.5 * (low + high);
            if self.sums(shares, (y, y.exp()), m.exp()).x > 1.0 {
                low = m;
            } else {
                high = m;
            }
        }
        0.5 * (low + high)
    }

    /// Levels in balance with `loads`, and the slope of each by its own load. The search starts from
    /// the logarithm `guess` of the spreading pressure, and gives back what it found.
    pub fn levels(&self, loads: &[f64], levels: &mut [(f64, f64)], guess: f64) -> f64 {
        let total: f64 = loads.iter().sum();
        levels.fill((0.0, 0.0));
        if total <= LEAST_LOAD {
            return guess;
        }
        let y = self.pressure_of(loads, guess);
        let pi = y.exp();
        let (mut bend, mut ats) = (0.0, [At::default(); MOST_COMPONENTS]);
        for ((alone, load), at) in self.alone.iter().zip(loads).zip(&mut ats) {
            *at = alone.at(y, pi);
            bend += load / at.load * at.nu.max(1e-9);
        }
        for ((load, at), level) in loads.iter().zip(&ats).zip(levels) {
            if *load > 0.0 {
                let ratio = at.c / total;
                let by_pi = pi / at.load * (1.0 / at.load) / bend;
                *level = (ratio * load, ratio * (1.0 - load / total + load * by_pi));
            }
        }
        y
    }

    /// ln Pi for which `sum load/load_alone(Pi) = 1`: the sum falls with Pi.
    fn pressure_of(&self, loads: &[f64], guess: f64) -> f64 {
        let (mut low, mut high) = (-690.0, 0.0_f64);
        for alone in &self.alone {
            high = high.max(alone.ends_at());
        }
        let mut y = guess.clamp(low, high);
        for _ in 0..200 {
            let pi = y.exp();
            let (mut sum, mut slope) = (0.0, 0.0);
            for (alone, load) in self.alone.iter().zip(loads) {
                let at = alone.at(y, pi);
                sum += load / at.load;
                slope -= load / at.load * at.nu;
            }
            let misfit = sum.ln();
            if misfit > 0.0 {
                low = y;
            } else {
                high = y;
            }
            let newton = y - misfit * sum / slope;
            let next = if low < newton && newton < high { newton } else { 0.5 * (low + high) };
            let moved = (next - y).abs();
            y = next;
            if moved < 1e-11 * (1.0 + y.abs()) {
                break;
            }
        }
        y
    }
}

/// One vapour with the pores to itself; the guess is that of its level.
#[inline(always)]
fn alone_in(law: &Dubinin, share: &mut Share, guess: &mut Guess) {
    let ln_c = law.balance(share.a, share.s, guess.ln_pi);
    guess.ln_pi = ln_c;
    share.c = ln_c.exp();
    let (load, logarithmic) = law.load_at_ln(ln_c);
    share.slope = load * logarithmic / share.c;
}

/// Sums over the vapours of one balance, and their slopes by ln Pi (y) and ln n (m).
#[derive(Default)]
struct Sums {
    x: f64,
    x_by_y: f64,
    x_by_m: f64,
    per_load: f64,
    per_load_by_y: f64,
    per_load_by_m: f64,
}

impl Sums {
    #[inline(always)]
    fn add(&mut self, share: &mut Share, pi: f64, total: f64) {
        let at = share.at;
        let whole = 1.0 / (at.c + share.a * total);
        let x = share.s * whole;
        let free = at.c * whole;
        let per = 1.0 / at.load;
        let falls = x * free * pi * per;
        let held = x * (1.0 - free);
        self.x += x;
        self.x_by_y -= falls;
        self.x_by_m -= held;
        self.per_load += x * per;
        self.per_load_by_y -= (falls + x * at.nu) * per;
        self.per_load_by_m -= held * per;
        share.x = x;
    }
}

/// e to each of eight numbers.
#[inline(always)]
fn exp_all(x: &[f64; 8]) -> [f64; 8] {
    x.map(exp)
}

/// ln x to third order about one, never beyond ±2.
#[inline(always)]
fn near_ln(x: f64) -> f64 {
    2.0 * (x - 1.0) / (x + 1.0)
}

/// Levels and slopes at the end of the last short step.
fn finish(shares: &mut [Share], (pi, total): (f64, f64), (dy, dm): (f64, f64)) {
    let mut square = 0.0;
    let mut bend = 0.0;
    for share in shares.iter().filter(|share| share.x > 0.0) {
        square += share.x / (share.at.load * share.at.load);
        bend += share.x * share.at.nu / share.at.load;
    }
    for share in shares {
        if share.s <= 0.0 {
            share.c = 0.0;
            continue;
        }
        let at = share.at;
        let free = at.c / (at.c + share.a * total);
        let change = (1.0 - free) * (pi / at.load * dy - dm);
        share.c = share.s * free * (1.0 + change * (1.0 + 0.5 * change));
        let load = share.x * total;
        // From Gibbs: dPi = q dln c; then x = c/c0(Pi) and 1/n = sum x/n0 by the product rule.
        let relative = 1.0 - 2.0 * load / at.load + total * load * (square + bend / pi);
        share.slope = (total / at.c * relative).max(0.0);
    }
}

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

impl Together<'_> {
    /// Marches cells one after another. `lists.loads` and `lists.slopes` hold one list of cells for
    /// each vapour; `streams` what enters of each, overwritten with what leaves.
    pub fn march(&self, path: Path, lists: Lists<'_>) {
        match path {
            Path::Widest => pulp::Arch::new().dispatch(Wide { together: self, lists }),
            Path::Portable | Path::OneByOne => self.cells(lists),
        }
    }

    #[inline(always)]
    #[expect(clippy::indexing_slicing, reason = "INVARIANT (one list for each)")]
    fn cells(&self, lists: Lists<'_>) {
        let Lists { loads, slopes, guesses, streams } = lists;
        let reached: Vec<Vec<f64>> = self
            .per_s
            .iter()
            .map(|k| self.lengths.iter().map(|dt| -(-k * dt).exp_m1()).collect())
            .collect();
        let mut shares = vec![Share::default(); self.per_s.len()];
        for (cell, guess) in guesses.iter_mut().enumerate() {
            for (n, dt) in self.lengths.iter().enumerate() {
                let per = self.bed / dt;
                // INVARIANT (one list for each): all lists are as long as cells, steps or vapours.
                for (i, share) in shares.iter_mut().enumerate() {
                    let taken = per * reached[i][n];
                    let (theta, per_theta) = weight(taken * slopes[i][cell]);
                    share.per_theta = per_theta;
                    share.a = theta * taken;
                    share.s = streams[i][n] + share.a * loads[i][cell];
                }
                self.ideal.balance(&mut shares, guess);
                for (i, share) in shares.iter().enumerate() {
                    let enters = streams[i][n];
                    let within = if share.a > 0.0 { share.c } else { enters };
                    let out = (enters - (enters - within) * share.per_theta).max(0.0);
                    loads[i][cell] = (loads[i][cell] + (enters - out) / per).max(0.0);
                    slopes[i][cell] = share.slope;
                    streams[i][n] = out;
                }
            }
        }
    }
}

/// What a march of several vapours reads and changes: a list of cells or steps for each vapour.
pub(super) struct Lists<'a> {
    pub loads: &'a mut [Vec<f64>],
    pub slopes: &'a mut [Vec<f64>],
    /// One for each cell.
    pub guesses: &'a mut [Guess],
    pub streams: &'a mut [Vec<f64>],
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
        self.together.cells(self.lists);
    }
}
