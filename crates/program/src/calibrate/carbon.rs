//! The carbon that a report tells of by the vapours that were tested.

use quantity::{Cm3PerGram, KilojoulesPerMol, Percent, QuantityError};
use sorbent::{Beside, Calibration, Measured, Own, calibrate};
use substance::Cas;

use super::{CarbonAnswer, Rows, WrittenReport, rounded, substance};
use crate::carbon::{CalibratedCarbon, CarbonError};
use crate::case::CaseError;

/// What was found of the carbon: its figures, its lines, and each measurement beside the fit.
pub(super) struct Fitted {
    pub(super) answer: CarbonAnswer,
    pub(super) lines: CalibratedCarbon,
    pub(super) beside: Vec<Beside>,
}

/// Fits the carbon to what was measured of vapours.
pub(super) fn fitted(
    written: &WrittenReport,
    rows: &Rows<'_, Measured>,
) -> Result<Fitted, CaseError> {
    let found = calibrate(&rows.measured, written.start())
        .map_err(|error| rows.refused(&written.text, error.place(), &error.to_string()))?;
    let answer = answer(&found);
    let lines = carbon(&written.report.report, &found, &answer)
        .map_err(|message| CaseError::missing(&written.text, "report", &message))?;
    Ok(Fitted { answer, lines, beside: found.beside })
}

fn answer(found: &Calibration) -> CarbonAnswer {
    let [[vv, ve, vr], [_, ee, er], [_, _, rr]] = found.covariance;
    let deviations = [vv, ee, rr].map(f64::sqrt);
    let [volume, energy, rate] = deviations;
    let own = |factor: fn(&Own) -> f64| -> Vec<(String, f64)> {
        found.own.iter().map(|own| (own.vapour.clone(), factor(own))).collect()
    };
    CarbonAnswer {
        micropore_volume: found.micropore_volume,
        reference_energy: found.reference_energy / 1e3,
        rate_factor: found.rate_factor,
        affinities: own(|own| own.affinity),
        packings: own(|own| own.packing),
        deviations,
        correlations: [ve / (volume * energy), vr / (volume * rate), er / (energy * rate)],
        learned: found.learned,
    }
}

/// The carbon as its lines tell it, rounded to what is worth telling.
fn carbon(
    report: &str,
    found: &Calibration,
    answer: &CarbonAnswer,
) -> Result<CalibratedCarbon, String> {
    let wrong = |error: QuantityError| error.to_string();
    let own = |factor: fn(&Own) -> f64| -> Result<Vec<(Cas, f64)>, String> {
        let told = |own: &Own| Ok((substance(&own.vapour)?.cas(), rounded(factor(own), 4)));
        found.own.iter().map(told).collect()
    };
    let percent = |part: f64| Percent::from_percent(rounded(100.0 * part, 3)).map_err(wrong);
    let [volume, energy, rate] = answer.deviations;
    let lines = CalibratedCarbon {
        report: report.to_owned(),
        micropore_volume: Cm3PerGram::from_cm3_per_g(rounded(found.micropore_volume, 4))
            .map_err(wrong)?,
        reference_energy: KilojoulesPerMol::from_kj_per_mol(rounded(answer.reference_energy, 3))
            .map_err(wrong)?,
        rate_factor: rounded(found.rate_factor, 4),
        affinities: own(|own| own.affinity)?,
        packings: own(|own| own.packing)?,
        deviations: [percent(volume)?, percent(energy)?, percent(rate)?],
        correlations: answer.correlations.map(|part| rounded(part, 6)),
    };
    // What was found must be what a case may tell.
    lines.to_string().parse().map_err(|error: CarbonError| error.to_string())
}
