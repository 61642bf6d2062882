//! One vapour in a bed with axial dispersion.
//!
//! `u dc/dz - eps D d2c/dz2 + rho dq/dt = 0`, total flux given at the inlet (Danckwerts 1953, from memory), no
//! gradient at the outlet. The gas between the granules is taken as following at once, with its passage
//! added to the clock. All cells of a step hang together: the loads that the levels would balance
//! are the unknowns, found by Newton's steps on a tridiagonal system. Level as a function of such a
//! load is convex and its matrix never has a sign to lose, so the search ends from any start.
//!
//! Faces carry the exact flux of a level that moves and spreads between two cells (Scharfetter and
//! Gummel 1969, from memory): second order where the cell is fine, upwind where it is not, never
//! negative. A law of energy could be added as a second unknown of each cell: [`Spreading`] asks of the
//! bed only a level and its slope for each cell.

use super::effluent::Effluent;
use super::input::{self, Column, Component, Segment, Settings, Uptake};
use super::law::Curve;
use super::plan::{Plan, as_f64};
use super::track::Track;
use super::{Equilibrium, MarchError, merged};

/// Newton's steps before the last one stands.
const MOST_STEPS: u32 = 60;
/// Change of the greatest unknown, relative to it, that ends them.
const NEAR: f64 = 1e-11;
/// Cells for each of the usual march: the front is resolved by all cells together here.
const FINER: f64 = 3.0;

/// Marches one `component` through `column` under `segments` with axial dispersion `dispersion_m2_s`,
/// m²/s, that of the gas between the granules.
///
/// As [`super::run`] otherwise. Refuses what that refuses, rests, a component whose balance has no level
/// of its own (reaction) and a rate of second order.
pub fn run_dispersed(
    column: &Column,
    component: &Component,
    segments: &[Segment],
    dispersion_m2_s: f64,
    settings: &Settings,
) -> Result<Effluent, MarchError> {
    let components = std::slice::from_ref(component);
    input::check(column, components, segments, settings)?;
    input::within("axial dispersion in m2/s", dispersion_m2_s, (1e-12, 1.0))?;
    let spreads = |component: &Component| {
        let driven = matches!(component.uptake, Uptake::DrivingForce { .. });
        driven && !matches!(component.equilibrium, Equilibrium::Reaction { .. })
    };
    let segments = merged(segments);
    if !segments.iter().all(|s| s.flows() && s.components(components).iter().all(spreads)) {
        return Err(MarchError::NotDispersed { name: component.name.clone() });
    }
    let end_s = segments.iter().map(|segment| segment.duration_s).sum();
    let finer = Settings { fineness: (settings.fineness * FINER).min(32.0), ..*settings };
    let coarse = Plan::coarse(column, components, &segments, &finer)?;
    let march = |plan: &Plan| {
        let mut track = Track::fresh(column, components, plan.cells);
        let mut loads = vec![0.0; plan.cells];
        let mut began_s = 0.0;
        for (segment, lengths) in segments.iter().zip(&plan.steps) {
            let own = segment.components(components);
            let stream = own.first().map(|component| {
                let spreading = Spreading::new(column, component, segment, dispersion_m2_s, &loads);
                spreading.march(lengths, segment.inlet(components, 0), &mut loads)
            });
            let streams = stream.iter().map(Vec::as_slice);
            track.record(column, (segment, own), (began_s, began_s), (lengths, streams));
            began_s += segment.duration_s;
        }
        track.load = vec![loads];
        track
    };
    let fine = march(&coarse.refined(&segments));
    let coarse = settings.estimate.then(|| march(&coarse));
    Ok(Effluent::new(fine, coarse, end_s))
}

/// One segment.
struct Spreading {
    curve: Curve,
    per_s: f64,
    /// Sorbent in one cell, kg/m².
    sorbent: f64,
    velocity: f64,
    /// What a face takes from the cell before it and from the one behind it, m/s.
    ahead: f64,
    back: f64,
}

