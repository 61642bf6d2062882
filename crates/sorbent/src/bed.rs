use quantity::{
    Celsius, Centimetres, Cm3PerGram, GAS_CONSTANT_J_PER_MOL_K, Grams, GramsPerCm3,
    KilojoulesPerMol, Kilopascal, LitrePerMin, RelHumidity, SquareCm,
};

use crate::capacity::{TYPICAL_WATER, WaterIsotherm, reference_energy_of_wood_1994};

/// Mean granule size assumed where none is told, cm: between 12 and 20 mesh, common practice for
/// respirator carbon, no source.
pub const DEFAULT_GRANULE_CM: f64 = 0.11;

/// The sorbent itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Carbon {
    /// Volume of micropores, cm³/g.
    pub micropore_volume: f64,
    /// Characteristic energy towards the reference vapour, J/mol.
    pub reference_energy: f64,
    /// How it takes up water.
    pub water: WaterIsotherm,
}

/// The beds of one set of elements, all alike, that share the flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bed {
    /// How many elements share the flow.
    pub elements: f64,
    /// Sorbent in each, g.
    pub mass_g: f64,
    /// Area of each across the flow, cm².
    pub area_cm2: f64,
    /// Bulk density, g/cm³.
    pub bulk_density: f64,
    /// Mean granule size, cm.
    pub granule_cm: f64,
    /// What fills it.
    pub carbon: Carbon,
}

/// What a maker or a laboratory tells of the beds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BedParts {
    /// How many elements share the flow; at least one.
    pub elements: u8,
    /// Sorbent in each.
    pub sorbent_mass: Grams,
    /// Area of each across the flow.
    pub bed_area: SquareCm,
    /// Bulk density.
    pub bulk_density: GramsPerCm3,
    /// Mean granule size.
    pub granule: Centimetres,
    /// Volume of micropores.
    pub micropore_volume: Cm3PerGram,
    /// Characteristic energy towards the reference vapour; where none is told it follows from the
    /// micropore volume as in the correlation of Wood 1994.
    pub reference_energy: Option<KilojoulesPerMol>,
}

impl Bed {
    /// The beds that `parts` tell of, with water taken up as by a typical carbon.
    #[must_use]
    pub fn new(parts: &BedParts) -> Self {
        let micropore_volume = parts.micropore_volume.as_cm3_per_g();
        let told = parts.reference_energy.map(|energy| energy.as_kj_per_mol() * 1e3);
        Self {
            elements: f64::from(parts.elements.max(1)),
            mass_g: parts.sorbent_mass.as_g(),
            area_cm2: parts.bed_area.as_cm2(),
            bulk_density: parts.bulk_density.as_g_per_cm3(),
            granule_cm: parts.granule.as_cm(),
            carbon: Carbon {
                micropore_volume,
                reference_energy: told
                    .unwrap_or_else(|| reference_energy_of_wood_1994(micropore_volume)),
                water: TYPICAL_WATER,
            },
        }
    }

    /// Depth of each bed, cm.
    #[must_use]
    pub fn depth_cm(&self) -> f64 {
        self.mass_g / (self.bulk_density * self.area_cm2)
    }
}

/// The air that passes through the beds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Flow through all elements together, L/min.
    pub flow_l_per_min: f64,
    /// Temperature, K.
    pub temperature_k: f64,
    /// Pressure, kPa.
    pub pressure_kpa: f64,
    /// Relative humidity, 0 to 1; the beds are taken to have been stored at the same.
    pub humidity: f64,
}

impl Air {
    /// Air of these quantities.
    #[must_use]
    pub fn new(
        flow: LitrePerMin,
        temperature: Celsius,
        pressure: Kilopascal,
        humidity: RelHumidity,
    ) -> Self {
        Self {
            flow_l_per_min: flow.as_l_per_min(),
            temperature_k: temperature.as_kelvin(),
            pressure_kpa: pressure.as_kpa(),
            humidity: humidity.as_fraction(),
        }
    }

    /// Thermal energy R T, J/mol.
    #[must_use]
    pub fn thermal_energy(&self) -> f64 {
        GAS_CONSTANT_J_PER_MOL_K * self.temperature_k
    }

    /// Flow through one of `bed`'s elements, cm³/min.
    #[must_use]
    pub fn flow_per_element_cm3_per_min(&self, bed: &Bed) -> f64 {
        self.flow_l_per_min * 1e3 / bed.elements
    }

    /// Velocity ahead of the bed as if it were empty, cm/s.
    #[must_use]
    pub fn velocity_cm_per_s(&self, bed: &Bed) -> f64 {
        self.flow_per_element_cm3_per_min(bed) / (60.0 * bed.area_cm2)
    }

    /// Partial pressure of a volume fraction, kPa.
    #[must_use]
    pub fn partial_pressure_kpa(&self, ppm: f64) -> f64 {
        ppm * 1e-6 * self.pressure_kpa
    }

    /// Amount of gas at a partial pressure, mol/cm³.
    #[must_use]
    pub fn mol_per_cm3(&self, pressure_kpa: f64) -> f64 {
        // kPa / (J/mol) = 1e3 mol/m3 = 1e-3 mol/cm3
        pressure_kpa * 1e-3 / self.thermal_energy()
    }
}
