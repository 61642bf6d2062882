//! How far air under pressure is from an ideal gas.

use std::sync::OnceLock;

use quantity::{Celsius, Kilopascal};

use super::AirError;
use crate::table::{Row, TableError, loud, read_table};

/// The equation and its error, in words.
pub const EQUATION: &str = "equation of state of dry air as one fluid: Lemmon, Jacobsen, Penoncello and Friend 2000, J. Phys. Chem. Ref. Data 29:331-385; coefficients in data/air_equation.csv; density good to 0.1 % (stated error, from memory), and within 0.15 % of a mixture model of nitrogen, oxygen and argon from -20 to 57 degC and up to 330 bar";

/// Temperature that reduces the equation, K (its maxcondentherm; same source as the coefficients).
const REDUCING_KELVIN: f64 = 132.6312;

/// Density that reduces the equation, mol/L (same source).
const REDUCING_MOL_PER_L: f64 = 10.4477;

/// The gas constant that the equation was fitted with, J/(mol K): older than the present one, and
/// part of the equation (same source).
const EQUATION_GAS_CONSTANT: f64 = 8.314_51;

/// Denser than this the air of the range used never is, mol/L.
const DENSEST_MOL_PER_L: f64 = 25.0;

/// Halvings that bring the density to the last bit of a double.
const HALVINGS: u32 = 64;

/// The range in which the equation is used here; its own is wider.
const KELVIN: std::ops::RangeInclusive<f64> = 233.15..=343.15;
const HIGHEST_KPA: f64 = 40_000.0;

/// One term: `factor x delta^d x tau^t x exp(-delta^l)`, without the exponential where `l` is zero.
struct Term {
    factor: f64,
    density_power: i32,
    temperature_power: f64,
    exponent_power: i32,
}

/// The molar density of dry air, mol/L.
///
/// `temperature` -40 to 70 degC, absolute `pressure` above 0 and up to 40,000 kPa; refuses others.
///
/// Source: [`EQUATION`].
pub fn air_density_mol_per_l(temperature: Celsius, pressure: Kilopascal) -> Result<f64, AirError> {
    let (kelvin, kpa) = (temperature.as_kelvin(), pressure.as_kpa());
    if !(KELVIN.contains(&kelvin) && 0.0 < kpa && kpa <= HIGHEST_KPA) {
        return Err(AirError::OutOfRange { temperature, pressure });
    }
    // INVARIANT (one phase): far above its critical point (133 K) the pressure of air only rises
    // with density, so that halving the interval finds the one density there is.
    let (mut low, mut high) = (0.0, DENSEST_MOL_PER_L);
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        let kpa_there =
            middle * EQUATION_GAS_CONSTANT * kelvin * compressibility_at(kelvin, middle);
        if kpa_there < kpa {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(f64::midpoint(low, high))
}

/// The compressibility factor `Z = p / (rho R T)` of dry air: 1 for an ideal gas.
///
/// Range and refusals of [`air_density_mol_per_l`].
///
/// ```
/// use quantity::{Celsius, Kilopascal};
/// let z = rulebook::breathing_air::air_compressibility(
///     Celsius::from_celsius(20.0)?,
///     Kilopascal::from_kpa(30_000.0)?,
/// )?;
/// assert!((z - 1.1042).abs() < 1e-3);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn air_compressibility(temperature: Celsius, pressure: Kilopascal) -> Result<f64, AirError> {
    let density = air_density_mol_per_l(temperature, pressure)?;
    Ok(pressure.as_kpa() / (density * EQUATION_GAS_CONSTANT * temperature.as_kelvin()))
}

/// `1 + delta x d(alpha)/d(delta)` of the residual Helmholtz energy.
fn compressibility_at(kelvin: f64, mol_per_l: f64) -> f64 {
    let (delta, tau) = (mol_per_l / REDUCING_MOL_PER_L, REDUCING_KELVIN / kelvin);
    1.0 + terms().iter().map(|term| term.part(delta, tau)).sum::<f64>()
}

impl Term {
    fn part(&self, delta: f64, tau: f64) -> f64 {
        let power = f64::from(self.density_power);
        let plain = self.factor * delta.powi(self.density_power) * tau.powf(self.temperature_power);
        if self.exponent_power == 0 {
            return plain * power;
        }
        let inner = delta.powi(self.exponent_power);
        plain * (-inner).exp() * (power - f64::from(self.exponent_power) * inner)
    }
}

fn terms() -> &'static [Term] {
    static ROWS: OnceLock<Vec<Term>> = OnceLock::new();
    ROWS.get_or_init(|| {
        let text = include_str!("../../../../data/air_equation.csv");
        loud(read_table("air_equation.csv", text, read_term))
    })
}

fn read_term(row: &Row<'_>) -> Result<Term, TableError> {
    let broken = |column: &str| row.broken(column, "not a number");
    let number = |column: &str| row.text(column)?.parse::<f64>().map_err(|_| broken(column));
    let whole = |column: &str| row.text(column)?.parse::<i32>().map_err(|_| broken(column));
    Ok(Term {
        factor: number("factor")?,
        density_power: whole("density_power")?,
        temperature_power: number("temperature_power")?,
        exponent_power: whole("exponent_power")?,
    })
}
