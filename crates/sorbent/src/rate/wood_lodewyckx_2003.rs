/// Rate coefficient, 1/min.
///
/// `affinity` relative to benzene; `velocity` cm/s; `granule` mean size, cm; `loading` g vapour per
/// g carbon; `molar_mass` g/mol.
///
/// Source: Wood and Lodewyckx 2003, Am. Ind. Hyg. Assoc. J. 64:646 (from memory; units judged by
/// the size of the result beside the other correlation, no second source seen).
#[must_use]
pub fn wood_lodewyckx_2003_rate(
    affinity: f64,
    velocity: f64,
    granule: f64,
    loading: f64,
    molar_mass: f64,
) -> f64 {
    800.0
        * affinity.powf(0.33)
        * velocity.powf(0.75)
        * granule.powf(-1.5)
        * (loading / molar_mass).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::capacity::affinity;

    // Worked number: toluene of the other correlation's case, granule 0.11 cm: 7253 1/min.
    #[test]
    fn toluene_rate_is_the_worked_number() {
        let rate = wood_lodewyckx_2003_rate(affinity(31.1), 10.0, 0.11, 0.293_161, 92.14);
        assert!((rate / 7253.0 - 1.0).abs() < 1e-4, "{rate}");
    }
}
