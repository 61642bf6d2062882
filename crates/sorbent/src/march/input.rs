//! What a march is told: the bed, what the air carries, how it is used.

use super::MarchError;
use crate::capacity::WaterIsotherm;
use crate::mixture::Sharing;

/// Most contaminants in one march.
pub(super) const MOST_COMPONENTS: usize = 24;
/// Most segments in one march.
const MOST_SEGMENTS: usize = 2_000;

/// The bed of one element.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Column {
    /// Depth along the flow, m.
    pub depth_m: f64,
    /// Bulk density of the sorbent, kg/m³.
    pub bulk_density_kg_m3: f64,
    /// Part of the volume between the granules, 0 to 1.
    pub void_fraction: f64,
    /// Area across the flow, m².
    pub area_m2: f64,
}

/// How much the sorbent holds in balance with a gas level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Equilibrium {
    /// Dubinin and Radushkevich: `full exp(-(b ln(saturation/c))²)`, and `full` from saturation on.
    /// Components of this kind share the micropores as an ideal adsorbed solution
    /// ([`Settings::sharing`]).
    ///
    /// The equation has no Henry constant: load over level has a greatest value, where
    /// `ln(saturation/c) = 1/(2 b²)`, and falls towards zero below it. There the straight line
    /// through the origin with that greatest ratio takes over; it meets the curve with the same
    /// slope. See [`super`].
    Dubinin {
        /// Load that fills the micropores, mol/kg.
        full_mol_kg: f64,
        /// `R T / (beta E0)`, without unit.
        b: f64,
        /// Level of the saturated vapour, mol/m³.
        saturation_mol_m3: f64,
    },
    /// A straight line `henry c`, independent of other components.
    Linear {
        /// Load over level, m³/kg.
        henry_m3_kg: f64,
    },
    /// Langmuir: `full a c / (1 + a c)`, independent of other components.
    Langmuir {
        /// Most that is held, mol/kg.
        full_mol_kg: f64,
        /// Affinity `a`, m³/mol.
        affinity_m3_mol: f64,
    },
    /// Held by a reaction that does not go back: whatever the level, up to `full`.
    Reaction {
        /// Most that is held, mol/kg.
        full_mol_kg: f64,
    },
    /// Water. Shares the micropores with the components of kind Dubinin as in
    /// [`crate::humid_volume`]: it leaves them less, and they drive it out.
    Water(Moisture),
}

/// How the sorbent takes up water, and how much it holds at the start.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moisture {
    /// Uptake without vapour.
    pub isotherm: WaterIsotherm,
    /// Volume of micropores, cm³/g.
    pub micropore_volume: f64,
    /// Level of saturated air, mol/m³.
    pub saturation_mol_m3: f64,
    /// Relative humidity, 0 to 1, in balance with which the bed was stored.
    pub stored_humidity: f64,
}

/// Rate, 1/s, at which water comes to balance in a granule where no other is known: value from
/// memory, common size for granular carbon.
pub const USUAL_WATER_RATE_PER_S: f64 = 1e-3;

/// How fast balance is approached.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Uptake {
    /// Linear driving force: `dq/dt = k (q*(c) - q)`. With [`Equilibrium::Reaction`] and any level
    /// `q*` is the full load.
    DrivingForce {
        /// `k`, 1/s.
        per_s: f64,
    },
    /// Second order: `dq/dt = k1 (c (full - q) - q/a)` for Langmuir, `k1 c (full - q)` for a
    /// reaction. Other equilibria have no count of free places and are refused.
    SecondOrder {
        /// `k1`, m³/(mol s).
        m3_mol_s: f64,
    },
}

/// One contaminant on one sorbent.
#[derive(Debug, Clone, PartialEq)]
pub struct Component {
    /// Name, for messages.
    pub name: String,
    /// How much is held.
    pub equilibrium: Equilibrium,
    /// How fast.
    pub uptake: Uptake,
    /// Diffusivity in free air, m²/s; spreads the load during rests.
    pub diffusivity_m2_s: f64,
}

/// What happens to the bed during a segment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SegmentKind {
    /// Air with the stated levels passes.
    On,
    /// Clean air passes; of the stated levels only that of water counts. Where none are stated the
    /// air is as humid as the bed was stored.
    CleanAir,
    /// No air passes; the load spreads along the bed.
    Rest {
        /// Whether both faces are closed. Open ones lose vapour to clean air by diffusion.
        sealed: bool,
    },
}

