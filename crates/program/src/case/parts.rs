//! The tables and keys of a written case.

use std::collections::BTreeMap;

use quantity::{
    Celsius, Centimetres, Cm3PerGram, Concentration, Grams, GramsPerCm3, KilojoulesPerMol,
    Kilopascal, LitrePerMin, Minutes, OxygenPercent, Percent, RelHumidity, SquareCm,
};
use rulebook::{
    AirSource, AirborneForm, ElementKind, Facepiece, FilterClass, Handling, Mounting, Purpose,
};
use serde::{Deserialize, Deserializer, Serialize, de};
use toml::Spanned;

use super::{
    Penetration, ReactionPart, ReuseAccepted, SegmentPart, Storage, WrittenLevel, WrittenMethod,
};

/// A whole case.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Case {
    /// By which method; the bed marched through time where the work is not one steady stretch, and the
    /// closed form of steady air otherwise, where it is left out.
    #[serde(default)]
    pub method: Option<Spanned<WrittenMethod>>,
    /// The elements: their bed, or at least what they are certified for.
    #[serde(default)]
    pub cartridge: Option<CartridgePart>,
    /// The respirator that carries them; an air-purifying half mask where it is left out.
    #[serde(default)]
    pub respirator: RespiratorPart,
    /// The air.
    pub air: AirPart,
    /// What is in the air.
    #[serde(default)]
    pub contaminant: Vec<ContaminantPart>,
    /// What ends the life.
    #[serde(default)]
    pub end: EndPart,
    /// The work.
    #[serde(default)]
    pub work: WorkPart,
    /// The place, for selection.
    #[serde(default)]
    pub place: Option<PlacePart>,
    /// How sure the inputs are, where it is known.
    #[serde(default)]
    pub uncertainty: UncertaintyPart,
    /// The pattern of one shift, where it is not steady.
    #[serde(default)]
    pub segment: Vec<Spanned<SegmentPart>>,
    /// What a calibration found of each gas that these elements hold by reaction.
    #[serde(default)]
    pub reaction: Vec<Spanned<ReactionPart>>,
    /// Who accepts that elements against a low-boiling vapour are worn again.
    #[serde(default)]
    pub reuse: Option<Spanned<ReuseAccepted>>,
}

/// The elements: a bed, or only what they are certified for.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CartridgePart {
    /// How many share the flow. A bed needs it.
    #[serde(default)]
    pub elements: Option<Spanned<i64>>,
    /// Sorbent in each. A bed needs it.
    #[serde(default)]
    pub sorbent_mass: Option<Spanned<Grams>>,
    /// Area of each bed across the flow. A bed needs it.
    #[serde(default)]
    pub bed_area: Option<SquareCm>,
    /// Bulk density of the sorbent as it lies in the bed. A bed needs it.
    #[serde(default)]
    pub bulk_density: Option<Spanned<GramsPerCm3>>,
    /// Mean granule size.
    #[serde(default)]
    pub granule: Option<Centimetres>,
    /// Micropore volume of the carbon. A bed needs it.
    #[serde(default)]
    pub micropore_volume: Option<Cm3PerGram>,
    /// Characteristic energy of the carbon towards benzene; estimated from its micropore volume where it
    /// is left out.
    #[serde(default)]
    pub reference_energy: Option<Spanned<KilojoulesPerMol>>,
    /// Relative humidity of the air they were kept in before first use; that of the air where it is left
    /// out.
    #[serde(default)]
    pub stored_humidity: Option<RelHumidity>,
    /// What a calibration multiplies the rate coefficients by; 1 where it is left out.
    #[serde(default)]
    pub rate_factor: Option<Spanned<f64>>,
    /// What a calibration multiplies the affinity of a vapour by on this carbon, by its name or number; 1
    /// where it is left out.
    #[serde(default)]
    pub affinity: BTreeMap<String, Spanned<f64>>,
    /// What a calibration multiplies the density of a vapour's liquid by in the pores of this carbon; 1
    /// where it is left out.
    #[serde(default)]
    pub packing: BTreeMap<String, Spanned<f64>>,
    /// What they are certified for, as their label says; organic vapour of a bed that is described, where
    /// it is left out.
    #[serde(default)]
    pub certified_for: Option<OneOrMany>,
    /// How they are mounted; as cartridges where it is left out.
    #[serde(default)]
    pub mounting: Option<Mounting>,
    /// Their particulate filter, such as "P100"; none where it is left out.
    #[serde(default, deserialize_with = "written_filter")]
    pub filter: Option<FilterClass>,
}

