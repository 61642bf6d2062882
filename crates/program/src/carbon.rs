//! The carbon that a calibration found, in the lines that `calibrate` prints and a case file, a form and
//! an entry take.

use std::collections::BTreeMap;
use std::fmt;
use std::str::FromStr;

use quantity::{Cm3PerGram, KilojoulesPerMol, Percent};
use rulebook::is_blank;
use serde::{Deserialize, Serialize};
use sorbent::{BedParts, Spread};
use substance::{Cas, Catalogue};

use crate::case::{CorrelationPart, plain_words};

/// Characteristic energy of any carbon towards benzene, kJ/mol, what the rate coefficients may be
/// multiplied by, and the affinity or packing of a vapour: outside of these a number was mistyped.
/// Common practice, no source.
pub(crate) const REFERENCE_ENERGY: (f64, f64) = (8.0, 40.0);
pub(crate) const RATE_FACTOR: (f64, f64) = (0.01, 100.0);
pub(crate) const OWN_FACTOR: (f64, f64) = (0.5, 2.0);

/// Everything that a calibration finds of a carbon, and how sure it is of it. What is read as one is
/// whole: every number lies where carbons lie, and the correlations make a covariance.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Lines", into = "Lines")]
pub struct CalibratedCarbon {
    /// The laboratory report: laboratory, number, day.
    pub report: String,
    /// Micropore volume.
    pub micropore_volume: Cm3PerGram,
    /// Characteristic energy towards benzene.
    pub reference_energy: KilojoulesPerMol,
    /// What the rate coefficients are multiplied by.
    pub rate_factor: f64,
    /// What the affinity of a vapour by its polarisation is multiplied by.
    pub affinities: Vec<(Cas, f64)>,
    /// What the density of a vapour's liquid is multiplied by in the pores.
    pub packings: Vec<(Cas, f64)>,
    /// Relative standard deviations of volume, energy and rate.
    pub deviations: [Percent; 3],
    /// Correlations of their errors: volume and energy, volume and rate, energy and rate; -1 to 1.
    pub correlations: [f64; 3],
}

impl CalibratedCarbon {
    /// The bed with this carbon in it.
    pub(crate) fn fill(&self, bed: &mut BedParts) {
        bed.micropore_volume = self.micropore_volume;
        bed.reference_energy = Some(self.reference_energy);
    }

    /// How sure the inputs are, with what the calibration tells in place of what is usual.
    pub(crate) fn spread(&self, usual: Spread) -> Spread {
        let deviations = self.deviations.map(Percent::as_fraction);
        let [micropore_volume, reference_energy, rate] = deviations;
        let calibrated = triangle(deviations, self.correlations);
        Spread { micropore_volume, reference_energy, rate, calibrated, ..usual }
    }
}

/// The lower triangle of Cholesky of the covariance that deviations and correlations tell; none
/// where no such covariance can be.
pub(crate) fn triangle(deviations: [f64; 3], correlations: [f64; 3]) -> Option<[[f64; 3]; 3]> {
    let [volume, energy, rate] = deviations;
    let [volume_energy, volume_rate, energy_rate] = correlations;
    let across = (1.0 - volume_energy * volume_energy).sqrt();
    let second = (energy_rate - volume_energy * volume_rate) / across;
    let third = (1.0 - volume_rate * volume_rate - second * second).sqrt();
    let factor = [
        [volume, 0.0, 0.0],
        [energy * volume_energy, energy * across, 0.0],
        [rate * volume_rate, rate * second, rate * third],
    ];
    factor.iter().flatten().all(|part| part.is_finite()).then_some(factor)
}

/// The lines of a case file that tell of a calibrated carbon.
#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Lines {
    cartridge: CartridgeLines,
    uncertainty: UncertaintyLines,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct CartridgeLines {
    micropore_volume: Cm3PerGram,
    reference_energy: KilojoulesPerMol,
    rate_factor: f64,
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    affinity: BTreeMap<String, f64>,
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    packing: BTreeMap<String, f64>,
}

#[derive(Debug, Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct UncertaintyLines {
    micropore_volume: Percent,
    reference_energy: Percent,
    rate: Percent,
    correlation: CorrelationPart,
}

