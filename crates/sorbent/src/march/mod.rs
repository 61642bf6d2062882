//! The bed itself, marched through time: real work, mixtures, rests.
//!
//! Plug flow without axial dispersion at constant temperature within a segment:
//! `eps dc/dt + u dc/dz + rho dq/dt = 0`, and for each component an uptake law towards local
//! balance. In the frame that moves with the gas the first term vanishes, and each cell of the grid of
//! place and time is advanced by itself: what leaves one cell enters the next.
//!
//! **Scheme.** In time the uptake is integrated exactly for the level within the cell; in space that
//! level lies between inlet and outlet, evenly for a thin cell and nearer the outlet for a thick one
//! (see `scheme::weight`), with the thickness taken from the step before. Second order where the
//! solution is smooth; what a cell keeps is what its load gains, so that nothing is made or lost;
//! levels never become negative, whatever the step.
//!
//! **Low end.** Dubinin-Radushkevich has no Henry constant. Below the level at which load over level
//! is greatest, the straight line through the origin takes over ([`Equilibrium::Dubinin`]). Moving
//! where the line begins up to a hundredth of the pores changes no time of a vapour that fills more than a
//! few hundredths of them; of a weak vapour at a trace it decides the first breakthrough
//! (`low_end` tells by how much). The closed form refuses what fills less than a thousandth.
//!
//! **Dispersion.** [`run_dispersed`] marches the same cases with axial dispersion (see `dispersed`).
//!
//! **Water.** A component of water shares the pores with the vapours (see `humid`).
//!
//! **Rest.** Between uses the load spreads through the gas between the granules (see `rest`).
//!
//! **Heat.** None is followed. Temperature enters by the components alone, and each segment may bring its
//! own (`Segment::components`): curve, rate and level of saturated air at its temperature. A balance of
//! heat would stand where a segment's components are taken for a stretch (`track`) and, cell by cell, where
//! a law advances the load ([`LocalLaw`]): what the load gains is at hand there.
//!
//! **Error.** A march is made on two grids; see [`Arrival::error_s`].
//!
//! Sources: the balance and the linear driving force are textbook matter (Glueckauf 1955, from
//! memory); the scheme is derived here and checked against closed forms and against the
//! grid-converged references of `data/checks/bed`.

mod alone;
mod blocks;
mod breath;
mod dispersed;
mod dubinin;
mod effluent;
mod error;
mod humid;
mod ideal;
mod input;
mod lanes;
mod law;
#[cfg(test)]
mod low_end;
mod plan;
mod rest;
mod scheme;
mod single;
mod still;
mod together;
mod track;
mod within;

pub use breath::{Breathed, Breathing, RATE_BY_VELOCITY, breathed};
pub use dispersed::run_dispersed;
pub use effluent::{Arrival, Balance, Effluent, Peak};
pub use error::MarchError;
pub use input::{
    Column, Component, Equilibrium, Moisture, Path, Segment, SegmentKind, Settings,
    USUAL_WATER_RATE_PER_S, Uptake,
};
pub use law::LocalLaw;

use ideal::Tables;
use plan::Plan;
use track::Bed;

/// Marches `components` through `column` under `segments`.
///
/// Starts from a fresh bed. Refuses, by name, numbers that are not numbers or lie where no bed does,
/// levels above saturation, lists of unequal length and a case in which no air passes. The work is
/// bounded: beyond 24,000 steps on the coarse grid (40 for each segment, if more) steps are lengthened,
/// and the error estimate says what that costs.
///
/// Neighbouring segments that differ in nothing but duration are taken as one.
pub fn run(
    column: &Column,
    components: &[Component],
    segments: &[Segment],
    settings: &Settings,
) -> Result<Effluent, MarchError> {
    input::check(column, components, segments, settings)?;
    all(column, components, segments, (settings, None))
}

/// Marches what was checked, with axial dispersion, m²/s, where there is one.
fn all(
    column: &Column,
    components: &[Component],
    segments: &[Segment],
    (settings, dispersion_m2_s): (&Settings, Option<f64>),
) -> Result<Effluent, MarchError> {
    let segments = merged(segments);
    let end_s = segments.iter().map(|segment| segment.duration_s).sum();
    let coarse = Plan::coarse(column, components, &segments, settings)?;
    let fine = coarse.refined(&segments);
    let mut tables = Tables::default();
    let mut march = |plan: &Plan| {
        let bed = Bed::new(column, components, plan, (settings, dispersion_m2_s));
        bed.march(components, &segments, (plan, &mut tables))
    };
    let coarse = settings.estimate.then(|| march(&coarse)).transpose()?;
    Ok(Effluent::new(march(&fine)?, coarse, end_s))
}

/// Neighbours that differ only in duration become one segment.
fn merged(segments: &[Segment]) -> Vec<Segment> {
    let mut merged: Vec<Segment> = Vec::with_capacity(segments.len());
    for segment in segments {
        match merged.last_mut() {
            Some(last) if alike(last, segment) => last.duration_s += segment.duration_s,
            _ => merged.push(segment.clone()),
        }
    }
    merged
}

fn alike(a: &Segment, b: &Segment) -> bool {
    let same_inlet = !a.flows() || a.inlet_mol_m3 == b.inlet_mol_m3;
    let same_velocity = !a.flows() || a.velocity_m_s == b.velocity_m_s;
    a.kind == b.kind && same_inlet && same_velocity && a.components == b.components
}