fn written_filter<'de, D: Deserializer<'de>>(written: D) -> Result<Option<FilterClass>, D::Error> {
    let text = String::deserialize(written)?;
    text.parse().map(Some).map_err(de::Error::custom)
}

/// One kind of element, or several.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(
    untagged,
    expecting = "one kind of element or a list of kinds: organic vapour, chlorine, hydrogen chloride, sulfur dioxide, acid gas, ammonia, methylamine, formaldehyde, mercury vapour, ethylene oxide, vinyl chloride, 1,3-butadiene, carbon monoxide"
)]
pub enum OneOrMany {
    /// One.
    One(ElementKind),
    /// Several.
    Many(Vec<ElementKind>),
}

impl OneOrMany {
    /// The kinds.
    #[must_use]
    pub fn kinds(&self) -> &[ElementKind] {
        match self {
            Self::One(kind) => std::slice::from_ref(kind),
            Self::Many(kinds) => kinds,
        }
    }
}

/// The respirator.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RespiratorPart {
    /// Where its air comes from; air-purifying where it is left out.
    #[serde(default = "air_purifying")]
    pub air_source: AirSource,
    /// What covers the face; a half mask where it is left out.
    #[serde(default = "half_mask")]
    pub facepiece: Facepiece,
}

impl Default for RespiratorPart {
    fn default() -> Self {
        Self { air_source: air_purifying(), facepiece: half_mask() }
    }
}

fn air_purifying() -> AirSource {
    AirSource::AirPurifying
}

fn half_mask() -> Facepiece {
    Facepiece::HalfMask
}

/// The air.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AirPart {
    /// Flow through all elements together; a life needs it, a selection does not.
    #[serde(default)]
    pub flow: Option<LitrePerMin>,
    /// Temperature.
    pub temperature: Celsius,
    /// Relative humidity. A life needs it.
    #[serde(default)]
    pub relative_humidity: Option<RelHumidity>,
    /// Pressure; that of the standard atmosphere where it is left out.
    #[serde(default = "standard_atmosphere")]
    pub pressure: Kilopascal,
}

/// The standard atmosphere: 101.325 kPa.
pub(crate) fn standard_atmosphere() -> Kilopascal {
    #[expect(clippy::unwrap_used, reason = "a constant within the bounds of a pressure")]
    Kilopascal::from_kpa(101.325).unwrap()
}

/// One contaminant.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ContaminantPart {
    /// Its registry number (CAS). This or a name is needed.
    #[serde(default)]
    pub cas: Option<Spanned<String>>,
    /// Any of its names. This or the number is needed.
    #[serde(default)]
    pub name: Option<Spanned<String>>,
    /// Its level, or "unknown".
    pub concentration: Spanned<WrittenLevel>,
    /// How it is in the air; by its class where it is left out.
    #[serde(default)]
    pub form: Option<AirborneForm>,
    /// A limit that the site sets itself; the published limits alone count where it is left out.
    #[serde(default)]
    pub site_limit: Option<Concentration>,
}

/// What ends the life.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EndPart {
    /// A level at the outlet, or a part of what enters; part_of_limit counts where it is left out.
    #[serde(default)]
    pub penetration: Option<Spanned<Penetration>>,
    /// Where no penetration is given: this part of the exposure limit.
    #[serde(default)]
    pub part_of_limit: Option<Percent>,
}

