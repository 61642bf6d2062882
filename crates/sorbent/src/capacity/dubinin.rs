//! The equation of Dubinin and Radushkevich and the energies that go into it.

/// Joules in a calorie, the unit of the 1994 correlation.
const JOULE_PER_CALORIE: f64 = 4.184;

/// Molar polarisation of benzene, the vapour to which reference energies refer, cm³/mol.
///
/// Source: `data/checks/compound_properties.csv`, computed from refractive index and density.
pub const REFERENCE_POLARISATION_CM3_PER_MOL: f64 = 26.188;

/// Volume of adsorbed liquid, cm³ per g of sorbent.
///
/// `w0` micropore volume cm³/g; `energy` characteristic energy of the vapour on this sorbent,
/// J/mol; `potential` RT ln(psat/p), J/mol, taken as zero where the vapour is saturated. Has no
/// Henry region: at very low pressure the true curve is a straight line and this one is not.
///
/// Source: Dubinin and Radushkevich 1947; form from memory, confirmed by the worked number in
/// the tests.
#[must_use]
pub fn adsorbed_volume(w0: f64, energy: f64, potential: f64) -> f64 {
    let ratio = potential.max(0.0) / energy;
    w0 * (-ratio * ratio).exp()
}

/// Affinity of a vapour relative to benzene, from its molar polarisation in cm³/mol.
///
/// Source: Wood 2001, Carbon 39:343-356 (value from memory).
#[must_use]
pub fn affinity(polarisation: f64) -> f64 {
    0.0862 * polarisation.powf(0.75)
}

/// Characteristic energy, J/mol, of a vapour of molar polarisation `polarisation` cm³/mol on a
/// carbon of micropore volume `w0` cm³/g.
///
/// Source: Wood 1994, Am. Ind. Hyg. Assoc. J. 55:11-15 (from memory, confirmed by the published
/// table computed from it).
#[must_use]
pub fn wood_1994_energy(w0: f64, polarisation: f64) -> f64 {
    (polarisation.powf(1.8) / (3.56e-5 * w0)).sqrt() * JOULE_PER_CALORIE
}

/// Characteristic energy towards benzene, J/mol, that the correlation of Wood 1994 gives a carbon
/// of micropore volume `w0` cm³/g.
#[must_use]
pub fn reference_energy_of_wood_1994(w0: f64) -> f64 {
    let benzene = REFERENCE_POLARISATION_CM3_PER_MOL;
    wood_1994_energy(w0, benzene) / affinity(benzene)
}

#[cfg(test)]
mod tests {
    use super::*;

    // Worked number: toluene 200 ppm at 295.15 K, psat 3.25 kPa, W0 0.454, Pe 31.1, density 0.867;
    // computed twice, in floating point and in 30-digit arithmetic: We 0.293161 g/g.
    #[test]
    fn toluene_capacity_is_the_worked_number() {
        let rt = 1.987 * JOULE_PER_CALORIE * 295.15;
        let potential = rt * (3.25_f64 / (200e-6 * 101.325)).ln();
        let energy = wood_1994_energy(0.454, 31.1);
        assert!((energy / 22_952.0 - 1.0).abs() < 1e-4, "{energy}");
        let loading = 0.867 * adsorbed_volume(0.454, energy, potential);
        assert!((loading / 0.293_161 - 1.0).abs() < 2e-6, "{loading}");
    }

    // Limit: a saturated vapour fills the micropores; the reference vapour has affinity one.
    #[test]
    fn saturation_fills_the_pores_and_benzene_is_the_reference() {
        assert!((adsorbed_volume(0.454, 2e4, 0.0) - 0.454).abs() < 1e-15);
        assert!((adsorbed_volume(0.454, 2e4, -5.0) - 0.454).abs() < 1e-15);
        assert!((affinity(REFERENCE_POLARISATION_CM3_PER_MOL) - 1.0).abs() < 0.003);
    }
}
