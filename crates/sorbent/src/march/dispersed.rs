//! Beds with axial dispersion: any components, any pattern.
//!
//! `u dc/dz - eps D d2c/dz2 + rho dq/dt = 0` while air passes, total flux given at the inlet, no gradient at
//! the outlet (Danckwerts 1953, from memory). The gas between the granules is taken as following at once,
//! with its passage added to the clock: what that neglects is of the order of the gas's own share
//! of what is held. At rest the load spreads as without dispersion (`rest`).
//!
//! **Scheme.** Finite volumes with the march's own integral in time: uptake exact for the level within a
//! cell, which stands for the step; the scheme is ours, no outside solver, because one of stiff equations
//! would know neither this integral nor the shared grid and its estimate. A face carries the exact flux of
//! a level that moves, spreads and is taken up evenly on its way to it (complete flux: Scharfetter and
//! Gummel 1969, ten Thije Boonkkamp and Anthonissen 2011, both from memory). Where
//! dispersion is strong that is the central difference, where there is none it is the march of
//! [`super::run`] cell by cell; second order in both. Near a jump the part for the uptake is weighed down as
//! there, and left out where it would take more than is there, so that no level is negative.
//!
//! Second order in time where a step is short against the inverse rate of uptake, as the march's are;
//! where balance is all but immediate, first.
//!
//! **Solution.** All cells of a step hang together. A sweep along the flow solves each cell for what enters
//! it, with the levels behind as last known; without dispersion that is the answer. What the levels behind
//! turn out to be goes back by Newton's method on that sweep, one block-tridiagonal system a round; where
//! that goes astray, the sweep alone goes on, slowly. A step that does not come to an end is halved; what no
//! halving helps is refused by name. What a cell gains is the difference of the fluxes at its faces, so that
//! nothing is made or lost.
#![expect(
    clippy::indexing_slicing,
    reason = "INVARIANT (lists): every list has one entry, or one row of slopes, for each cell and component"
)]

use super::blocks::Blocks;
use super::effluent::Effluent;
use super::humid::{Cell, Vapours, Waters, Wet};
use super::input::{self, Column, Component, Segment, Settings};
use super::plan::as_f64;
use super::scheme::weight;
use super::within::{Asked, Within};
use super::{MarchError, all};

/// Rounds before a step is halved, and halvings of one step.
const MOST_ROUNDS: u32 = 2_000;
const MOST_HALVINGS: u32 = 2;
/// After so many rounds with Newton's step the sweep goes on alone to the end of a cycle, which comes nearer
/// slowly but surely; then Newton's step is tried again.
const NEWTON: u32 = 50;
const CYCLE: u32 = 250;
/// Least part of Newton's step that is taken, and part of the last round's misfit below which the part
/// grows. It falls when the misfit grows: where a curve bends both ways, as that of water, whole steps may go
/// to and fro.
const LEAST_SHARE: f64 = 1.0 / 16.0;
const GAINS: f64 = 0.25;
/// Flux that a change of a level brings, relative to that of the level with the air, that ends the rounds;
/// the change that rounding may leave; and the part of the greatest level below which levels do not count.
const NEAR: f64 = 1e-9;
const ROUNDING: f64 = 1e-12;
const LEAST: f64 = 1e-20;
/// Least ratio of depth times velocity to dispersion; a bed of less is one stirred vessel.
const LEAST_PECLET: f64 = 0.01;
/// Cells and steps for each of the usual march: the foot of a front that spreads is long.
const FINER: f64 = 1.5;
/// Cell ratio below which the part for the uptake follows its series.
const THIN: f64 = 1e-2;

