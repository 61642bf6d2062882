//! The march of all components through all segments on one grid.

use super::MarchError;
use super::dispersed::{Faces, Stretch};
use super::dubinin::Dubinin;
use super::humid::{Flow, Water, Wet};
use super::ideal::{Guess, Ideal, Tables};
use super::input::{Column, Component, Equilibrium, Segment, SegmentKind, Settings, Uptake};
use super::law::{Curve, Law, march_cells};
use super::plan::{Plan, as_f64};
use super::rest::Rest;
use super::single::{Cells, Single};
use super::still::{Lone, Still};
use super::together::{Lists, Together};
use super::within::{Apart, Dry};
use crate::mixture::Sharing;

/// One march on one grid.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Track {
    /// Middle of each step at the outlet, s since the start.
    pub clock_s: Vec<f64>,
    /// The same counted only while air passes.
    pub in_use_s: Vec<f64>,
    /// Length of each step, s.
    pub step_s: Vec<f64>,
    /// Level of each component at the outlet, mean over each step, mol/m³.
    pub outlet: Vec<Vec<f64>>,
    /// Stretches with air passing.
    pub pieces: Vec<Piece>,
    /// Load of each component in each cell, mol/kg.
    pub load: Vec<Vec<f64>>,
    /// What the bed held at the start, what entered, left with the air and was lost at rest, mol per
    /// m² of bed.
    pub began: Vec<f64>,
    pub fed: Vec<f64>,
    pub passed: Vec<f64>,
    pub lost: Vec<f64>,
    /// Sorbent in one cell, kg/m².
    pub sorbent: f64,
}

impl Track {
    /// Nothing yet, of a bed of `cells`.
    pub fn fresh(column: &Column, components: &[Component], cells: usize) -> Self {
        let count = components.len();
        let sorbent = column.bulk_density_kg_m3 * column.depth_m;
        Self {
            began: components.iter().map(|component| at_start(component) * sorbent).collect(),
            outlet: vec![Vec::new(); count],
            fed: vec![0.0; count],
            passed: vec![0.0; count],
            lost: vec![0.0; count],
            sorbent: sorbent / as_f64(cells),
            ..Self::default()
        }
    }

    /// Adds a segment in which air passed, begun at the clock and the time in use of `began`:
    /// `streams` are the levels of each component that left at steps of `lengths`.
    pub fn record<'s>(
        &mut self,
        column: &Column,
        (segment, components): (&Segment, &[Component]),
        (began_s, in_use_s): (f64, f64),
        (lengths, streams): (&[f64], impl Iterator<Item = &'s [f64]>),
    ) {
        // The air that enters at the start of a step leaves this much later.
        let lag = column.void_fraction * column.depth_m / segment.velocity_m_s;
        let first = self.clock_s.len();
        let mut elapsed = 0.0;
        for dt in lengths {
            let middle = elapsed + 0.5 * dt;
            self.clock_s.push(began_s + middle + lag);
            self.in_use_s.push(in_use_s + middle + lag);
            self.step_s.push(*dt);
            elapsed += dt;
        }
        let steps = first..self.clock_s.len();
        self.pieces.push(Piece { steps, began_s, in_use_s });
        for (index, stream) in streams.enumerate() {
            let passed: f64 = stream.iter().zip(lengths).map(|(c, dt)| c * dt).sum();
            let level = segment.inlet(components, index);
            let fed: f64 = lengths.iter().map(|dt| level * dt).sum();
            let add = |to: &mut Vec<f64>, amount: f64| {
                if let Some(sum) = to.get_mut(index) {
                    *sum += amount * segment.velocity_m_s;
                }
            };
            add(&mut self.passed, passed);
            add(&mut self.fed, fed);
            if let Some(outlet) = self.outlet.get_mut(index) {
                outlet.extend_from_slice(stream);
            }
        }
    }
}

/// Load, mol/kg, of a component in a fresh bed.
fn at_start(component: &Component) -> f64 {
    match component.equilibrium {
        Equilibrium::Water(moisture) => Water::new(&moisture).stored(moisture.stored_humidity),
        _ => 0.0,
    }
}

/// A stretch with air passing: its steps and when it began.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Piece {
    pub steps: std::ops::Range<usize>,
    pub began_s: f64,
    pub in_use_s: f64,
}