/// A stretch of time in which nothing changes from outside.
#[derive(Debug, Clone, PartialEq)]
pub struct Segment {
    /// How long, s.
    pub duration_s: f64,
    /// Velocity ahead of the bed as if it were empty, m/s; does not count at rest.
    pub velocity_m_s: f64,
    /// Level of each component that enters, mol/m³.
    pub inlet_mol_m3: Vec<f64>,
    /// What happens.
    pub kind: SegmentKind,
    /// Components with the parameters of this segment's temperature, humidity and flow, in the same
    /// order; where none are given those of the march hold.
    pub components: Option<Vec<Component>>,
}

impl Segment {
    /// Whether air passes.
    #[must_use]
    pub fn flows(&self) -> bool {
        !matches!(self.kind, SegmentKind::Rest { .. })
    }

    /// Level of component `index` that enters, mol/m³; `usual` are the components of the march.
    pub(super) fn inlet(&self, usual: &[Component], index: usize) -> f64 {
        let told = self.inlet_mol_m3.get(index).copied();
        match (self.kind, self.components(usual).get(index).map(|c| c.equilibrium)) {
            (SegmentKind::On, _) => told.unwrap_or(0.0),
            (SegmentKind::CleanAir, Some(Equilibrium::Water(moisture))) => {
                told.unwrap_or(moisture.stored_humidity * moisture.saturation_mol_m3)
            }
            _ => 0.0,
        }
    }

    /// The components in this segment.
    pub(super) fn components<'a>(&'a self, usual: &'a [Component]) -> &'a [Component] {
        self.components.as_deref().unwrap_or(usual)
    }
}

/// Which form of the inner loop runs. All give the same digits; the choice is for tests.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Path {
    /// The widest vectors the machine has.
    #[default]
    Widest,
    /// Vectors every machine has.
    Portable,
    /// One cell at a time, by a solver of its own.
    OneByOne,
}

/// How a bed is marched, and how finely. One setting serves every case.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settings {
    /// Multiplies the number of cells and of steps; 1 is usual, 0.5 four times as fast.
    pub fineness: f64,
    /// Whether the march is made on a grid of half as many cells and steps too, from which the
    /// error of each time is estimated.
    pub estimate: bool,
    /// Form of the inner loop.
    pub path: Path,
    /// What is counted where vapours share the pores.
    pub sharing: Sharing,
}

impl Settings {
    /// Worst error of the 1 %, 10 % and 50 % times of the shared cases 3e-4 for one vapour, 3e-3 for
    /// two, with its estimate.
    pub const USUAL: Self =
        Self { fineness: 1.0, estimate: true, path: Path::Widest, sharing: Sharing::ByNumber };
    /// For thousands of uncertain copies: worst error of those times 3e-3 for one vapour, no
    /// estimate.
    pub const SAMPLING: Self =
        Self { fineness: 0.5, estimate: false, path: Path::Widest, sharing: Sharing::ByNumber };
    /// For copies with several vapours, and for ratios of two times on one grid. What so coarse a grid
    /// leaves brings the ends forward.
    pub(crate) const ROUGH: Self = Self { fineness: 0.25, ..Self::SAMPLING };
}

/// Refuses what no bed can be marched with, naming it.
pub(super) fn check(
    column: &Column,
    components: &[Component],
    segments: &[Segment],
    settings: &Settings,
) -> Result<(), MarchError> {
    within("depth of the bed in m", column.depth_m, (1e-5, 10.0))?;
    within("bulk density in kg/m3", column.bulk_density_kg_m3, (1.0, 1e4))?;
    within("void fraction", column.void_fraction, (0.0, 0.99))?;
    within("area of the bed in m2", column.area_m2, (1e-8, 100.0))?;
    within("fineness", settings.fineness, (0.1, 32.0))?;
    if components.is_empty() {
        return Err(MarchError::NoContaminant);
    }
    few("contaminants", components.len(), MOST_COMPONENTS)?;
    let waters = |c: &&Component| matches!(c.equilibrium, Equilibrium::Water(_));
    few("components of water", components.iter().filter(waters).count(), 1)?;
    few("segments", segments.len(), MOST_SEGMENTS)?;
    components.iter().try_for_each(check_component)?;
    if !segments.iter().any(Segment::flows) {
        return Err(MarchError::NoAir);
    }
    for (index, segment) in segments.iter().enumerate() {
        check_segment(index + 1, segment, components)?;
    }
    Ok(())
}

