//! How many cells and which steps: one rule for every case.

use super::MarchError;
use super::input::{Column, Component, Equilibrium, Segment, Settings, Uptake};
use super::lanes::LANES;
use super::law::Curve;

/// Cells for each transfer unit of the bed, on the coarse grid.
const CELLS_PER_UNIT: f64 = 3.4;
/// Transfer units from which cells and steps grow only with their root: the front grows sharper
/// against the bed, and so does the time it is told by.
const SHARP_UNITS: f64 = 9.5;
/// Fewest and most cells on the coarse grid.
const CELLS: (usize, usize) = (24, 96);
/// Longest step as a part of the time in which a place comes to balance.
const STEP_PER_TIME: f64 = 0.06;
/// Shortest such step as a part of the time in which a front passes one cell.
const STEP_PER_CELL: f64 = 0.24;
/// Once all fronts have passed, steps grow with the time since the segment began.
const STEP_PER_ELAPSED: f64 = 0.012;
/// First step of a segment as a part of the longest, and the greatest first step, s.
const FIRST_STEP: (f64, f64) = (1.0 / 16.0, 10.0);
/// From one step to the next, at the start of a segment.
const GROWTH: f64 = 1.5;
/// Steps of a rest, each twice as long as the one before.
const REST_STEPS: i32 = 6;
/// Most steps on the coarse grid; beyond them steps are lengthened until they fit.
const MOST_STEPS: usize = 24_000;

/// The grid of one march.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Plan {
    /// Cells along the bed; a multiple of [`LANES`] (INVARIANT: whole strips).
    pub cells: usize,
    /// Lengths of the steps of each segment, s.
    pub steps: Vec<Vec<f64>>,
}

/// What one component asks of the steps of one segment.
#[derive(Debug, Clone, Copy)]
struct Demand {
    /// Longest step while its front is in the bed, s.
    step: f64,
    /// Time from which the front has passed, s.
    until: f64,
}

impl Plan {
    /// The coarse grid of a case.
    pub fn coarse(
        column: &Column,
        components: &[Component],
        segments: &[Segment],
        settings: &Settings,
    ) -> Result<Self, MarchError> {
        let fine = settings.fineness;
        let scales = scales(column, components, segments);
        let units = scales.iter().flatten().map(|(units, _)| *units).fold(0.0, f64::max);
        let wanted = (CELLS_PER_UNIT * units / sharpness(units)).max(as_f64(CELLS.0)) * fine;
        let most = as_f64(CELLS.1) * fine;
        let mut cells = LANES;
        while as_f64(cells) < wanted.min(most) {
            cells += LANES;
        }
        let mut stretch = 1.0 / fine;
        loop {
            let demands = |scales: &[(f64, f64)]| -> Vec<Demand> {
                scales.iter().map(|scale| demand(*scale, cells, stretch)).collect()
            };
            let steps: Vec<Vec<f64>> = segments
                .iter()
                .zip(&scales)
                .map(|(segment, scales)| segment_steps(segment, &demands(scales), stretch))
                .collect();
            let count = steps.iter().map(Vec::len).sum::<usize>();
            let room = MOST_STEPS.max(segments.len() * 40);
            if count <= room {
                return Ok(Self { cells, steps });
            }
            stretch *= 1.5;
            if stretch > 1e12 {
                return Err(MarchError::TooMany { what: "steps", count, most: room });
            }
        }
    }

    /// Twice the cells, twice the steps; four times the steps of a rest, whose error falls only
    /// in proportion to them.
    pub fn refined(&self, segments: &[Segment]) -> Self {
        let split = |(steps, segment): (&Vec<f64>, &Segment)| {
            let parts: u8 = if segment.flows() { 2 } else { 4 };
            let part = |dt: &f64| std::iter::repeat_n(*dt / f64::from(parts), usize::from(parts));
            steps.iter().flat_map(part).collect()
        };
        Self { cells: self.cells * 2, steps: self.steps.iter().zip(segments).map(split).collect() }
    }
}