/// Why lines tell of no calibrated carbon.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CarbonError {
    /// No lines that `calibrate` prints.
    #[error("{0}\n  paste the lines that calibrate printed, from [cartridge] to the correlation")]
    Unread(String),
    /// The report is not named.
    #[error(
        "the report that it was calibrated on is not named\n  add report = \"laboratory, number, day\" to the correlation"
    )]
    NoReport,
    /// A number that no carbon has.
    #[error("{0}\n  give what the calibration found")]
    Outside(String),
    /// A vapour that is not known, or is told twice.
    #[error("{0}")]
    Vapour(String),
    /// Deviations and correlations of which no covariance can be made, or that tell nothing.
    #[error(
        "no three quantities can be correlated so, each of them unsure\n  give the deviations and the correlations as the calibration printed them"
    )]
    Correlation,
}

impl TryFrom<Lines> for CalibratedCarbon {
    type Error = CarbonError;

    fn try_from(lines: Lines) -> Result<Self, CarbonError> {
        let Lines { cartridge, uncertainty } = lines;
        let report = uncertainty.correlation.report.clone().unwrap_or_default();
        if is_blank(&report) {
            return Err(CarbonError::NoReport);
        }
        inside(
            "the energy in kJ/mol",
            cartridge.reference_energy.as_kj_per_mol(),
            REFERENCE_ENERGY,
        )?;
        inside("the rate factor", cartridge.rate_factor, RATE_FACTOR)?;
        if cartridge.micropore_volume.as_cm3_per_g() <= 0.0 {
            return Err(CarbonError::Outside("no carbon is without micropores".to_owned()));
        }
        let deviations =
            [uncertainty.micropore_volume, uncertainty.reference_energy, uncertainty.rate];
        let correlations = uncertainty.correlation.numbers();
        let unsure = deviations.map(Percent::as_fraction);
        if unsure.iter().any(|part| *part <= 0.0) || triangle(unsure, correlations).is_none() {
            return Err(CarbonError::Correlation);
        }
        Ok(Self {
            report,
            micropore_volume: cartridge.micropore_volume,
            reference_energy: cartridge.reference_energy,
            rate_factor: cartridge.rate_factor,
            affinities: factors("affinity", &cartridge.affinity)?,
            packings: factors("packing", &cartridge.packing)?,
            deviations,
            correlations,
        })
    }
}

fn inside(what: &str, value: f64, (lowest, highest): (f64, f64)) -> Result<(), CarbonError> {
    if lowest <= value && value <= highest {
        return Ok(());
    }
    Err(CarbonError::Outside(format!("{what} is {value}, outside {lowest} to {highest}")))
}

/// The factors of vapours told by name or registry number, each vapour once.
fn factors(key: &str, told: &BTreeMap<String, f64>) -> Result<Vec<(Cas, f64)>, CarbonError> {
    let mut all: Vec<(Cas, f64)> = Vec::with_capacity(told.len());
    for (name, factor) in told {
        let substance = Catalogue::builtin().find(name);
        let cas = substance.map_err(|error| CarbonError::Vapour(error.to_string()))?.cas();
        inside(&format!("the {key} of {name}"), *factor, OWN_FACTOR)?;
        if all.iter().any(|(other, _)| *other == cas) {
            let twice = format!("the {key} of {name} is told twice\n  keep one of the two");
            return Err(CarbonError::Vapour(twice));
        }
        all.push((cas, *factor));
    }
    all.sort_by_key(|(cas, _)| *cas);
    Ok(all)
}

impl From<CalibratedCarbon> for Lines {
    fn from(carbon: CalibratedCarbon) -> Self {
        let told = |factors: &[(Cas, f64)]| {
            factors.iter().map(|(cas, factor)| (cas.to_string(), *factor)).collect()
        };
        let [micropore_volume, reference_energy, rate] = carbon.deviations;
        let [volume_energy, volume_rate, energy_rate] = carbon.correlations;
        Self {
            cartridge: CartridgeLines {
                micropore_volume: carbon.micropore_volume,
                reference_energy: carbon.reference_energy,
                rate_factor: carbon.rate_factor,
                affinity: told(&carbon.affinities),
                packing: told(&carbon.packings),
            },
            uncertainty: UncertaintyLines {
                micropore_volume,
                reference_energy,
                rate,
                correlation: CorrelationPart {
                    volume_energy,
                    volume_rate,
                    energy_rate,
                    report: Some(carbon.report),
                },
            },
        }
    }
}