/// Marches `components` through `column` under `segments` with axial dispersion `dispersion_m2_s`, m²/s,
/// that of the gas between the granules while air passes, the same for all.
///
/// As [`super::run`] otherwise: what it takes, what it refuses, how it estimates its error. Refuses, by name,
/// a dispersion beyond 1 m²/s or that of a bed of less than a hundredth of a Péclet number
/// (`depth velocity/(void fraction x dispersion)`), and a step whose levels are not found.
pub fn run_dispersed(
    column: &Column,
    components: &[Component],
    segments: &[Segment],
    dispersion_m2_s: f64,
    settings: &Settings,
) -> Result<Effluent, MarchError> {
    input::check(column, components, segments, settings)?;
    let slowest = segments.iter().filter(|segment| segment.flows());
    let slowest = slowest.map(|segment| segment.velocity_m_s).fold(f64::INFINITY, f64::min);
    let most = column.depth_m * slowest / (LEAST_PECLET * column.void_fraction);
    input::within("axial dispersion in m2/s", dispersion_m2_s, (1e-12, most.min(1.0)))?;
    let finer = Settings { fineness: (settings.fineness * FINER).min(32.0), ..*settings };
    all(column, components, segments, (&finer, Some(dispersion_m2_s)))
}

/// What the faces of the cells carry, in one stretch.
#[derive(Debug, Clone, Copy)]
pub(super) struct Faces {
    velocity: f64,
    /// What a face takes from the cell before it and from the one behind it, m/s.
    ahead: f64,
    back: f64,
    /// Part of twice its cell's uptake that a face lacks, and the same of the outlet.
    lacks: f64,
    outlet_lacks: f64,
    /// Sorbent in one cell, kg/m².
    sorbent: f64,
}

impl Faces {
    pub fn new(column: &Column, (velocity, dispersion): (f64, f64), cells: usize) -> Self {
        let dz = column.depth_m / as_f64(cells);
        let ratio = velocity * dz / (column.void_fraction * dispersion);
        let back = velocity / ratio.exp_m1();
        // The limits of both for a thin cell, from their series.
        let lacks =
            if ratio < THIN { ratio / 6.0 } else { 1.0 - 2.0 / ratio + 2.0 / ratio.exp_m1() };
        let outlet_lacks = if ratio < THIN {
            ratio / 4.0 * (1.0 - ratio / 6.0)
        } else {
            1.0 + 2.0 * (-0.5 * ratio).exp_m1() / ratio
        };
        Self {
            velocity,
            ahead: velocity + back,
            back,
            lacks,
            outlet_lacks,
            sorbent: column.bulk_density_kg_m3 * dz,
        }
    }

    /// What both faces of a cell take from it, m/s: the inlet nothing, the outlet what the air carries.
    fn both(&self, cell: usize, cells: usize) -> f64 {
        if cell == 0 || cell + 1 == cells { self.ahead } else { self.ahead + self.back }
    }
}

/// A stretch with air passing.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stretch<'a> {
    pub faces: Faces,
    /// Lengths of its steps, s.
    pub lengths: &'a [f64],
    /// When it begins, s since the start.
    pub began_s: f64,
}

