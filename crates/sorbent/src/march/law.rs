//! Uptake laws that a cell can be given, and the march of cells one at a time.

use super::dubinin::Dubinin;
use super::humid::Water;
use super::input::{Component, Equilibrium, Uptake};
use super::scheme::weight;

/// How the load of one place changes while the level there stands still.
///
/// Laws are monotone: more vapour in the gas never means less load after the step.
pub trait LocalLaw {
    /// Load, mol/kg, after `dt` s at level `c`, mol/m³, from load `q`, and its derivative by `c`.
    fn advance(&self, c: f64, q: f64, dt: f64) -> (f64, f64);
}

/// `dq/dt = k (q*(c) - q)` on any curve.
#[derive(Debug, Clone, Copy)]
pub(super) struct DrivingForce {
    curve: Curve,
    per_s: f64,
}

/// Equilibrium curves.
#[derive(Debug, Clone, Copy)]
pub(super) enum Curve {
    Dubinin(Dubinin),
    Linear { henry: f64 },
    Langmuir { full: f64, affinity: f64 },
    Reaction { full: f64 },
    Water(Water),
}

impl Curve {
    pub fn new(equilibrium: &Equilibrium) -> Self {
        match *equilibrium {
            Equilibrium::Dubinin { full_mol_kg, b, saturation_mol_m3 } => {
                Self::Dubinin(Dubinin::new(full_mol_kg, b, saturation_mol_m3))
            }
            Equilibrium::Linear { henry_m3_kg } => Self::Linear { henry: henry_m3_kg },
            Equilibrium::Langmuir { full_mol_kg, affinity_m3_mol } => {
                Self::Langmuir { full: full_mol_kg, affinity: affinity_m3_mol }
            }
            Equilibrium::Reaction { full_mol_kg } => Self::Reaction { full: full_mol_kg },
            Equilibrium::Water(moisture) => Self::Water(Water::new(&moisture)),
        }
    }

    /// Load in balance with level `c` and its slope.
    pub fn load(&self, c: f64) -> (f64, f64) {
        match self {
            Self::Dubinin(law) => (law.load(c), law.slope(c)),
            Self::Linear { henry } => (henry * c, *henry),
            Self::Langmuir { full, affinity } => {
                let open = 1.0 + affinity * c;
                (full * affinity * c / open, full * affinity / (open * open))
            }
            Self::Reaction { full } => (if c > 0.0 { *full } else { 0.0 }, 0.0),
            Self::Water(water) => water.load(c),
        }
    }

    /// Level in balance with load `q` and its slope.
    pub fn level(&self, q: f64) -> (f64, f64) {
        match self {
            Self::Dubinin(law) => law.level(q),
            Self::Linear { henry } => (q / henry, 1.0 / henry),
            Self::Langmuir { full, affinity } => {
                let open = (full - q).max(1e-9 * full);
                (q / (affinity * open), full / (affinity * open * open))
            }
            Self::Reaction { .. } => (0.0, 0.0),
            Self::Water(water) => water.level(q),
        }
    }
}

impl LocalLaw for DrivingForce {
    fn advance(&self, c: f64, q: f64, dt: f64) -> (f64, f64) {
        let reached = -(-self.per_s * dt).exp_m1();
        let (balance, slope) = self.curve.load(c);
        let reacts = matches!(self.curve, Curve::Reaction { .. });
        let target = if reacts && c <= 0.0 { q } else { balance };
        (q + reached * (target - q), reached * slope)
    }
}

/// `dq/dt = k1 (c (full - q) - q release)`.
#[derive(Debug, Clone, Copy)]
pub(super) struct SecondOrder {
    full: f64,
    /// Level at which half is held, mol/m³; zero for a reaction.
    release: f64,
    on: f64,
}

impl LocalLaw for SecondOrder {
    fn advance(&self, c: f64, q: f64, dt: f64) -> (f64, f64) {
        let speed = self.on * (c + self.release);
        let left = (-speed * dt).exp();
        // Mean over the step of what is left of the distance, times dt, and its derivative.
        let (span, bend) = if speed * dt < 1e-5 {
            (dt * (1.0 - 0.5 * speed * dt), -0.5 * dt * dt)
        } else {
            let span = -(-speed * dt).exp_m1() / speed;
            (span, (dt * left - span) / speed)
        };
        let drive = self.on * (c * (self.full - q) - q * self.release);
        (q + drive * span, self.on * (self.full - q) * span + drive * bend * self.on)
    }
}