/// Transfer units of each component in each segment, and the time its front takes, s. A segment
/// of clean air is judged by the greatest level that ever enters.
fn scales(column: &Column, components: &[Component], segments: &[Segment]) -> Vec<Vec<(f64, f64)>> {
    let highest =
        |index: usize| segments.iter().map(|s| s.inlet(components, index)).fold(0.0, f64::max);
    let peaks: Vec<f64> = (0..components.len()).map(highest).collect();
    let scale = |segment: &Segment| {
        if !segment.flows() {
            return Vec::new();
        }
        let present = segment.components(components).iter().zip(&peaks).enumerate();
        present
            .filter(|(_, (_, peak))| **peak > 0.0)
            .map(|(index, (component, peak))| {
                let level = segment.inlet(components, index);
                let level = if level > 0.0 { level } else { *peak };
                let (ratio, rate) = ratio_and_rate(component, level);
                let passes =
                    column.bulk_density_kg_m3 * column.depth_m * ratio / segment.velocity_m_s;
                (rate * passes, passes)
            })
            .collect()
    };
    segments.iter().map(scale).collect()
}

/// Load over level, m³/kg, and rate towards balance, 1/s, at `level`.
fn ratio_and_rate(component: &Component, level: f64) -> (f64, f64) {
    let ratio = Curve::new(&component.equilibrium).load(level).0 / level;
    let rate = match (component.uptake, component.equilibrium) {
        (Uptake::DrivingForce { per_s }, _) => per_s,
        (Uptake::SecondOrder { m3_mol_s }, Equilibrium::Langmuir { affinity_m3_mol, .. }) => {
            m3_mol_s * (level + 1.0 / affinity_m3_mol)
        }
        (Uptake::SecondOrder { m3_mol_s }, _) => m3_mol_s * level,
    };
    (ratio, rate)
}

/// By how much fewer cells and steps a sharp front needs than one for each transfer unit.
fn sharpness(units: f64) -> f64 {
    (units / SHARP_UNITS).max(1.0).sqrt()
}

fn demand((units, passes): (f64, f64), cells: usize, stretch: f64) -> Demand {
    let time = if units > 0.0 { passes / units } else { f64::INFINITY };
    let by_time = STEP_PER_TIME * time * sharpness(units);
    let by_cell = STEP_PER_CELL * passes / as_f64(cells) / stretch;
    Demand { step: by_time.max(by_cell) * stretch, until: 1.3 * passes + 4.0 * time }
}

/// Lengths of the steps of one segment.
fn segment_steps(segment: &Segment, demands: &[Demand], stretch: f64) -> Vec<f64> {
    let duration = segment.duration_s;
    if !segment.flows() {
        let first = duration / (2.0_f64.powi(REST_STEPS) - 1.0);
        return (0..REST_STEPS).map(|i| first * 2.0_f64.powi(i)).collect();
    }
    let grown = STEP_PER_ELAPSED * stretch;
    let longest = |elapsed: f64| {
        let of = |demand: &Demand| {
            let passed = elapsed > demand.until;
            if passed { demand.step.max(grown * elapsed) } else { demand.step }
        };
        demands.iter().map(of).fold(f64::INFINITY, f64::min).min(duration / 4.0)
    };
    let (part, most) = FIRST_STEP;
    let mut step = (longest(0.0) * part).min(most * stretch);
    let mut elapsed = 0.0;
    let mut steps = Vec::new();
    while elapsed < duration {
        let left = duration - elapsed;
        // No sliver at the end: what is left is taken whole or halved.
        let taken = if left <= 1.3 * step {
            left
        } else if left < 2.0 * step {
            0.5 * left
        } else {
            step
        };
        steps.push(taken);
        elapsed = if taken == left { duration } else { elapsed + taken };
        step = (step * GROWTH).min(longest(elapsed));
        if steps.len() > 50 * MOST_STEPS {
            break;
        }
    }
    steps
}

/// A count as a number; exact below 2^32, beyond which no grid reaches.
pub(super) fn as_f64(count: usize) -> f64 {
    f64::from(u32::try_from(count).unwrap_or(u32::MAX))
}
