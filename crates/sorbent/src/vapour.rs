use quantity::Celsius;
use substance::{Basis, PropertyError, Substance};

use crate::capacity::affinity;

/// What the bed needs to know of a vapour, at one temperature.
#[derive(Debug, Clone, PartialEq)]
pub struct Vapour {
    /// Name, for messages.
    pub name: String,
    /// Molar mass, g/mol.
    pub molar_mass: f64,
    /// Vapour pressure of the liquid, kPa.
    pub psat_kpa: f64,
    /// Slope of its logarithm, 1/K.
    pub psat_log_slope_per_k: f64,
    /// Density of the liquid, g/cm³; in the pores of a known carbon that times the packing that an isotherm
    /// told ([`crate::calibrate()`]).
    pub density: f64,
    /// Molar polarisation, cm³/mol.
    pub polarisation: f64,
    /// How strongly carbon holds it relative to benzene: [`affinity`] of its polarisation; on a known carbon
    /// that times the factor that an isotherm told.
    pub affinity: f64,
    /// Whether vapour pressure, density and polarisation were estimated rather than measured or
    /// correlated from measurements; each widens the bound.
    pub estimated: Estimated,
}

/// Which properties of a vapour were estimated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Estimated {
    /// The vapour pressure.
    pub psat: bool,
    /// The density of the liquid.
    pub density: bool,
    /// The molar polarisation.
    pub polarisation: bool,
}

impl Vapour {
    /// The properties of `substance` at `temperature`, and a line of source for each.
    ///
    /// Refuses a substance of which a property is neither known nor estimable, naming it.
    pub fn of(
        substance: &Substance,
        temperature: Celsius,
    ) -> Result<(Self, Vec<String>), PropertyError> {
        let psat = substance.vapour_pressure(temperature)?;
        let density = substance.liquid_density(temperature)?;
        let polarisation = substance.molar_polarisation(temperature)?;
        let name = substance.name();
        let sources = vec![
            format!("vapour pressure of {name}: {}", psat.source),
            format!("liquid density of {name}: {}", density.source),
            format!("molar polarisation of {name}: {}", polarisation.source),
        ];
        let psat_kpa = psat.value.as_kpa();
        let vapour = Self {
            name: name.to_owned(),
            molar_mass: substance.molar_mass_g_per_mol()?.value,
            psat_kpa,
            psat_log_slope_per_k: log_slope(substance, temperature, psat_kpa),
            density: density.value.as_g_per_cm3(),
            polarisation: polarisation.value,
            affinity: affinity(polarisation.value),
            estimated: Estimated {
                psat: psat.basis == Basis::Estimated,
                density: density.basis == Basis::Estimated,
                polarisation: polarisation.basis == Basis::Estimated,
            },
        };
        Ok((vapour, sources))
    }

    /// As a carbon holds it of which more is known: affinity and density times these factors.
    #[must_use]
    pub fn held(mut self, affinity: f64, packing: f64) -> Self {
        self.affinity *= affinity;
        self.density *= packing;
        self
    }

    /// Volume of one mole of the liquid, cm³/mol.
    #[must_use]
    pub fn molar_volume(&self) -> f64 {
        self.molar_mass / self.density
    }
}

/// Slope of ln psat at `temperature`, 1/K, from a neighbour at which the pressure is known. Where
/// none is, that of water at room temperature, a usual size for liquids (common practice).
fn log_slope(substance: &Substance, temperature: Celsius, psat_kpa: f64) -> f64 {
    const USUAL_PER_K: f64 = 0.06;
    let neighbour = |by: f64| {
        let near = Celsius::from_celsius(temperature.as_celsius() + by).ok()?;
        let there = substance.vapour_pressure(near).ok()?.value.as_kpa();
        let slope = (there / psat_kpa).ln() / by;
        slope.is_finite().then_some(slope)
    };
    neighbour(1.0).or_else(|| neighbour(-1.0)).unwrap_or(USUAL_PER_K)
}
