//! The levels within one cell for what enters it, and how they hang on it: what a step that joins all cells
//! asks of a law.

use super::dubinin::Dubinin;
use super::ideal::{Guess, Ideal, Share};
use super::input::{Component, Equilibrium, Uptake};
use super::law::{Law, within_cell};
use super::track::dubinin_of;

/// Part of what enters below which a level beside a reaction is none: all that enters is held.
const ALL_HELD: f64 = 1e-9;

/// What shares the cells of a bed.
pub(super) trait Within {
    /// Fills `levels` such that `level + taken (load after dt - load) = enters` for each component, and
    /// `slopes`, row by row, with what each level rises by for each of what enters.
    fn within(&mut self, cell: usize, asked: &Asked<'_>, levels: &mut [f64], slopes: &mut [f64]);
}

/// One cell in one step, an entry for each component.
pub(super) struct Asked<'a> {
    /// Level taken per unit of load gained, kg/m³.
    pub taken: &'a [f64],
    /// Length of the step, s.
    pub dt: f64,
    /// Level that enters, mol/m³.
    pub enters: &'a [f64],
    /// Load before the step, mol/kg.
    pub loads: &'a [f64],
}

impl Asked<'_> {
    /// `(taken, enters, load)` of each component.
    pub fn parts(&self) -> impl Iterator<Item = (f64, f64, f64)> {
        let pairs = self.taken.iter().zip(self.enters).zip(self.loads);
        pairs.map(|((taken, enters), load)| (*taken, *enters, *load))
    }
}

/// One component by itself.
pub(super) enum Apart {
    /// A vapour with a driving force: its curve, rate and the logarithm of the last level of each cell.
    Dubinin { law: Dubinin, per_s: f64, ln_c: Vec<f64> },
    /// Any other.
    Other { law: Law, at_once: bool },
}

impl Apart {
    /// `component` in a bed of `cells`.
    pub fn new(component: &Component, cells: usize) -> Self {
        if let Some((law, per_s)) = dubinin_of(component) {
            return Self::Dubinin { law, per_s, ln_c: vec![f64::NAN; cells] };
        }
        let at_once = matches!(
            (component.equilibrium, component.uptake),
            (Equilibrium::Reaction { .. }, Uptake::DrivingForce { .. })
        );
        Self::Other { law: Law::new(component), at_once }
    }

    /// Level and its slope.
    fn level(
        &mut self,
        cell: usize,
        dt: f64,
        (taken, enters, load): (f64, f64, f64),
    ) -> (f64, f64) {
        match self {
            Self::Dubinin { law, per_s, ln_c } => {
                let a = -(-*per_s * dt).exp_m1() * taken;
                let s = enters + a * load;
                if s <= 0.0 || a <= 0.0 {
                    return (s, 1.0 / (1.0 + a * law.henry));
                }
                let known = ln_c.get(cell).copied().unwrap_or(f64::NAN);
                let found = law.balance(a, s, known);
                if let Some(known) = ln_c.get_mut(cell) {
                    *known = found;
                }
                let level = found.exp();
                (level, 1.0 / (1.0 + a * law.slope(level)))
            }
            Self::Other { law, at_once } => {
                let (level, slope) = within_cell(law, (taken, dt), enters, load);
                let held = *at_once && level <= ALL_HELD * enters;
                (level, if held { 0.0 } else { 1.0 / (1.0 + taken * slope) })
            }
        }
    }
}

impl Within for Apart {
    fn within(&mut self, cell: usize, asked: &Asked<'_>, levels: &mut [f64], slopes: &mut [f64]) {
        let found = asked.parts().map(|parts| self.level(cell, asked.dt, parts));
        for (((level, slope), to), by) in found.zip(levels).zip(slopes) {
            (*to, *by) = (level, slope);
        }
    }
}

/// Vapours that share the micropores.
pub(super) struct Dry<'a> {
    ideal: &'a Ideal,
    /// Rates, 1/s.
    per_s: Vec<f64>,
    shares: Vec<Share<1>>,
    guesses: Vec<Guess<1>>,
}

impl<'a> Dry<'a> {
    /// The vapours of `ideal` with their rates in a bed of `cells`.
    pub fn new(ideal: &'a Ideal, per_s: Vec<f64>, cells: usize) -> Self {
        let shares = vec![Share::ZERO; per_s.len()];
        Self { ideal, per_s, shares, guesses: vec![Guess::NONE; cells] }
    }
}

impl Within for Dry<'_> {
    fn within(&mut self, cell: usize, asked: &Asked<'_>, levels: &mut [f64], slopes: &mut [f64]) {
        let parts = asked.parts().zip(&self.per_s);
        for (((taken, enters, load), per_s), share) in parts.zip(&mut self.shares) {
            let a = -(-per_s * asked.dt).exp_m1() * taken;
            (share.s, share.a) = ([enters + a * load], [a]);
        }
        if let Some(guess) = self.guesses.get_mut(cell) {
            self.ideal.balance_with_slopes(&mut self.shares, guess, slopes);
        }
        for (level, share) in levels.iter_mut().zip(&self.shares) {
            [*level] = share.c;
        }
    }
}