impl Spreading {
    fn new(
        column: &Column,
        component: &Component,
        segment: &Segment,
        dispersion: f64,
        loads: &[f64],
    ) -> Self {
        let dz = column.depth_m / as_f64(loads.len());
        let velocity = segment.velocity_m_s;
        let back = velocity / (velocity * dz / (column.void_fraction * dispersion)).exp_m1();
        let per_s = match component.uptake {
            Uptake::DrivingForce { per_s } => per_s,
            Uptake::SecondOrder { .. } => 0.0,
        };
        Self {
            curve: Curve::new(&component.equilibrium),
            per_s,
            sorbent: column.bulk_density_kg_m3 * dz,
            velocity,
            ahead: velocity + back,
            back,
        }
    }

    /// Levels that leave at each step of `lengths`; moves `loads`.
    fn march(&self, lengths: &[f64], inlet: f64, loads: &mut [f64]) -> Vec<f64> {
        let mut targets = loads.to_vec();
        let leaves = lengths.iter().map(|dt| {
            let reached = -(-self.per_s * dt).exp_m1();
            let taken = self.sorbent * reached / dt;
            let last = self.balance((taken, inlet), loads, &mut targets);
            for (load, target) in loads.iter_mut().zip(&targets) {
                *load += reached * (target - *load);
            }
            last
        });
        leaves.collect()
    }

    /// Moves `targets` to the loads that the levels of this step balance; gives the level that leaves.
    fn balance(&self, (taken, inlet): (f64, f64), loads: &[f64], targets: &mut [f64]) -> f64 {
        let last = loads.len().saturating_sub(1);
        // No level rises above that which enters or is in balance with some load.
        let most = loads.iter().copied().fold(self.curve.load(inlet).0, f64::max);
        let mut levels: Vec<(f64, f64)> = targets.iter().map(|q| self.curve.level(*q)).collect();
        for _ in 0..MOST_STEPS {
            let changes = self.newton((taken, inlet), loads, targets, &levels);
            let mut greatest: f64 = 0.0;
            let mut change: f64 = 0.0;
            for ((target, by), level) in targets.iter_mut().zip(changes).zip(&mut levels) {
                let next = (*target + by).max(0.1 * *target).min(most);
                change = change.max((next - *target).abs());
                greatest = greatest.max(next);
                *target = next;
                *level = self.curve.level(next);
            }
            if change <= NEAR * greatest {
                break;
            }
        }
        levels.get(last).map_or(0.0, |level| level.0)
    }

    /// Changes of all targets by one Newton step: elimination with pivots that are sums of positive parts.
    fn newton(
        &self,
        (taken, inlet): (f64, f64),
        loads: &[f64],
        targets: &[f64],
        levels: &[(f64, f64)],
    ) -> Vec<f64> {
        let count = loads.len();
        let level = |i: Option<usize>| i.and_then(|i| levels.get(i)).copied().unwrap_or_default();
        let mut rows: Vec<(f64, f64)> = Vec::with_capacity(count);
        // Of the cell before: its pivot, the part of it that does not go on, its right side.
        let (mut pivot, mut stays, mut right) = (1.0, 0.0, 0.0);
        for (i, (load, target)) in loads.iter().zip(targets).enumerate() {
            let (first, last) = (i == 0, i + 1 == count);
            let (before, here) = (level(i.checked_sub(1)), level(Some(i)));
            let after = level(i.checked_add(1));
            let enters = if first {
                self.velocity * inlet
            } else {
                self.ahead * before.0 - self.back * here.0
            };
            let leaves = if last {
                self.velocity * here.0
            } else {
                self.ahead * here.0 - self.back * after.0
            };
            let missing = enters - leaves - taken * (target - load);
            let goes_on = if last { self.velocity } else { self.ahead };
            let from = if first { 0.0 } else { self.ahead * before.1 / pivot };
            let back = if first { 0.0 } else { stays / pivot };
            right = missing + from * right;
            stays = taken.max(f64::MIN_POSITIVE) + self.back * here.1 * back;
            pivot = stays + goes_on * here.1;
            rows.push((pivot, right));
        }
        let mut changes = vec![0.0; count];
        let mut after = 0.0;
        for (i, ((pivot, right), change)) in rows.iter().zip(&mut changes).enumerate().rev() {
            let slope = level(i.checked_add(1)).1;
            after = (right + self.back * slope * after) / pivot;
            *change = after;
        }
        changes
    }
}
