//! The equation that ties refractive index, molar mass, density and molar refraction.

/// Name and source of the equation.
pub const SOURCE: &str =
    "equation of Lorentz and Lorenz 1880, Ann. Phys. 9:641 and 11:70; value from memory";

/// Molar refraction, cm3/mol, from refractive `index` (above 1), `molar_mass` g/mol and `density` g/cm3
/// at the temperature of the index.
#[must_use]
pub fn molar_refraction(index: f64, molar_mass: f64, density: f64) -> f64 {
    ratio(index) * molar_mass / density
}

/// Density, g/cm3, from `refraction` cm3/mol, refractive `index` and `molar_mass` g/mol.
#[must_use]
pub fn density(refraction: f64, index: f64, molar_mass: f64) -> f64 {
    ratio(index) * molar_mass / refraction
}

fn ratio(index: f64) -> f64 {
    let square = index * index;
    (square - 1.0) / (square + 2.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_two_forms_undo_each_other() {
        let refraction = molar_refraction(1.4941, 92.1384, 0.8622);
        assert!((density(refraction, 1.4941, 92.1384) - 0.8622).abs() < 1e-12);
        assert!((refraction - 31.116).abs() < 0.005);
    }
}