fn check_segment(
    place: usize,
    segment: &Segment,
    components: &[Component],
) -> Result<(), MarchError> {
    let what = |of: &str| format!("{of} of segment {place}");
    within(&what("duration in s"), segment.duration_s, (1e-3, 1e8))?;
    if segment.flows() {
        within(&what("velocity in m/s"), segment.velocity_m_s, (1e-6, 100.0))?;
    }
    let wanted = components.len();
    let told = segment.components(components);
    let levels = if segment.kind == SegmentKind::On { segment.inlet_mol_m3.len() } else { wanted };
    for found in [levels, told.len()] {
        if found != wanted {
            return Err(MarchError::Levels { segment: place, found, wanted });
        }
    }
    if segment.components.is_some() {
        told.iter().try_for_each(check_component)?;
    }
    for (index, component) in told.iter().enumerate() {
        let name = format!("level of {} in mol/m3, segment {place}", component.name);
        let most = match component.equilibrium {
            Equilibrium::Dubinin { saturation_mol_m3, .. } => saturation_mol_m3,
            Equilibrium::Water(moisture) => moisture.saturation_mol_m3,
            _ => 1e3,
        };
        let level = segment.inlet(components, index);
        if level != 0.0 {
            within(&name, level, (1e-15, most))?;
        }
    }
    Ok(())
}

fn check_component(component: &Component) -> Result<(), MarchError> {
    let what = |of: &str| format!("{of} of {}", component.name);
    let full = |value| within(&what("full load in mol/kg"), value, (1e-9, 1e3));
    match component.equilibrium {
        Equilibrium::Dubinin { full_mol_kg, b, saturation_mol_m3 } => {
            full(full_mol_kg)?;
            within(&what("b"), b, (0.03, 2.0))?;
            within(&what("saturation level in mol/m3"), saturation_mol_m3, (1e-9, 1e3))?;
        }
        Equilibrium::Linear { henry_m3_kg } => {
            within(&what("load over level in m3/kg"), henry_m3_kg, (1e-9, 1e12))?;
        }
        Equilibrium::Langmuir { full_mol_kg, affinity_m3_mol } => {
            full(full_mol_kg)?;
            within(&what("affinity in m3/mol"), affinity_m3_mol, (1e-9, 1e12))?;
        }
        Equilibrium::Reaction { full_mol_kg } => full(full_mol_kg)?,
        Equilibrium::Water(moisture) => check_moisture(&what, &moisture)?,
    }
    within(&what("diffusivity in m2/s"), component.diffusivity_m2_s, (0.0, 1e-2))?;
    match (component.uptake, component.equilibrium) {
        (Uptake::DrivingForce { per_s }, _) => within(&what("rate in 1/s"), per_s, (0.0, 1e6)),
        (
            Uptake::SecondOrder { m3_mol_s },
            Equilibrium::Langmuir { .. } | Equilibrium::Reaction { .. },
        ) => within(&what("rate in m3/(mol s)"), m3_mol_s, (0.0, 1e9)),
        (Uptake::SecondOrder { .. }, _) => {
            Err(MarchError::NoFreePlaces { name: component.name.clone() })
        }
    }
}

fn check_moisture(what: &impl Fn(&str) -> String, moisture: &Moisture) -> Result<(), MarchError> {
    let WaterIsotherm { most, steepness, midpoint } = moisture.isotherm;
    within(&what("greatest load in g/g"), most, (1e-4, 5.0))?;
    within(&what("steepness"), steepness, (1.0, 200.0))?;
    within(&what("humidity at half of the greatest load"), midpoint, (0.01, 2.0))?;
    // Below this the sigmoid has no low end that a straight line through the origin could touch.
    within(&what("steepness times that humidity"), steepness * midpoint, (3.5, 300.0))?;
    within(&what("micropore volume in cm3/g"), moisture.micropore_volume, (1e-3, 5.0))?;
    within(&what("saturation level in mol/m3"), moisture.saturation_mol_m3, (1e-3, 1e2))?;
    within(&what("humidity of storage"), moisture.stored_humidity, (0.0, 1.0))
}

pub(super) fn within(
    what: &str,
    value: f64,
    (lowest, highest): (f64, f64),
) -> Result<(), MarchError> {
    if lowest <= value && value <= highest {
        return Ok(());
    }
    Err(MarchError::Outside { what: what.to_owned(), value, lowest, highest })
}

fn few(what: &'static str, count: usize, most: usize) -> Result<(), MarchError> {
    if count <= most { Ok(()) } else { Err(MarchError::TooMany { what, count, most }) }
}