impl Stretch<'_> {
    /// Marches what `law` joins: `loads` are lists of cells, `streams` of what enters at each step,
    /// overwritten with what leaves.
    pub fn march(
        &self,
        law: &mut impl Within,
        loads: &mut [Vec<f64>],
        streams: &mut [Vec<f64>],
    ) -> Result<(), MarchError> {
        let mut spreading = Spreading::new(self.faces, loads);
        let mut clock_s = self.began_s;
        for (step, dt) in self.lengths.iter().enumerate() {
            clock_s += dt;
            spreading.pass(law, (step, *dt, clock_s), streams)?;
        }
        spreading.give(loads);
        Ok(())
    }

    /// Marches vapours beside water, whose lists come last. In each step the water moves first.
    pub fn march_wet(
        &self,
        wet: &Wet,
        loads: &mut [Vec<f64>],
        streams: &mut [Vec<f64>],
    ) -> Result<(), MarchError> {
        let last = loads.len().saturating_sub(1);
        let (loads, waters) = loads.split_at_mut(last);
        let (streams, steam) = streams.split_at_mut(last);
        let held = waters.iter().flatten().enumerate();
        let mut cells: Vec<Cell> =
            held.map(|(place, water)| Cell::new(wet, loads, place, *water)).collect();
        let mut water = Spreading::new(self.faces, waters);
        for (level, cell) in water.levels.iter_mut().zip(&cells) {
            *level = cell.level(wet);
        }
        let mut vapours = Spreading::new(self.faces, loads);
        let mut clock_s = self.began_s;
        for (step, dt) in self.lengths.iter().enumerate() {
            clock_s += dt;
            cells.iter_mut().for_each(|cell| cell.look(wet));
            let here = (step, *dt, clock_s);
            water.pass(&mut Waters { wet, cells: &cells }, here, steam)?;
            for (cell, level) in cells.iter_mut().zip(&water.levels) {
                cell.dampen(wet, *level);
            }
            vapours.pass(&mut Vapours { wet, cells: &mut cells }, here, streams)?;
            for (cell, loads) in cells.iter_mut().zip(vapours.loads.chunks_exact(loads.len())) {
                cell.hold(loads);
            }
        }
        water.give(waters);
        vapours.give(loads);
        Ok(())
    }
}

/// Some components on their way through a stretch: lists run over the cells and in each over the components.
struct Spreading {
    faces: Faces,
    count: usize,
    /// Loads, mol/kg.
    loads: Vec<f64>,
    /// Levels within the cells, mol/m³.
    levels: Vec<f64>,
    /// Slope of the load gained by the level, per second; not a number where it is not known.
    gains: Vec<f64>,
    /// What of its uptake the face behind a cell lacks.
    lacks: Vec<f64>,
    /// What enters each cell, mol/m³, and what the face behind it takes from it, mol/(m² s).
    enters: Vec<f64>,
    leaves: Vec<f64>,
    /// Slopes of the levels by what enters, a block for each cell.
    slopes: Vec<f64>,
    taken: Vec<f64>,
    changes: Vec<f64>,
    blocks: Blocks,
}

impl Spreading {
    /// From `loads`, a list of cells for each component.
    fn new(faces: Faces, loads: &[Vec<f64>]) -> Self {
        let (count, cells) = (loads.len(), loads.first().map_or(0, Vec::len));
        let loads: Vec<f64> = (0..cells)
            .flat_map(|i| loads.iter().filter_map(move |list| list.get(i)))
            .copied()
            .collect();
        let none = vec![0.0; loads.len()];
        Self {
            faces,
            count,
            levels: none.clone(),
            gains: vec![f64::NAN; loads.len()],
            lacks: none.clone(),
            enters: none.clone(),
            leaves: none.clone(),
            slopes: vec![0.0; loads.len() * count],
            taken: vec![0.0; count],
            changes: none,
            blocks: Blocks::new(count),
            loads,
        }
    }

    /// Writes the loads as a list of cells for each component.
    fn give(&self, lists: &mut [Vec<f64>]) {
        for (k, list) in lists.iter_mut().enumerate() {
            list.clear();
            list.extend(self.loads.iter().skip(k).step_by(self.count));
        }
    }

    /// A step of `dt` s that ends at `clock_s`: turns what enters in it, of `streams`, to what leaves.
    fn pass(
        &mut self,
        law: &mut impl Within,
        (step, dt, clock_s): (usize, f64, f64),
        streams: &mut [Vec<f64>],
    ) -> Result<(), MarchError> {
        let inlet: Vec<f64> = streams.iter().map(|stream| stream[step]).collect();
        let mut outlet = vec![0.0; self.count];
        if !self.part(law, (dt, dt), (&inlet, &mut outlet), 0) {
            return Err(MarchError::NotFound { clock_s });
        }
        for (stream, level) in streams.iter_mut().zip(outlet) {
            stream[step] = level;
        }
        Ok(())
    }