/// The work.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WorkPart {
    /// Planned wear on one shift, where no segments tell it.
    #[serde(default)]
    pub wear: Option<Spanned<Minutes>>,
    /// How many shifts one set is meant to serve: the most that the site allows. As many as the segments
    /// tell of where it is left out.
    #[serde(default)]
    pub shifts_before_change: Option<Spanned<i64>>,
    /// From the end of one shift to the start of the next; 16 h where it is left out.
    #[serde(default)]
    pub between_shifts: Option<Minutes>,
    /// How the elements are kept meanwhile; sealed where it is left out, which keeps all that they
    /// hold.
    #[serde(default)]
    pub storage: Option<Storage>,
}

/// The place.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlacePart {
    /// Oxygen; that of the place is not known where it is left out, which a selection stops at.
    #[serde(default)]
    pub oxygen: Option<OxygenPercent>,
    /// Whether there is oil in the air; not known where it is left out.
    #[serde(default)]
    pub oil_aerosol: Option<bool>,
    /// Declared immediately dangerous to life or health; not declared where it is left out.
    #[serde(default)]
    pub immediately_dangerous: bool,
    /// What is in the air is not known; taken as known, by the contaminants, where it is left out.
    #[serde(default)]
    pub atmosphere_unknown: bool,
    /// Whether it irritates the eyes; not known where it is left out.
    #[serde(default)]
    pub irritates_eyes: Option<bool>,
    /// Whether gas-proof goggles are worn with a half mask; not worn where it is left out.
    #[serde(default)]
    pub gas_proof_goggles: bool,
    /// What the wearer is there for; routine work where it is left out.
    #[serde(default)]
    pub purpose: Option<Purpose>,
    /// How a carcinogen on the list is handled; not known where it is left out.
    #[serde(default)]
    pub handling: Option<Handling>,
}

/// Standard deviations of the inputs, as parts of their values, where they are known.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UncertaintyPart {
    /// Of each concentration.
    #[serde(default)]
    pub concentration: Option<Percent>,
    /// Of the flow.
    #[serde(default)]
    pub flow: Option<Percent>,
    /// Of the mass of sorbent.
    #[serde(default)]
    pub sorbent_mass: Option<Percent>,
    /// Of the micropore volume.
    #[serde(default)]
    pub micropore_volume: Option<Percent>,
    /// Of the characteristic energy.
    #[serde(default)]
    pub reference_energy: Option<Percent>,
    /// Of the rate coefficient.
    #[serde(default)]
    pub rate: Option<Percent>,
    /// Of the absolute temperature.
    #[serde(default)]
    pub temperature: Option<Percent>,
    /// Of the humidity, in parts of saturation.
    #[serde(default)]
    pub relative_humidity: Option<Percent>,
    /// Of the area of the bed.
    #[serde(default)]
    pub bed_area: Option<Percent>,
    /// Of the bulk density.
    #[serde(default)]
    pub bulk_density: Option<Percent>,
    /// Of the granule size.
    #[serde(default)]
    pub granule: Option<Percent>,
    /// Of the pressure of the air.
    #[serde(default)]
    pub pressure: Option<Percent>,
    /// How the errors of micropore volume, energy and rate go together, where a calibration told.
    #[serde(default)]
    pub correlation: Option<CorrelationPart>,
}

/// Correlations of the errors of three quantities that a calibration finds together, -1 to 1.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CorrelationPart {
    /// Of micropore volume and energy.
    pub volume_energy: f64,
    /// Of micropore volume and rate.
    pub volume_rate: f64,
    /// Of energy and rate.
    pub energy_rate: f64,
    /// The laboratory report of the calibration.
    #[serde(default)]
    pub report: Option<String>,
}

impl CorrelationPart {
    /// The three: volume and energy, volume and rate, energy and rate.
    pub(crate) fn numbers(&self) -> [f64; 3] {
        [self.volume_energy, self.volume_rate, self.energy_rate]
    }
}
