//! What a march gives: levels at the outlet, times to a level, loads, the balance.

use super::track::{Piece, Track};

/// What is added to every estimate, as a part of the step at the crossing.
const LEAST_ERROR: f64 = 0.004;

/// Levels beside the one asked for, as parts of it, whose errors count with a quarter of their size.
const NEIGHBOURS: [f64; 2] = [0.7, 1.4];

/// The outcome of one march.
#[derive(Debug, Clone, PartialEq)]
pub struct Effluent {
    fine: Track,
    coarse: Option<Track>,
    end_s: f64,
}

/// When a level is first reached at the outlet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arrival {
    /// Since the start, rests included, s.
    pub clock_s: f64,
    /// Counted only while air passes, s.
    pub in_use_s: f64,
    /// Estimate of the error that the grid leaves in both, s; none where the march was told not
    /// to estimate. Not the error of the model or of its inputs.
    pub error_s: Option<f64>,
}

/// The greatest level at the outlet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peak {
    /// Level, mol/m³.
    pub level_mol_m3: f64,
    /// When, s since the start.
    pub clock_s: f64,
}

/// Where the amount of one component went, mol per m² of bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// Held at the start: water of storage.
    pub began: f64,
    /// Entered with the air.
    pub fed: f64,
    /// Left with the air.
    pub passed: f64,
    /// Lost through open faces at rest.
    pub lost: f64,
    /// Held at the end.
    pub held: f64,
    /// What does not add up, relative to what entered or was there; zero where nothing was.
    pub relative_error: f64,
}

impl Effluent {
    pub(super) fn new(fine: Track, coarse: Option<Track>, end_s: f64) -> Self {
        Self { fine, coarse, end_s }
    }

    /// Middle of each step at the outlet, s since the start, rests included.
    #[must_use]
    pub fn clock_s(&self) -> &[f64] {
        &self.fine.clock_s
    }

    /// The same counted only while air passes.
    #[must_use]
    pub fn in_use_s(&self) -> &[f64] {
        &self.fine.in_use_s
    }

    /// Level of `component` at the outlet, mean over each step, mol/m³; empty for one that is not
    /// there.
    #[must_use]
    pub fn outlet_mol_m3(&self, component: usize) -> &[f64] {
        self.fine.outlet.get(component).map_or(&[], Vec::as_slice)
    }

    /// Load of `component` in each cell from inlet to outlet at the end, mol/kg.
    #[must_use]
    pub fn load_mol_kg(&self, component: usize) -> &[f64] {
        self.fine.load.get(component).map_or(&[], Vec::as_slice)
    }

    /// Where the amount of `component` went.
    #[must_use]
    pub fn balance(&self, component: usize) -> Balance {
        let of = |list: &[f64]| list.get(component).copied().unwrap_or(0.0);
        let (fed, passed) = (of(&self.fine.fed), of(&self.fine.passed));
        let lost = of(&self.fine.lost);
        let held = self.load_mol_kg(component).iter().sum::<f64>() * self.fine.sorbent;
        let began = of(&self.fine.began);
        let missing = began + fed - passed - lost - held;
        let given = began + fed;
        let relative_error = if given > 0.0 { missing / given } else { 0.0 };
        Balance { began, fed, passed, lost, held, relative_error }
    }

    /// First time at which `component` reaches `level_mol_m3` at the outlet; none where it never
    /// does.
    #[must_use]
    pub fn arrival(&self, component: usize, level_mol_m3: f64) -> Option<Arrival> {
        self.arrive(&|track: &Track, step: usize| {
            let outlet = track.outlet.get(component).and_then(|levels| levels.get(step));
            outlet.copied().unwrap_or(0.0) / level_mol_m3
        })
    }

    /// First time at which the sum of level over limit reaches one: the rule for contaminants that
    /// act alike. `limits_mol_m3` in the order of the components; one without a limit is
    /// infinite.
    #[must_use]
    pub fn arrival_together(&self, limits_mol_m3: &[f64]) -> Option<Arrival> {
        self.arrive(&|track: &Track, step: usize| {
            let pairs = track.outlet.iter().zip(limits_mol_m3);
            pairs.map(|(levels, limit)| levels.get(step).copied().unwrap_or(0.0) / limit).sum()
        })
    }

    /// The greatest level of `component` at the outlet; above the inlet where a stronger vapour
    /// pushes it out.
    #[must_use]
    pub fn peak(&self, component: usize) -> Option<Peak> {
        let levels = self.outlet_mol_m3(component).iter().zip(self.clock_s());
        let (level, clock) = levels.max_by(|a, b| a.0.total_cmp(b.0))?;
        Some(Peak { level_mol_m3: *level, clock_s: *clock })
    }