    /// A part of `dt` s of a step of `whole` s.
    fn part(
        &mut self,
        law: &mut impl Within,
        (dt, whole): (f64, f64),
        (inlet, outlet): (&[f64], &mut [f64]),
        halvings: u32,
    ) -> bool {
        let before = self.levels.clone();
        if self.balance(law, dt, inlet) {
            self.gain(dt, inlet);
            let leave = self.leaves.rchunks_exact(self.count).next().unwrap_or_default();
            for (level, leaves) in outlet.iter_mut().zip(leave) {
                *level += leaves / self.faces.velocity * (dt / whole);
            }
            return true;
        }
        if halvings == MOST_HALVINGS {
            return false;
        }
        self.levels = before;
        let half = (0.5 * dt, whole);
        self.part(law, half, (inlet, outlet), halvings + 1)
            && self.part(law, half, (inlet, outlet), halvings + 1)
    }

    /// Finds the levels of a step; whether it could.
    fn balance(&mut self, law: &mut impl Within, dt: f64, inlet: &[f64]) -> bool {
        self.weigh();
        let mut known = self.levels.clone();
        let (mut share, mut last) = (1.0, f64::INFINITY);
        for round in 0..MOST_ROUNDS {
            self.sweep(law, dt, (inlet, &known));
            let apart = self.levels.iter().zip(&known).map(|(level, known)| (level - known).abs());
            let apart: f64 = apart.sum();
            if !apart.is_finite() {
                return false;
            }
            if self.near(&known) {
                return true;
            }
            match round % CYCLE {
                0 => share = 1.0,
                1..NEWTON if apart > last => share = f64::max(0.5 * share, LEAST_SHARE),
                1..NEWTON if apart < GAINS * last => share = f64::min(2.0 * share, 1.0),
                1..NEWTON => {}
                _ => share = 0.0,
            }
            last = apart;
            if share > 0.0 {
                self.newton(&known);
            }
            self.advance(share, &mut known);
        }
        false
    }

    /// Moves `known` to the levels found and a `share` of what Newton's step adds to them.
    fn advance(&self, share: f64, known: &mut [f64]) {
        let n = self.count;
        for (at, (known, level)) in known.iter_mut().zip(&self.levels).enumerate() {
            let first = at / n * n;
            let slopes = self.slopes[at * n..(at + 1) * n].iter();
            let change: f64 = slopes.zip(&self.changes[first..first + n]).map(|(s, e)| s * e).sum();
            *known = (level + share * change).max(0.1 * level);
        }
    }

    /// What each face lacks of the uptake before it: all but nothing where the cell takes all that enters.
    fn weigh(&mut self) {
        let last = self.lacks.len() - self.count;
        for (at, (lacks, gains)) in self.lacks.iter_mut().zip(&self.gains).enumerate() {
            let (theta, _) = weight(self.faces.sorbent * gains / self.faces.velocity);
            let face = if at < last { self.faces.lacks } else { self.faces.outlet_lacks };
            *lacks = if gains.is_nan() { 0.0 } else { face * (1.0 - theta) };
        }
    }