/// The bed on its way through the segments.
pub(super) struct Bed<'a> {
    column: &'a Column,
    settings: &'a Settings,
    /// Axial dispersion while air passes, m²/s.
    dispersion_m2_s: Option<f64>,
    cells: Vec<Cells>,
    guesses: Vec<Guess<1>>,
    track: Track,
    began_s: f64,
    in_use_s: f64,
}

impl<'a> Bed<'a> {
    pub fn new(
        column: &'a Column,
        components: &[Component],
        plan: &Plan,
        (settings, dispersion_m2_s): (&'a Settings, Option<f64>),
    ) -> Self {
        let fresh = Cells {
            load: vec![0.0; plan.cells],
            ln_c: vec![0.0; plan.cells],
            slope: vec![f64::NAN; plan.cells],
        };
        let held = components.iter().map(at_start);
        let cells = held.map(|q| Cells { load: vec![q; plan.cells], ..fresh.clone() });
        Self {
            column,
            settings,
            dispersion_m2_s,
            cells: cells.collect(),
            guesses: vec![Guess::NONE; plan.cells],
            track: Track::fresh(column, components, plan.cells),
            began_s: 0.0,
            in_use_s: 0.0,
        }
    }

    /// Marches all segments.
    pub fn march(
        mut self,
        components: &[Component],
        segments: &[Segment],
        (plan, tables): (&Plan, &mut Tables),
    ) -> Result<Track, MarchError> {
        let mut known: Option<(&[Component], Shared)> = None;
        let timed: Vec<Timed<'_>> = segments.iter().zip(&plan.steps).collect();
        for stretch in timed.chunk_by(|(a, _), (b, _)| goes_on(components, a, b)) {
            let Some((segment, lengths)) = stretch.first() else { continue };
            let own = segment.components(components);
            let shared = match known.take() {
                Some((same, shared)) if std::ptr::eq(same, own) => shared,
                _ => Shared::of(own, self.settings.sharing, tables),
            };
            match segment.kind {
                SegmentKind::Rest { sealed } => {
                    self.rest(own, &shared, lengths, sealed);
                    self.began_s += segment.duration_s;
                }
                _ => self.flow(own, &shared, stretch, segment.velocity_m_s)?,
            }
            known = Some((own, shared));
        }
        self.track.load = self.cells.into_iter().map(|cells| cells.load).collect();
        Ok(self.track)
    }

    /// Marches a stretch in one go: the strips of cells take its steps as one list.
    fn flow(
        &mut self,
        components: &[Component],
        shared: &Shared,
        stretch: &[Timed<'_>],
        velocity: f64,
    ) -> Result<(), MarchError> {
        let lengths: Vec<f64> = stretch.iter().flat_map(|(_, lengths)| *lengths).copied().collect();
        let lengths = lengths.as_slice();
        let fed = |index: usize| {
            let level = |(segment, lengths): &Timed<'_>| {
                std::iter::repeat_n(segment.inlet(components, index), lengths.len())
            };
            stretch.iter().flat_map(level).collect()
        };
        let mut streams: Vec<Vec<f64>> = (0..components.len()).map(fed).collect();
        match self.dispersion_m2_s {
            Some(dispersion) => {
                self.flow_dispersed(
                    components,
                    shared,
                    (velocity, dispersion),
                    (lengths, &mut streams),
                )?;
            }
            None => self.flow_along(components, shared, velocity, (lengths, &mut streams)),
        }
        let mut first = 0;
        for (segment, lengths) in stretch {
            let steps = first..first + lengths.len();
            let own = streams.iter().map(|stream| stream.get(steps.clone()).unwrap_or_default());
            let began = (self.began_s, self.in_use_s);
            self.track.record(self.column, (segment, components), began, (lengths, own));
            self.began_s += segment.duration_s;
            self.in_use_s += segment.duration_s;
            first = steps.end;
        }
        Ok(())
    }

    /// Without dispersion: cell after cell, each through all steps.
    fn flow_along(
        &mut self,
        components: &[Component],
        shared: &Shared,
        velocity: f64,
        (lengths, streams): (&[f64], &mut [Vec<f64>]),
    ) {
        let bed = self.track.sorbent / velocity;
        match shared {
            Shared::Alone => {}
            Shared::Dry(ideal) => self.flow_together(components, ideal, (bed, lengths), streams),
            Shared::Wet(wet) => self.flow_wet(components, wet, (bed, lengths), streams),
        }
        let together = shared.members(components);
        for (index, component) in components.iter().enumerate() {
            if together.contains(&index) {
                continue;
            }
            let (Some(cells), Some(stream)) = (self.cells.get_mut(index), streams.get_mut(index))
            else {
                continue;
            };
            match dubinin_of(component) {
                Some((law, per_s)) => {
                    prepare(&law, cells);
                    let sorbent = self.track.sorbent;
                    let single = Single { law, per_s, sorbent, velocity, lengths };
                    single.march(self.settings.path, cells, stream);
                }
                None => {
                    cells.slope.fill(f64::NAN);
                    let law = Law::new(component);
                    march_cells(&law, bed, lengths, stream, (&mut cells.load, &mut cells.slope));
                }
            }
        }
    }

    fn flow_together(
        &mut self,
        components: &[Component],
        ideal: &Ideal,
        (bed, lengths): (f64, &[f64]),
        streams: &mut [Vec<f64>],
    ) {
        let members = members(components);
        let mut per_s = Vec::with_capacity(members.len());
        let mut loads = Vec::with_capacity(members.len());
        let mut slopes = Vec::with_capacity(members.len());
        let mut own = Vec::with_capacity(members.len());
        for index in &members {
            let (Some((law, rate)), Some(cells), Some(stream)) = (
                components.get(*index).and_then(dubinin_of),
                self.cells.get_mut(*index),
                streams.get_mut(*index),
            ) else {
                continue;
            };
            per_s.push(rate);
            loads.push(std::mem::take(&mut cells.load));
            let mut slope = std::mem::take(&mut cells.slope);
            slope.iter_mut().filter(|s| s.is_nan()).for_each(|s| *s = law.henry);
            slopes.push(slope);
            own.push(std::mem::take(stream));
        }
        count(&mut loads, &ideal.units, |amount, unit| amount / unit);
        count(&mut own, &ideal.units, |amount, unit| amount / unit);
        let together = Together { ideal, per_s, bed, lengths };
        let lists = Lists {
            loads: &mut loads,
            slopes: &mut slopes,
            guesses: &mut self.guesses,
            streams: &mut own,
        };
        together.march(self.settings.path, lists);
        count(&mut loads, &ideal.units, |amount, unit| amount * unit);
        count(&mut own, &ideal.units, |amount, unit| amount * unit);
        let back = members.iter().zip(loads).zip(slopes).zip(own);
        for (((index, load), slope), own) in back {
            if let (Some(cells), Some(stream)) =
                (self.cells.get_mut(*index), streams.get_mut(*index))
            {
                cells.load = load;
                cells.slope = slope;
                *stream = own;
            }
        }
    }

    /// Vapours and water; the lists of the water go last.
    fn flow_wet(
        &mut self,
        components: &[Component],
        wet: &Wet,
        (bed, lengths): (f64, &[f64]),
        streams: &mut [Vec<f64>],
    ) {
        let path = self.settings.path;
        self.with((&wet_members(components), wet.units()), streams, |loads, streams| {
            Flow { wet, bed, lengths, loads, streams }.march(path);
        });
    }

    /// With axial dispersion of `dispersion` m²/s: step after step, each through all cells.
    fn flow_dispersed(
        &mut self,
        components: &[Component],
        shared: &Shared,
        (velocity, dispersion): (f64, f64),
        (lengths, streams): (&[f64], &mut [Vec<f64>]),
    ) -> Result<(), MarchError> {
        let cells = self.guesses.len();
        let faces = Faces::new(self.column, (velocity, dispersion), cells);
        let stretch = Stretch { faces, lengths, began_s: self.began_s };
        let together = shared.members(components);
        match shared {
            Shared::Alone => {}
            Shared::Dry(ideal) => {
                let rates = components.iter().filter_map(dubinin_of).map(|(_, per_s)| per_s);
                let mut law = Dry::new(ideal, rates.collect(), cells);
                self.with((&together, &ideal.units), streams, |loads, streams| {
                    stretch.march(&mut law, loads, streams)
                })?;
            }
            Shared::Wet(wet) => {
                self.with((&together, wet.units()), streams, |loads, streams| {
                    stretch.march_wet(wet, loads, streams)
                })?;
            }
        }
        for (index, component) in components.iter().enumerate() {
            if !together.contains(&index) {
                let mut law = Apart::new(component, cells);
                self.with((&[index], &[]), streams, |loads, streams| {
                    stretch.march(&mut law, loads, streams)
                })?;
            }
        }
        Ok(())
    }

    /// What `act` makes of loads and streams of the components at `indices`, the first of them counted in
    /// `units`.
    fn with<T>(
        &mut self,
        (indices, units): (&[usize], &[f64]),
        streams: &mut [Vec<f64>],
        act: impl FnOnce(&mut [Vec<f64>], &mut [Vec<f64>]) -> T,
    ) -> T {
        let mut loads = Vec::with_capacity(indices.len());
        let mut own = Vec::with_capacity(indices.len());
        for index in indices {
            let cells = self.cells.get_mut(*index).map(|cells| std::mem::take(&mut cells.load));
            loads.push(cells.unwrap_or_default());
            own.push(streams.get_mut(*index).map(std::mem::take).unwrap_or_default());
        }
        count(&mut loads, units, |amount, unit| amount / unit);
        count(&mut own, units, |amount, unit| amount / unit);
        let made = act(&mut loads, &mut own);
        count(&mut loads, units, |amount, unit| amount * unit);
        count(&mut own, units, |amount, unit| amount * unit);
        for ((index, load), own) in indices.iter().zip(loads).zip(own) {
            if let (Some(cells), Some(stream)) =
                (self.cells.get_mut(*index), streams.get_mut(*index))
            {
                cells.load = load;
                *stream = own;
            }
        }
        made
    }

    fn rest(&mut self, components: &[Component], shared: &Shared, lengths: &[f64], sealed: bool) {
        let together = shared.members(components);
        match shared {
            Shared::Alone => {}
            Shared::Dry(ideal) => {
                let (path, mut ln_pi) = (self.settings.path, vec![f64::NAN; self.guesses.len()]);
                let mut balance = |loads: &[Vec<f64>], levels: &mut [Vec<(f64, f64)>]| {
                    Still { ideal, loads, levels, ln_pi: &mut ln_pi }.balance(path);
                };
                let counted = (together.as_slice(), ideal.units.as_slice());
                self.spread(components, counted, (lengths, sealed), &mut balance);
            }
            Shared::Wet(wet) => {
                let mut ln_pi = vec![f64::NAN; self.guesses.len()];
                let mut balance = |loads: &[Vec<f64>], levels: &mut [Vec<(f64, f64)>]| {
                    wet.levels(loads, levels, &mut ln_pi);
                };
                let counted = (together.as_slice(), wet.units());
                self.spread(components, counted, (lengths, sealed), &mut balance);
            }
        }
        for (index, component) in components.iter().enumerate() {
            if together.contains(&index) {
                continue;
            }
            let (path, curve) = (self.settings.path, Curve::new(&component.equilibrium));
            let mut balance = |loads: &[Vec<f64>], levels: &mut [Vec<(f64, f64)>]| {
                for (loads, levels) in loads.iter().zip(levels) {
                    if let Curve::Dubinin(law) = &curve {
                        Lone { law, loads, levels }.balance(path);
                        continue;
                    }
                    for (load, level) in loads.iter().zip(levels) {
                        *level = curve.level(*load);
                    }
                }
            };
            self.spread(components, (&[index], &[]), (lengths, sealed), &mut balance);
        }
        self.guesses.fill(Guess::NONE);
        for cells in &mut self.cells {
            cells.slope.fill(f64::NAN);
        }
    }

    /// Spreads the loads of the components at `indices`, the first of them counted in `units`.
    fn spread(
        &mut self,
        components: &[Component],
        (indices, units): (&[usize], &[f64]),
        (lengths, sealed): (&[f64], bool),
        balance: &mut impl FnMut(&[Vec<f64>], &mut [Vec<(f64, f64)>]),
    ) {
        let cells = as_f64(self.guesses.len());
        let dz = self.column.depth_m / cells;
        // Bruggeman: pores between the granules are longer than the bed. Value from memory.
        let way = self.column.void_fraction.powf(1.5);
        let conductance = |index: &usize| {
            let free = components.get(*index).map_or(0.0, |component| component.diffusivity_m2_s);
            free * way / (self.column.bulk_density_kg_m3 * dz * dz)
        };
        let rest = Rest { conductance: indices.iter().map(conductance).collect(), sealed };
        let take = |index: &usize| {
            self.cells.get_mut(*index).map(|c| std::mem::take(&mut c.load)).unwrap_or_default()
        };
        let mut loads: Vec<Vec<f64>> = indices.iter().map(take).collect();
        let before: Vec<f64> = loads.iter().map(|load| load.iter().sum()).collect();
        count(&mut loads, units, |amount, unit| amount / unit);
        rest.spread(lengths, &mut loads, balance);
        count(&mut loads, units, |amount, unit| amount * unit);
        for ((index, load), before) in indices.iter().zip(loads).zip(before) {
            let after: f64 = load.iter().sum();
            if let Some(lost) = self.track.lost.get_mut(*index)
                && !sealed
            {
                *lost += (before - after) * self.track.sorbent;
            }
            if let Some(cells) = self.cells.get_mut(*index) {
                cells.load = load;
            }
        }
    }
}

/// Loads or levels, a list for each component, changed by the unit of each; those past the last unit stay.
fn count(lists: &mut [Vec<f64>], units: &[f64], change: impl Fn(f64, f64) -> f64) {
    for (list, unit) in lists.iter_mut().zip(units) {
        list.iter_mut().for_each(|amount| *amount = change(*amount, *unit));
    }
}

/// Indices of the components that share the micropores.
fn members(components: &[Component]) -> Vec<usize> {
    let shares = |(index, component)| shares_pores(component).then_some(index);
    components.iter().enumerate().filter_map(shares).collect()
}

/// The same and the water, which goes last.
fn wet_members(components: &[Component]) -> Vec<usize> {
    let water = water_of(components).map(|(index, ..)| index);
    members(components).into_iter().chain(water).collect()
}

fn shares_pores(component: &Component) -> bool {
    matches!(component.equilibrium, Equilibrium::Dubinin { .. })
}

/// What shares the pores in one segment.
enum Shared {
    /// One vapour or none, without water.
    Alone,
    /// Several vapours.
    Dry(Ideal),
    /// Vapours and water.
    Wet(Wet),
}

impl Shared {
    fn of(components: &[Component], sharing: Sharing, tables: &mut Tables) -> Self {
        let laws: Vec<(Dubinin, f64)> = components.iter().filter_map(dubinin_of).collect();
        let mut ideal = || {
            let units: Vec<f64> = laws.iter().map(|(law, _)| sharing.unit(law.full)).collect();
            let counted = laws.iter().zip(&units).map(|((law, _), unit)| law.counted_in(*unit));
            Ideal::new(counted.map(|law| tables.of(&law)).collect(), units)
        };
        match (laws.len(), water_of(components)) {
            (0, _) | (1, None) => Self::Alone,
            (_, Some((_, water, per_s))) => Self::Wet(Wet::new((water, per_s), &laws, ideal())),
            (_, None) => Self::Dry(ideal()),
        }
    }