    fn arrive(&self, part: &impl Fn(&Track, usize) -> f64) -> Option<Arrival> {
        let fine = crossing(&self.fine, &|step| part(&self.fine, step))?;
        let error_s = self.coarse.as_ref().map(|coarse| {
            let coarser = crossing(coarse, &|step| part(coarse, step));
            let coarser = coarser.map_or(self.end_s, |crossing| crossing.clock_s);
            // The error changes its sign along a front; where it does its neighbours tell its size.
            let [below, above] = NEIGHBOURS.map(|times| {
                let [here, there] = [&self.fine, coarse]
                    .map(|track| crossing(track, &|step| part(track, step) / times));
                let (Some(here), Some(there)) = (here, there) else { return 0.0 };
                let rested = [&here, &there].map(|c| c.clock_s - c.in_use_s);
                let same = rested.iter().all(|s| (s - (fine.clock_s - fine.in_use_s)).abs() < 1e-6);
                if same { 0.25 * (there.clock_s - here.clock_s).abs() } else { 0.0 }
            });
            let difference = (coarser - fine.clock_s).abs().max(below).max(above);
            // Second order: the coarse grid's error is four times the fine one's, so that their
            // difference is three times the latter.
            difference / 3.0 + LEAST_ERROR * fine.step_s
        });
        Some(Arrival { clock_s: fine.clock_s, in_use_s: fine.in_use_s, error_s })
    }
}

/// A crossing on one grid.
struct Crossing {
    clock_s: f64,
    in_use_s: f64,
    step_s: f64,
}

/// First crossing of one by `part`, which is known at the middle of each step. Within a piece the
/// curve between two middles is a cubic that neither overshoots nor falls where the values rise;
/// nothing is read across a change of air.
fn crossing(track: &Track, part: &impl Fn(usize) -> f64) -> Option<Crossing> {
    for piece in &track.pieces {
        let Some(step) = piece.steps.clone().find(|step| part(*step) >= 1.0) else { continue };
        let step_s = track.step_s.get(step).copied().unwrap_or(0.0);
        if step == piece.steps.start {
            let (clock_s, in_use_s) = (piece.began_s, piece.in_use_s);
            return Some(Crossing { clock_s, in_use_s, step_s });
        }
        let at = |step: usize| Some((*track.clock_s.get(step)?, part(step)));
        let within = between(piece, step, &at)?;
        let past = within - track.clock_s.get(step)?;
        let in_use_s = track.in_use_s.get(step)? + past;
        return Some(Crossing { clock_s: within, in_use_s, step_s });
    }
    None
}

/// Time of the crossing of one between the middles of `step - 1` and `step`.
fn between(piece: &Piece, step: usize, at: &impl Fn(usize) -> Option<(f64, f64)>) -> Option<f64> {
    let inside = |step: Option<usize>| step.filter(|s| piece.steps.contains(s)).and_then(at);
    let before = step.checked_sub(1);
    let ((t0, y0), (t1, y1)) = (inside(before)?, at(step)?);
    let width = t1 - t0;
    let rise = (y1 - y0) / width;
    let slope = |other: Option<(f64, f64)>, from: (f64, f64)| match other {
        Some((t, y)) => limited(((from.1 - y) / (from.0 - t), (from.0 - t).abs()), (rise, width)),
        None => rise,
    };
    let s0 = slope(inside(before.and_then(|b| b.checked_sub(1))), (t0, y0));
    let s1 = slope(inside(step.checked_add(1)), (t1, y1));
    let curve = |u: f64| {
        let (a, b) = (width * s0 - (y1 - y0), width * s1 - (y1 - y0));
        y0 + u * (y1 - y0) + u * (1.0 - u) * (a * (1.0 - u) - b * u)
    };
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..50 {
        let middle = 0.5 * (low + high);
        if curve(middle) < 1.0 { low = middle } else { high = middle }
    }
    Some(t0 + width * high)
}

/// Slope at a point between two intervals of `(slope, width)` that keeps the curve monotone: their
/// weighted harmonic mean, zero at a turn.
///
/// Source: Fritsch and Butland 1984, SIAM J. Sci. Stat. Comput. 5:300 (from memory).
fn limited((s0, w0): (f64, f64), (s1, w1): (f64, f64)) -> f64 {
    if s0 * s1 <= 0.0 {
        return 0.0;
    }
    3.0 * (w0 + w1) / ((2.0 * w1 + w0) / s0 + (2.0 * w0 + w1) / s1)
}