    /// Solves cell after cell, with the levels behind each as `known`.
    fn sweep(&mut self, law: &mut impl Within, dt: f64, (inlet, known): (&[f64], &[f64])) {
        let n = self.count;
        let Faces { velocity, ahead, back, sorbent, .. } = self.faces;
        let cells = self.levels.len() / n;
        for cell in 0..cells {
            let own = cell * n..(cell + 1) * n;
            let both = self.faces.both(cell, cells);
            for (k, at) in own.clone().enumerate() {
                let comes = match at.checked_sub(n) {
                    Some(before) => self.leaves[before],
                    None => velocity * inlet[k],
                };
                let returns = known.get(at + n).map_or(0.0, |level| back * level);
                self.enters[at] = (comes + returns) / both;
            }
            let goes = if cell + 1 < cells { ahead } else { velocity };
            loop {
                for (taken, lacks) in self.taken.iter_mut().zip(&self.lacks[own.clone()]) {
                    *taken = (1.0 - lacks) * sorbent / (dt * both);
                }
                let asked = Asked {
                    taken: &self.taken,
                    dt,
                    enters: &self.enters[own.clone()],
                    loads: &self.loads[own.clone()],
                };
                let blocks = cell * n * n..(cell + 1) * n * n;
                law.within(cell, &asked, &mut self.levels[own.clone()], &mut self.slopes[blocks]);
                let mut whole = true;
                for at in own.clone() {
                    let uptake =
                        both * (self.enters[at] - self.levels[at]) / (1.0 - self.lacks[at]);
                    self.leaves[at] = goes * self.levels[at] - self.lacks[at] * uptake;
                    if self.leaves[at] < 0.0 {
                        self.lacks[at] = 0.0;
                        whole = false;
                    }
                }
                if whole {
                    break;
                }
            }
        }
    }

    /// Whether what the levels found would bring back is what those `known` brought.
    fn near(&self, known: &[f64]) -> bool {
        let greatest = self.levels.iter().copied().fold(0.0, f64::max);
        let pairs = self.levels.iter().zip(known).skip(self.count);
        pairs.into_iter().all(|(level, known)| {
            let allowed = NEAR * self.faces.velocity + ROUNDING * self.faces.back;
            self.faces.back * (level - known).abs() <= allowed * (level + LEAST * greatest)
        })
    }

    /// Fills `changes` with what the levels found, instead of those `known`, change in what enters.
    fn newton(&mut self, known: &[f64]) {
        let n = self.count;
        let Faces { ahead, back, .. } = self.faces;
        let cells = self.levels.len() / n;
        self.blocks.begin();
        let (mut before, mut behind) = (vec![0.0; n * n], vec![0.0; n * n]);
        let mut right = vec![0.0; n];
        for cell in 0..cells {
            behind.fill(0.0);
            right.fill(0.0);
            if cell + 1 < cells {
                let slopes = &self.slopes[(cell + 1) * n * n..(cell + 2) * n * n];
                for (to, slope) in behind.iter_mut().zip(slopes) {
                    *to = back * slope;
                }
                for (k, right) in right.iter_mut().enumerate() {
                    let at = (cell + 1) * n + k;
                    *right = back * (self.levels[at] - known[at]);
                }
            }
            let both = self.faces.both(cell, cells);
            self.blocks.eliminate(both, &before, &behind, &right);
            for k in 0..n {
                let at = cell * n + k;
                let lacks = self.lacks[at] * both / (1.0 - self.lacks[at]);
                for j in 0..n {
                    before[k * n + j] = (ahead + lacks) * self.slopes[at * n + j];
                }
                before[k * n + k] -= lacks;
            }
        }
        self.blocks.finish(&mut self.changes);
    }

    /// Adds to each load what its faces leave in the cell.
    fn gain(&mut self, dt: f64, inlet: &[f64]) {
        let n = self.count;
        let cells = self.loads.len() / n;
        let Faces { velocity, back, sorbent, .. } = self.faces;
        for (at, load) in self.loads.iter_mut().enumerate() {
            let carried = |before: usize| {
                self.leaves[before] - self.levels.get(before + n).map_or(0.0, |level| back * level)
            };
            let comes = at.checked_sub(n).map_or_else(|| velocity * inlet[at], carried);
            *load = (*load + (comes - carried(at)) * dt / sorbent).max(0.0);
            // The slope of a cell's own level tells that of its load.
            let own = self.slopes[at * n + at % n];
            let taken = (1.0 - self.lacks[at]) * sorbent / self.faces.both(at / n, cells);
            self.gains[at] = (1.0 / own - 1.0).max(0.0) / taken;
        }
    }
}
