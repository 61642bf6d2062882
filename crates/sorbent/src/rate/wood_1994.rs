/// Greatest logarithm of (inlet - end) / end for which the correlation is used: an end at 0.1 % of
/// the inlet. Beyond it the correlation would give an ever faster rate, which no test has shown.
const GREATEST_LOGARITHM: f64 = 6.906_754_778_648_554;

/// Rate coefficient, 1/min.
///
/// `velocity` cm/s; `polarisation` cm³/mol; `logarithm` ln((C0 - Cx)/Cx), held between 0 and that
/// of a 0.1 % end so that the rate is never taken faster than where it was found.
///
/// Source: Wood 1994, Am. Ind. Hyg. Assoc. J. 55:11-15 (from memory, confirmed by the published
/// table computed from it).
#[must_use]
pub fn wood_1994_rate(velocity: f64, polarisation: f64, logarithm: f64) -> f64 {
    let logarithm = logarithm.clamp(0.0, GREATEST_LOGARITHM);
    let per_rate =
        (1.0 / velocity + 0.027) * (0.000_825 + (0.063 - 0.0055 * logarithm) / polarisation);
    1.0 / per_rate
}

#[cfg(test)]
mod tests {
    use super::*;

    // Worked number: toluene, 10 cm/s, 10 % end, computed twice: 3198.03 1/min.
    #[test]
    fn toluene_rate_is_the_worked_number() {
        let rate = wood_1994_rate(10.0, 31.1, 9.0_f64.ln());
        assert!((rate / 3198.03 - 1.0).abs() < 2e-6, "{rate}");
    }
}
