//! The written case: what is worn, in which air, for how long.

mod error;
mod level;
mod parts;
mod penetration;
mod plain;
mod reaction;
mod segment;

use rulebook::{AirborneForm, Contaminant, Level, Place};
use substance::{Catalogue, NotFound, Substance};
use toml::Spanned;

pub use error::CaseError;
pub use level::WrittenLevel;
pub(crate) use parts::standard_atmosphere;
pub use parts::{
    AirPart, CartridgePart, Case, ContaminantPart, CorrelationPart, EndPart, OneOrMany, PlacePart,
    RespiratorPart, UncertaintyPart, WorkPart,
};
pub use penetration::Penetration;
pub use plain::plain_words;
pub(crate) use plain::words_of_table;
pub use reaction::ReactionPart;
pub use segment::{Mask, ReuseAccepted, SegmentPart, Storage, WrittenMethod};

use level::UNKNOWN;

/// A case whose text was read, with the text itself, so that a refusal can name the line.
#[derive(Debug, Clone)]
pub struct WrittenCase {
    /// What the text says.
    pub case: Case,
    text: String,
}

impl WrittenCase {
    /// Reads a case from TOML text.
    ///
    /// Refuses what is not TOML, an unknown or missing key and a quantity without its unit, with
    /// the line and the key.
    pub fn read(text: &str) -> Result<Self, CaseError> {
        let case = toml::from_str(text).map_err(|error| CaseError::from_toml(&error, text))?;
        Ok(Self { case, text: text.to_owned() })
    }

    /// The place the case tells of, as the rules see it.
    pub fn place(&self) -> Result<Place, CaseError> {
        if self.case.contaminant.is_empty() {
            return Err(
                self.missing("contaminant", "name at least one, in a [[contaminant]] table")
            );
        }
        let contaminants = self.case.contaminant.iter().map(|part| self.contaminant(part));
        let contaminants = contaminants.collect::<Result<Vec<_>, _>>()?;
        self.refuse_twice_named(&contaminants)?;
        let air = &self.case.air;
        let place = self.case.place.clone().unwrap_or_default();
        let mut told = Place::with(contaminants)
            .map_err(|error| self.missing("contaminant", &error.to_string()))?;
        told.oxygen = place.oxygen;
        told.oil_aerosol = place.oil_aerosol;
        told.temperature = air.temperature;
        told.pressure = air.pressure;
        told.relative_humidity = air.relative_humidity;
        told.declared_immediately_dangerous = place.immediately_dangerous;
        told.atmosphere_unknown = place.atmosphere_unknown;
        told.irritates_eyes = place.irritates_eyes;
        told.gas_proof_goggles = place.gas_proof_goggles;
        told.purpose = place.purpose.unwrap_or(told.purpose);
        told.handling = place.handling;
        Ok(told)
    }

    /// One contaminant with its substance looked up.
    fn contaminant(&self, part: &ContaminantPart) -> Result<Contaminant, CaseError> {
        let substance = self.substance(part)?;
        let level = self.level(part)?;
        let form = part.form.unwrap_or_else(|| usual_form(substance));
        Ok(Contaminant { substance, level, form, site_limit: part.site_limit })
    }

    /// Refuses a substance that two tables name: each level would be judged as if it were all.
    fn refuse_twice_named(&self, contaminants: &[Contaminant]) -> Result<(), CaseError> {
        for (index, (part, contaminant)) in
            self.case.contaminant.iter().zip(contaminants).enumerate()
        {
            let same = |other: &Contaminant| other.substance.cas() == contaminant.substance.cas();
            if contaminants.iter().take(index).any(same) {
                let name = contaminant.substance.name();
                let message = format!(
                    "{name} is named twice\n  give it one table with the whole of its level"
                );
                return Err(self.at(&part.concentration, "contaminant", message));
            }
        }
        Ok(())
    }

    /// The substance a contaminant names by number or by name; where it names both, they must be
    /// of one substance.
    pub fn substance(&self, part: &ContaminantPart) -> Result<&'static Substance, CaseError> {
        let (asked, key) = match (&part.cas, &part.name) {
            (Some(cas), _) => (cas, "cas"),
            (None, Some(name)) => (name, "name"),
            (None, None) => {
                return Err(self.missing("contaminant", "give cas = \"...\" or name = \"...\""));
            }
        };
        let catalogue = Catalogue::builtin();
        if let (Some(_), Some(name)) = (&part.cas, &part.name) {
            let by_name = catalogue.find(name.get_ref());
            let by_name = by_name.map_err(|error| self.at(name, "name", error.to_string()))?;
            if by_name.cas().to_string() != asked.get_ref().trim() {
                let message = format!(
                    "`{}` is {} and not {asked}\n  name the substance by one of the two",
                    name.get_ref(),
                    by_name.cas(),
                    asked = asked.get_ref()
                );
                return Err(self.at(name, "name", message));
            }
        }
        let refuse = |error: NotFound| self.at(asked, key, error.to_string());
        if key == "cas" {
            let check = asked.get_ref().parse::<substance::Cas>();
            check.map_err(|error| self.at(asked, key, error.to_string()))?;
        }
        catalogue.find(asked.get_ref()).map_err(refuse)
    }

    /// The level of a contaminant, or that it is not known.
    fn level(&self, part: &ContaminantPart) -> Result<Level, CaseError> {
        let written = &part.concentration;
        match written.get_ref() {
            WrittenLevel::Known(level) if level.number() > 0.0 => Ok(Level::Known(*level)),
            WrittenLevel::Known(level) => {
                let message = format!(
                    "a concentration of {level} is nothing\n  leave the contaminant out, or write \"{UNKNOWN}\" where it was not measured"
                );
                Err(self.at(written, "concentration", message))
            }
            WrittenLevel::Unknown => Ok(Level::Unknown),
        }
    }

    /// A refusal of a value, at its line.
    pub(crate) fn at<T>(&self, value: &Spanned<T>, key: &str, message: String) -> CaseError {
        CaseError::at(&self.text, value.span().start, key, message)
    }

    /// A refusal of something that is not there.
    pub(crate) fn missing(&self, key: &str, message: &str) -> CaseError {
        CaseError::missing(&self.text, key, message)
    }
}

/// How a substance is usually in the air where nothing else is said.
fn usual_form(substance: &Substance) -> AirborneForm {
    match (substance.class(), substance.also_particulate()) {
        (substance::SubstanceClass::Particulate, _) => AirborneForm::Particle,
        (_, true) => AirborneForm::VapourAndParticle,
        (_, false) => AirborneForm::Vapour,
    }
}
