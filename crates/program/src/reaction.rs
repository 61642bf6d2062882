//! What a calibration found of the gases that elements hold by reaction, in the lines that `calibrate`
//! prints and a case file, a form and an entry take.

use std::fmt;
use std::str::FromStr;

use quantity::{Celsius, Grams, LitrePerGramMin, LitrePerMin, MgPerM3, Percent, RelHumidity};
use rulebook::is_blank;
use serde::{Deserialize, Serialize};
use sorbent::HeldByReaction;
use substance::{Cas, Catalogue, Substance, SubstanceClass};

use crate::case::{ReactionPart, plain_words};

/// Everything that a calibration finds of one gas, how sure it is of it, and in which air it was found.
/// What is read as one is whole: every number lies where elements lie.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "ReactionPart", into = "ReactionPart")]
pub struct CalibratedReaction {
    /// The gas.
    pub gas: Cas,
    /// What one element holds of it.
    pub capacity: Grams,
    /// Rate coefficient of its uptake.
    pub rate: LitrePerGramMin,
    /// Relative standard deviations of the two.
    pub deviations: [Percent; 2],
    /// Correlation of their errors, between -1 and 1.
    pub correlation: f64,
    /// The air of the tests.
    pub tested: TestedAir,
    /// The laboratory report: laboratory, number, day.
    pub report: String,
}

/// The air in which a gas was tested.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TestedAir {
    /// Slowest flow through one element.
    pub slowest_flow: LitrePerMin,
    /// Lowest and highest level.
    pub levels: [MgPerM3; 2],
    /// Least part that had passed at a time that was found.
    pub least_penetration: Percent,
    /// Driest and dampest.
    pub humidity: [RelHumidity; 2],
    /// Temperature.
    pub temperature: Celsius,
}

/// The gases of one kind of element, each once.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(try_from = "Vec<CalibratedReaction>")]
pub struct CalibratedReactions(Vec<CalibratedReaction>);

/// Why lines tell of no gas held by reaction.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ReactionLinesError {
    /// No lines that `calibrate` prints.
    #[error("{0}\n  paste the [[reaction]] tables that calibrate printed")]
    Unread(String),
    /// A gas that is not known, or is not held so.
    #[error("{0}")]
    Gas(String),
    /// A gas that is told twice.
    #[error("{0} is told twice\n  keep one of the two")]
    Twice(String),
    /// The report is not named.
    #[error(
        "the report that {0} was calibrated on is not named\n  add report = \"laboratory, number, day\""
    )]
    NoReport(String),
    /// A number that no calibration finds.
    #[error("{0}\n  give what the calibration found")]
    Outside(String),
}

impl CalibratedReaction {
    /// Capacity and rate as the physics takes them.
    pub(crate) fn held(&self) -> HeldByReaction {
        let [_, highest] = self.tested.levels;
        HeldByReaction {
            capacity_g: self.capacity.as_g(),
            rate_l_per_g_min: self.rate.as_l_per_g_min(),
            slowest_l_per_min: self.tested.slowest_flow.as_l_per_min(),
            highest_g_per_l: highest.as_mg_per_m3() * 1e-6,
        }
    }
}

impl CalibratedReactions {
    /// All of them; refuses a gas that is told twice.
    pub fn of(all: Vec<CalibratedReaction>) -> Result<Self, ReactionLinesError> {
        for (place, one) in all.iter().enumerate() {
            if all.iter().take(place).any(|other| other.gas == one.gas) {
                return Err(ReactionLinesError::Twice(name(one.gas)));
            }
        }
        Ok(Self(all))
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Each of them.
    #[must_use]
    pub fn gases(&self) -> &[CalibratedReaction] {
        &self.0
    }
}

/// The substance of this name, if a reaction holds it.
///
/// Refuses an unknown one, an organic vapour, which the pores of carbon hold, and what no reaction
/// with an end holds.
pub(crate) fn gas_held(name: &str) -> Result<&'static Substance, String> {
    let substance = Catalogue::builtin().find(name).map_err(|error| error.to_string())?;
    if is_held(substance) {
        return Ok(substance);
    }
    let (name, class) = (substance.name(), substance.class());
    Err(format!(
        "{name} is not held by a reaction that uses up what holds it ({class})\n  leave it out"
    ))
}

