//! How much a sorbent holds.

mod dubinin;
mod water;

pub use dubinin::{
    REFERENCE_POLARISATION_CM3_PER_MOL, adsorbed_volume, affinity, reference_energy_of_wood_1994,
    wood_1994_energy,
};
pub use water::{TYPICAL_WATER, WaterIsotherm, humid_volume};
pub(crate) use water::{WATER_MOLAR_VOLUME, WaterCurve};