impl FromStr for CalibratedCarbon {
    type Err = CarbonError;

    fn from_str(text: &str) -> Result<Self, CarbonError> {
        let lines: Result<Lines, _> = toml::from_str(text);
        lines.map_err(|error| CarbonError::Unread(plain_words(error.message())))?.try_into()
    }
}

/// The lines that a case file takes, which read back as the same.
impl fmt::Display for CalibratedCarbon {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "[cartridge]\nmicropore_volume = \"{}\"", self.micropore_volume)?;
        writeln!(f, "reference_energy = \"{}\"", self.reference_energy)?;
        writeln!(f, "rate_factor = {}", self.rate_factor)?;
        for (key, factors) in [("affinity", &self.affinities), ("packing", &self.packings)] {
            let told = |(cas, factor): &(Cas, f64)| {
                let known = Catalogue::builtin().get(*cas);
                let name = known.map_or_else(|| cas.to_string(), |known| known.name().to_owned());
                format!("{} = {factor}", toml::Value::String(name))
            };
            let told: Vec<String> = factors.iter().map(told).collect();
            if !told.is_empty() {
                writeln!(f, "{key} = {{ {} }}", told.join(", "))?;
            }
        }
        let [volume, energy, rate] = self.deviations;
        writeln!(f, "\n[uncertainty]\nmicropore_volume = \"{volume}\"")?;
        writeln!(f, "reference_energy = \"{energy}\"\nrate = \"{rate}\"")?;
        let [first, second, third] = self.correlations;
        let report = toml::Value::String(self.report.clone());
        writeln!(
            f,
            "correlation = {{ volume_energy = {first}, volume_rate = {second}, energy_rate = {third}, report = {report} }}"
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LINES: &str = "[cartridge]\nmicropore_volume = \"0.461 cm3/g\"\nreference_energy = \"17.5 kJ/mol\"\nrate_factor = 0.4\naffinity = { \"Toluene\" = 1.1 }\n\n[uncertainty]\nmicropore_volume = \"2.5 %\"\nreference_energy = \"3 %\"\nrate = \"12 %\"\ncorrelation = { volume_energy = -0.5, volume_rate = 0.1, energy_rate = 0, report = 'L-7 \"A\", 2026-03-04' }\n";

    fn refused(from: &str, to: &str) -> String {
        let text = LINES.replace(from, to);
        assert_ne!(text, LINES, "{from}");
        text.parse::<CalibratedCarbon>().unwrap_err().to_string()
    }

    #[test]
    fn its_lines_and_its_entry_read_back_as_the_same() {
        let carbon: CalibratedCarbon = LINES.parse().unwrap();
        assert_eq!(carbon.to_string(), LINES);
        let kept = serde_json::to_string(&carbon).unwrap();
        assert!(kept.contains("108-88-3"), "{kept}");
        assert_eq!(serde_json::from_str::<CalibratedCarbon>(&kept).unwrap(), carbon);
    }

    #[test]
    fn what_is_no_calibration_is_refused_by_name() {
        for (from, to, said) in [
            ("rate_factor = 0.4", "", "`rate_factor` is missing"),
            ("rate_factor = 0.4", "rate_factor = 0", "the rate factor is 0"),
            ("17.5", "5", "the energy in kJ/mol is 5"),
            ("L-7 \"A\", 2026-03-04", " ", "the report"),
            ("volume_energy = -0.5", "volume_energy = -1.5", "no three quantities"),
            ("\"3 %\"", "\"0 %\"", "no three quantities"),
            ("\"Toluene\" = 1.1", "\"tolune\" = 1.1", "tolune"),
            ("\"Toluene\" = 1.1", "\"toluene\" = 1.1, \"108-88-3\" = 1", "told twice"),
            ("\"Toluene\" = 1.1", "\"toluene\" = 3", "outside 0.5 to 2"),
        ] {
            let why = refused(from, to);
            assert!(why.contains(said), "{to}: {why}");
        }
    }
}