/// Whether a reaction that uses up what holds it takes the substance out of the air. What an element
/// certified by name, a canister for ethylene oxide or one for carbon monoxide does is not known here.
pub(crate) fn is_held(substance: &Substance) -> bool {
    matches!(
        substance.class(),
        SubstanceClass::AcidGas
            | SubstanceClass::AmmoniaAmine
            | SubstanceClass::Formaldehyde
            | SubstanceClass::MercuryVapour
    ) && substance.poor_sorbent().is_none()
}

fn name(cas: Cas) -> String {
    Catalogue::builtin().get(cas).map_or_else(|| cas.to_string(), |known| known.name().to_owned())
}

impl TryFrom<ReactionPart> for CalibratedReaction {
    type Error = ReactionLinesError;

    fn try_from(part: ReactionPart) -> Result<Self, ReactionLinesError> {
        let substance = gas_held(&part.contaminant).map_err(ReactionLinesError::Gas)?;
        let name = substance.name();
        if is_blank(&part.report) {
            return Err(ReactionLinesError::NoReport(name.to_owned()));
        }
        let all = Self {
            gas: substance.cas(),
            capacity: part.capacity,
            rate: part.rate,
            deviations: [part.capacity_error, part.rate_error],
            correlation: part.correlation,
            tested: TestedAir {
                slowest_flow: part.slowest_flow,
                levels: [part.lowest_level, part.highest_level],
                least_penetration: part.least_penetration,
                humidity: [part.driest, part.dampest],
                temperature: part.temperature,
            },
            report: part.report,
        };
        let outside = |what: &str| Err(ReactionLinesError::Outside(format!("{name}: {what}")));
        let TestedAir { levels: [lowest, highest], humidity: [driest, dampest], .. } = all.tested;
        let passed = all.tested.least_penetration.as_fraction();
        if all.deviations.iter().any(|part| part.as_fraction() <= 0.0) {
            return outside("no calibration is without an error");
        }
        if !(-1.0 < all.correlation && all.correlation < 1.0) {
            return outside(
                "two errors that are not known go together by more than -1 and less than 1",
            );
        }
        if lowest.as_mg_per_m3() <= 0.0 || highest < lowest || dampest < driest {
            return outside(
                "lowest and highest level, or driest and dampest air, are mixed up or nothing",
            );
        }
        if passed <= 0.0 || 0.5 < passed {
            return outside("a penetration in the tests lies above 0 % and at 50 % at most");
        }
        if !all.held().is_likely() {
            let widths = all.held().widths();
            return outside(&format!(
                "no element holds {widths:.3e} times what lies in its front, which capacity, rate and flow say"
            ));
        }
        Ok(all)
    }
}

impl From<CalibratedReaction> for ReactionPart {
    fn from(all: CalibratedReaction) -> Self {
        let ([capacity_error, rate_error], tested) = (all.deviations, all.tested);
        let ([lowest_level, highest_level], [driest, dampest]) = (tested.levels, tested.humidity);
        Self {
            contaminant: all.gas.to_string(),
            capacity: all.capacity,
            rate: all.rate,
            capacity_error,
            rate_error,
            correlation: all.correlation,
            slowest_flow: tested.slowest_flow,
            lowest_level,
            highest_level,
            least_penetration: tested.least_penetration,
            driest,
            dampest,
            temperature: tested.temperature,
            report: all.report,
        }
    }
}

impl TryFrom<Vec<CalibratedReaction>> for CalibratedReactions {
    type Error = ReactionLinesError;

    fn try_from(all: Vec<CalibratedReaction>) -> Result<Self, ReactionLinesError> {
        Self::of(all)
    }
}

impl FromStr for CalibratedReactions {
    type Err = ReactionLinesError;

    fn from_str(text: &str) -> Result<Self, ReactionLinesError> {
        #[derive(Deserialize)]
        #[serde(deny_unknown_fields)]
        struct Lines {
            reaction: Vec<ReactionPart>,
        }
        let lines: Result<Lines, _> = toml::from_str(text);
        let unread =
            |error: toml::de::Error| ReactionLinesError::Unread(plain_words(error.message()));
        let parts = lines.map_err(unread)?.reaction;
        Self::of(parts.into_iter().map(TryInto::try_into).collect::<Result<_, _>>()?)
    }
}

