use quantity::{Celsius, Concentration};
use rulebook::{AirborneForm, Contaminant, Level, governing};
use substance::SubstanceClass;

use super::{LifeMethod, LifeSetup};
use crate::case::{Case, Penetration};

/// Part of the exposure limit at which the life ends where nothing else is asked. The other half
/// is left for what passes the seal of the facepiece; common practice, no source.
const USUAL_PART_OF_LIMIT: f64 = 0.5;

/// Why a level that was not measured ends no life.
const UNKNOWN: &str = "its concentration is not known";

/// What ends the life.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum End {
    /// A level at the outlet, or a part of what enters.
    Penetration(Penetration),
    /// A part, 0 to 1, of the exposure limit of each contaminant.
    PartOfLimit(f64),
}

impl Default for End {
    fn default() -> Self {
        Self::PartOfLimit(USUAL_PART_OF_LIMIT)
    }
}

impl End {
    /// What a case asks for.
    pub(super) fn of(case: &Case) -> Self {
        match (&case.end.penetration, case.end.part_of_limit) {
            (Some(penetration), _) => Self::Penetration(*penetration.get_ref()),
            (None, Some(part)) => Self::PartOfLimit(part.as_fraction()),
            (None, None) => Self::default(),
        }
    }
}

/// The level that enters, ppm; none where it is not known or not a vapour.
pub(super) fn inlet_ppm(setup: &LifeSetup, contaminant: &Contaminant) -> Result<f64, String> {
    let Level::Known(level) = contaminant.level else {
        return Err(UNKNOWN.to_owned());
    };
    to_ppm(setup, contaminant, level)
}

/// The level at the outlet that ends the life against a contaminant, ppm, or why there is none.
pub(super) fn end_ppm(setup: &LifeSetup, contaminant: &Contaminant) -> Result<f64, String> {
    let inlet = inlet_ppm(setup, contaminant)?;
    let end = match setup.end {
        End::Penetration(Penetration::Part(part)) => inlet * part.as_fraction(),
        End::Penetration(Penetration::Level(level)) => to_ppm(setup, contaminant, level)?,
        End::PartOfLimit(part) => {
            let limit = governing(contaminant, &setup.place).ok_or_else(|| {
                "no exposure limit is known that could end the life; give a penetration or a site limit".to_owned()
            })?;
            to_ppm(setup, contaminant, limit.value)? * part / sharing(setup)
        }
    };
    if end > 0.0 { Ok(end) } else { Err("its end level is zero".to_owned()) }
}

/// Over how many vapours the exposure limit is shared: with each at an equal part of its own, the sum
/// of level over limit cannot pass one. The march adds up those that it follows itself; where one beside
/// them is held otherwise, they share as well.
fn sharing(setup: &LifeSetup) -> f64 {
    let vapour = |contaminant: &&Contaminant| contaminant.form != AirborneForm::Particle;
    let vapours = || setup.place.contaminants.iter().filter(vapour);
    let marched = |contaminant: &Contaminant| {
        let substance = contaminant.substance;
        substance.class() == SubstanceClass::OrganicVapour && substance.poor_sorbent().is_none()
    };
    if setup.method == LifeMethod::Bed && vapours().all(marched) {
        return 1.0;
    }
    u32::try_from(vapours().count().max(1)).map_or(1.0, f64::from)
}

/// The level that counts as the whole in the rule for mixtures, ppm: the part of the exposure limit
/// that ends the life, or the limit where the life ends otherwise; none where no limit is known.
pub(super) fn whole_ppm(setup: &LifeSetup, contaminant: &Contaminant) -> Option<f64> {
    let limit = governing(contaminant, &setup.place)?;
    let part = match setup.end {
        End::PartOfLimit(part) => part,
        End::Penetration(_) => 1.0,
    };
    to_ppm(setup, contaminant, limit.value).ok().map(|limit| limit * part / sharing(setup))
}

/// A level that enters in a segment of a temperature, ppm.
pub(super) fn level_ppm(
    setup: &LifeSetup,
    contaminant: &Contaminant,
    level: Level,
    temperature: Celsius,
) -> Result<f64, String> {
    match level {
        Level::Known(level) => to_ppm_at(setup, contaminant, level, temperature),
        Level::Unknown => Err(UNKNOWN.to_owned()),
    }
}

/// The exposure limit of a contaminant, ppm, where its end level lies above it: what passes then is
/// more than may be breathed.
pub(super) fn limit_passed(
    setup: &LifeSetup,
    contaminant: &Contaminant,
    end_ppm: f64,
) -> Option<f64> {
    let limit = governing(contaminant, &setup.place)?;
    // The same figure, written once as a part and once as a level, differs in its last digits.
    to_ppm(setup, contaminant, limit.value).ok().filter(|limit| end_ppm > limit * (1.0 + 1e-9))
}

fn to_ppm(
    setup: &LifeSetup,
    contaminant: &Contaminant,
    level: Concentration,
) -> Result<f64, String> {
    to_ppm_at(setup, contaminant, level, setup.place.temperature)
}

fn to_ppm_at(
    setup: &LifeSetup,
    contaminant: &Contaminant,
    level: Concentration,
    temperature: Celsius,
) -> Result<f64, String> {
    let mass = contaminant.substance.molar_mass_g_per_mol();
    let molar_mass = mass.map_err(|error| error.to_string())?.value;
    match level.to_ppm(molar_mass, temperature, setup.place.pressure) {
        Some(Ok(ppm)) => Ok(ppm.as_ppm()),
        Some(Err(error)) => Err(error.to_string()),
        None => Err("a count of fibres is no vapour".to_owned()),
    }
}