    /// Indices of the components that are marched together.
    fn members(&self, components: &[Component]) -> Vec<usize> {
        match self {
            Self::Alone => Vec::new(),
            Self::Dry(_) => members(components),
            Self::Wet(_) => wet_members(components),
        }
    }
}

/// Index, uptake and rate of the water among `components`.
fn water_of(components: &[Component]) -> Option<(usize, Water, f64)> {
    let water =
        |(index, component): (usize, &Component)| match (component.equilibrium, component.uptake) {
            (Equilibrium::Water(moisture), Uptake::DrivingForce { per_s }) => {
                Some((index, Water::new(&moisture), per_s))
            }
            _ => None,
        };
    components.iter().enumerate().find_map(water)
}

/// A segment and the lengths of its steps, s.
type Timed<'a> = (&'a Segment, &'a Vec<f64>);

/// Whether air passes through both of two neighbours and only the levels in it change.
fn goes_on(components: &[Component], a: &Segment, b: &Segment) -> bool {
    let flows = a.flows() && b.flows() && a.velocity_m_s == b.velocity_m_s;
    flows && a.components(components) == b.components(components)
}

/// The curve and rate of a component that shares the pores.
pub(super) fn dubinin_of(component: &Component) -> Option<(Dubinin, f64)> {
    match (component.equilibrium, component.uptake) {
        (
            Equilibrium::Dubinin { full_mol_kg, b, saturation_mol_m3 },
            Uptake::DrivingForce { per_s },
        ) => Some((Dubinin::new(full_mol_kg, b, saturation_mol_m3), per_s)),
        _ => None,
    }
}

/// Starts the searches of a stretch from the level in balance with each cell's load.
fn prepare(law: &Dubinin, cells: &mut Cells) {
    let memory = cells.load.iter().zip(&mut cells.ln_c).zip(&mut cells.slope);
    for ((load, ln_c), slope) in memory {
        let (level, by_load) = law.level(*load);
        *ln_c = level.max(law.tangent).ln();
        *slope = 1.0 / by_load;
    }
}