/// The law of one component that shares nothing with others.
pub(super) enum Law {
    DrivingForce(DrivingForce),
    SecondOrder(SecondOrder),
}

impl Law {
    pub fn new(component: &Component) -> Self {
        match (component.uptake, component.equilibrium) {
            (Uptake::SecondOrder { m3_mol_s }, Equilibrium::Reaction { full_mol_kg }) => {
                Self::SecondOrder(SecondOrder { full: full_mol_kg, release: 0.0, on: m3_mol_s })
            }
            (
                Uptake::SecondOrder { m3_mol_s },
                Equilibrium::Langmuir { full_mol_kg, affinity_m3_mol },
            ) => Self::SecondOrder(SecondOrder {
                full: full_mol_kg,
                release: 1.0 / affinity_m3_mol,
                on: m3_mol_s,
            }),
            (Uptake::DrivingForce { per_s }, equilibrium) => {
                Self::DrivingForce(DrivingForce { curve: Curve::new(&equilibrium), per_s })
            }
            // INVARIANT (checked input): `input::check` refuses other pairs; a rate of zero holds
            // nothing and so cannot flatter.
            (Uptake::SecondOrder { .. }, equilibrium) => {
                Self::DrivingForce(DrivingForce { curve: Curve::new(&equilibrium), per_s: 0.0 })
            }
        }
    }
}

impl LocalLaw for Law {
    fn advance(&self, c: f64, q: f64, dt: f64) -> (f64, f64) {
        match self {
            Self::DrivingForce(law) => law.advance(c, q, dt),
            Self::SecondOrder(law) => law.advance(c, q, dt),
        }
    }
}

/// Marches cells one after another through steps of lengths `dt`; `bed` kg/m² over m/s is what one
/// cell holds over the velocity; `stream` holds what enters and is overwritten with what leaves.
/// `memory` keeps for each cell the derivative of its load by the level per second.
pub(super) fn march_cells(
    law: &impl LocalLaw,
    bed: f64,
    lengths: &[f64],
    stream: &mut [f64],
    (loads, memory): (&mut [f64], &mut [f64]),
) {
    for (load, memory) in loads.iter_mut().zip(memory) {
        for (dt, level) in lengths.iter().zip(stream.iter_mut()) {
            let per = bed / dt;
            if memory.is_nan() {
                *memory = law.advance(*level, *load, *dt).1 / dt;
            }
            let (theta, _) = weight(per * *memory * dt);
            let (within, slope) = within_cell(law, (theta * per, *dt), *level, *load);
            let out = (*level - (*level - within) / theta).max(0.0);
            *load = (*load + (*level - out) / per).max(0.0);
            *memory = slope / dt;
            *level = out;
        }
    }
}

/// Last move of a search for a level, relative to it; the step before it was its root at most.
const NEAR: f64 = 1e-12;

/// The level with `c + a (load after the step - load) = enters`, and the derivative of the load.
/// Newton's step within a bracket that every step narrows.
pub(super) fn within_cell(
    law: &impl LocalLaw,
    (a, dt): (f64, f64),
    enters: f64,
    load: f64,
) -> (f64, f64) {
    let misfit = |c: f64| {
        let (after, slope) = law.advance(c, load, dt);
        (c + a * (after - load) - enters, slope)
    };
    // With no vapour the cell can at most release; that much more than enters bounds the level.
    let (released, slope) = misfit(0.0);
    if released >= 0.0 {
        return (0.0, slope);
    }
    let (mut low, mut high) = (0.0, -released);
    let mut c = enters.clamp(low, high);
    let mut slope = slope;
    for _ in 0..200 {
        let (f, s) = misfit(c);
        slope = s;
        if f > 0.0 {
            high = c;
        } else {
            low = c;
        }
        let newton = c - f / (1.0 + a * s);
        let next = if low < newton && newton < high { newton } else { 0.5 * (low + high) };
        let moved = (next - c).abs();
        c = next;
        if moved <= NEAR * c || high - low <= NEAR * high {
            break;
        }
    }
    (c, slope)
}