/// The lines that a case file takes, which read back as the same.
impl fmt::Display for CalibratedReactions {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (place, one) in self.0.iter().enumerate() {
            if place > 0 {
                writeln!(f)?;
            }
            one.fmt(f)?;
        }
        Ok(())
    }
}

impl fmt::Display for CalibratedReaction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = |text: &str| toml::Value::String(text.to_owned());
        let part = ReactionPart::from(self.clone());
        writeln!(f, "[[reaction]]\ncontaminant = {}", text(&name(self.gas)))?;
        writeln!(f, "capacity = \"{}\"\nrate = \"{}\"", part.capacity, part.rate)?;
        writeln!(f, "capacity_error = \"{}\"", part.capacity_error)?;
        writeln!(f, "rate_error = \"{}\"\ncorrelation = {}", part.rate_error, part.correlation)?;
        writeln!(f, "slowest_flow = \"{}\"", part.slowest_flow)?;
        writeln!(
            f,
            "lowest_level = \"{}\"\nhighest_level = \"{}\"",
            part.lowest_level, part.highest_level
        )?;
        writeln!(f, "least_penetration = \"{}\"", part.least_penetration)?;
        writeln!(f, "driest = \"{}\"\ndampest = \"{}\"", part.driest, part.dampest)?;
        writeln!(f, "temperature = \"{}\"\nreport = {}", part.temperature, text(&part.report))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    pub(crate) const LINES: &str = "[[reaction]]\ncontaminant = \"Chlorine\"\ncapacity = \"2.4 g\"\nrate = \"200 L/(g min)\"\ncapacity_error = \"3 %\"\nrate_error = \"12 %\"\ncorrelation = -0.82\nslowest_flow = \"32 L/min\"\nlowest_level = \"1450 mg/m3\"\nhighest_level = \"1450 mg/m3\"\nleast_penetration = \"1 %\"\ndriest = \"50 %\"\ndampest = \"50 %\"\ntemperature = \"25 degC\"\nreport = 'L-7 \"A\", 2026-03-04'\n";

    fn refused(from: &str, to: &str) -> String {
        let text = LINES.replace(from, to);
        assert_ne!(text, LINES, "{from}");
        text.parse::<CalibratedReactions>().unwrap_err().to_string()
    }

    #[test]
    fn its_lines_and_its_entry_read_back_as_the_same() {
        let both = format!("{LINES}\n{}", LINES.replace("Chlorine", "Ammonia"));
        let all: CalibratedReactions = both.parse().unwrap();
        assert_eq!(all.to_string(), both);
        let kept = serde_json::to_string(&all).unwrap();
        assert!(kept.starts_with('[') && kept.contains("7782-50-5"), "{kept}");
        assert_eq!(serde_json::from_str::<CalibratedReactions>(&kept).unwrap(), all);
    }

    #[test]
    fn what_is_no_calibration_is_refused_by_name() {
        for (from, to, said) in [
            ("Chlorine", "chlorin", "chlorin"),
            ("Chlorine", "toluene", "organic vapour"),
            ("Chlorine", "carbon monoxide", "not held by a reaction"),
            ("rate = \"200 L/(g min)\"\n", "", "`rate` is missing"),
            ("200 L/(g min)", "200", "no unit"),
            ("200 L/(g min)", "1 L/(g min)", "no element holds"),
            ("2.4 g", "0 g", "no element holds"),
            ("12 %", "0 %", "without an error"),
            ("-0.82", "-1", "go together"),
            ("-0.82", "nan", "go together"),
            ("lowest_level = \"1450 mg/m3\"", "lowest_level = \"2 g/m3\"", "mixed up"),
            ("dampest = \"50 %\"", "dampest = \"40 %\"", "mixed up"),
            ("least_penetration = \"1 %\"", "least_penetration = \"60 %\"", "50 % at most"),
            ("'L-7 \"A\", 2026-03-04'", "' '", "the report"),
            ("[[reaction]]", "[[reactions]]", "[[reaction]] tables"),
        ] {
            let why = refused(from, to);
            assert!(why.contains(said), "{to}: {why}");
        }
        let twice = format!("{LINES}\n{}", LINES.replace("Chlorine", "7782-50-5"));
        let why = twice.parse::<CalibratedReactions>().unwrap_err().to_string();
        assert!(why.contains("Chlorine is told twice"), "{why}");
    }
}
