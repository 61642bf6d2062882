//! The bath of a cleaning session: how much product, how hot, how long.
//!
//! Source of every figure: 29 CFR 1910.134 App. B-2 Part I, kept in `data/cleaning.csv`.

mod named;
mod recipe;
mod rules;

use std::fmt;

use quantity::{Celsius, GramsPerCm3, Litres, MgPerLitre, Minutes, Percent, QuantityError};
use serde::{Deserialize, Serialize};

pub use named::{Named, is_called, named, vouches};
pub use recipe::{Recipe, printed_strength, recipe};
pub use rules::rules;

use crate::Finding;
use crate::interval::DAY_MIN;

/// What disinfects.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Agent {
    /// Hypochlorite, counted as chlorine.
    Hypochlorite,
    /// Iodine.
    Iodine,
    /// Another cleaner, of equal effect, that the maker of the respirator recommends or approves.
    ApprovedCleaner,
}

impl fmt::Display for Agent {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Hypochlorite => "hypochlorite",
            Self::Iodine => "iodine",
            Self::ApprovedCleaner => "cleaner approved by the maker of the respirator",
        })
    }
}

/// What the per cent of a hypochlorite label are of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ChlorineBasis {
    /// Sodium hypochlorite, the usual label.
    #[default]
    SodiumHypochlorite,
    /// Available chlorine.
    AvailableChlorine,
}

/// The strength of a product as its label gives it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Strength {
    /// Grams in 100 mL of product.
    MassPerVolume(Percent),
    /// Grams in 100 g of product, and what a cubic centimetre of it weighs.
    MassPerMass(Percent, GramsPerCm3),
}

impl Strength {
    /// Grams in a litre of product.
    #[must_use]
    pub fn as_g_per_l(self) -> f64 {
        match self {
            Self::MassPerVolume(percent) => percent.as_percent() * 10.0,
            Self::MassPerMass(percent, density) => {
                percent.as_percent() * 10.0 * density.as_g_per_cm3()
            }
        }
    }
}

/// What is to be made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Request {
    /// The whole bath when made.
    pub bath: Litres,
    /// What disinfects.
    pub agent: Agent,
    /// The product.
    pub product: Strength,
    /// What the per cent are of; heeded for hypochlorite alone.
    pub chlorine_basis: ChlorineBasis,
    /// The strength of the bath; as printed in the rule where it is left out.
    pub target: Option<MgPerLitre>,
    /// The temperature of the bath.
    pub temperature: Option<Celsius>,
    /// How long the parts are meant to stay in; as the rule says where it is left out.
    pub contact: Option<Minutes>,
    /// Whether the maker of the respirator recommends or approves the cleaner.
    pub approved_by_maker: bool,
}

/// The bath.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Bath {
    /// The method in words.
    pub method: &'static str,
    /// What disinfects.
    pub agent: Agent,
    /// The whole bath.
    pub bath: Litres,
    /// Its strength.
    pub target: MgPerLitre,
    /// The product, as its label gives it.
    pub product_strength: Strength,
    /// What disinfects in a litre of the product, g.
    pub active_g_per_l: f64,
    /// Product to measure out.
    pub product: Litres,
    /// The same, mL.
    pub product_ml: f64,
    /// Water to measure out.
    pub water: Litres,
    /// Temperature of the bath, where it was given.
    pub temperature: Option<Celsius>,
    /// The highest the rule allows.
    pub highest_temperature: Celsius,
    /// How long the parts stay fully covered.
    pub contact: Minutes,
    /// Everything found.
    pub findings: Vec<Finding>,
    /// Where the figures come from.
    pub sources: Vec<String>,
}

/// A figure of a bath that was asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BathFigure {
    /// How much is made.
    Bath,
    /// How strong it is to be.
    Target,
    /// Its temperature.
    Temperature,
    /// How long the parts stay in.
    Contact,
    /// The strength of the product.
    Product,
    /// What a cubic centimetre of the product weighs.
    Density,
}

impl fmt::Display for BathFigure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Bath | Self::Target => "a bath",
            Self::Temperature => "a temperature",
            Self::Contact => "a contact",
            Self::Product => "a product",
            Self::Density => "a product with a density",
        })
    }
}

/// Why a bath cannot be made so.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BathError {
    /// Nothing to fill.
    #[error("a bath of {0} is no bath\n  give the volume that covers all parts")]
    NoVolume(Litres),
    /// A product with nothing in it.
    #[error("a product of no strength makes no bath\n  read the strength on the label")]
    NoStrength,
    /// The product is weaker than the bath.
    #[error(
        "the product holds {product_mg_per_l:.1} mg/L and is weaker than the bath of {target}\n  take a stronger product or check the strength on the label"
    )]
    WeakerThanBath {
        /// Active in the product.
        product_mg_per_l: f64,
        /// What the bath is to hold.
        target: MgPerLitre,
    },
    /// More than a liquid holds.
    #[error(
        "no liquid of hypochlorite holds {0:.1} g in a litre\n  a dry product is weighed, not measured by volume; make it up to a liquid of known strength first"
    )]
    NotALiquid(f64),
    /// A bath of nothing.
    #[error("a bath of {0} does not disinfect\n  give the strength of the label or of the rule")]
    NoTarget(MgPerLitre),
    /// A figure that no bath of a cleaning bench has.
    #[error(
        "{figure} of {given} is outside {lowest} to {highest}\n  look at the figure and its unit"
    )]
    OutOfRange {
        /// Which figure.
        figure: BathFigure,
        /// As it was given.
        given: String,
        /// The lowest that is taken.
        lowest: String,
        /// The highest that is taken.
        highest: String,
    },
    /// The rule prints no strength for another cleaner.
    #[error(
        "the rule prints no strength for another cleaner\n  give the strength that its label directs for disinfection"
    )]
    TargetNeeded,
    /// A computed quantity left its bounds.
    #[error(transparent)]
    Quantity(#[from] QuantityError),
}

const METHOD: &str = "volume of product = volume of bath x strength of bath / strength of product, both as mass of what disinfects per volume; the rest is water; ppm in water is read as mg in a litre of bath";

/// Chlorine that a mass of sodium hypochlorite makes available: molar masses 70.906 and 74.442
/// g/mol (standard atomic weights, from memory).
const CHLORINE_IN_HYPOCHLORITE: f64 = 70.906 / 74.442;

/// More than this a liquid of hypochlorite does not hold, g/L. Common practice, no source.
const MOST_HYPOCHLORITE_G_PER_L: f64 = 250.0;

/// More than this a tincture or solution of iodine does not hold, g/L: strong ones hold about 100.
/// Common practice, no source.
const MOST_IODINE_G_PER_L: f64 = 200.0;

/// More than this no liquid disinfectant holds, g/L: the densest of the usual ones, pure, are lighter.
/// Common practice, no source.
const MOST_G_PER_L: f64 = 2000.0;

/// What a cubic centimetre of a liquid disinfectant can weigh, g. Common practice, no source.
const DENSITY_G_PER_CM3: (f64, f64) = (0.7, 2.0);

/// A bath that covers a facepiece and can be made at a bench, L. Common practice, no source.
const BATH_L: (f64, f64) = (0.1, 1000.0);

/// Water is liquid between these, degC, at any altitude where people work.
const LIQUID_CELSIUS: (f64, f64) = (0.0, 100.0);

/// A bath of hypochlorite or iodine is never meant to hold so many times the printed strength: the
/// strongest in use, for spills of blood, hold about a hundred times. Common practice, no source.
pub(crate) const MOST_TIMES_PRINTED: f64 = 100.0;

/// The printed recipe and the computed volume may differ by this part before it is said.
const RECIPE_APART: f64 = 0.25;

/// A bath is said to be strong beyond this many times the printed strength. A judgment.
pub(crate) const STRONG: f64 = 2.0;

/// The bath that `request` asks for.
///
/// Dilution by mass: `V_product = V_bath x c_bath / c_product`. Refuses a volume, strength or target
/// of zero, a product weaker than the bath, a product stronger or denser than a liquid can be, a bath
/// of a hundred times the printed strength, one that no bench can make, one that is ice or steam, a
/// contact of more than a day, and another cleaner without a strength from its label. Heat, time and
/// approval are findings.
///
/// Source: 29 CFR 1910.134 App. B-2 I.B to I.E, `data/cleaning.csv`. Example: one millilitre of
/// 5.25 % bleach in a litre gives the printed 50 ppm of chlorine (`the_printed_recipes_are_recovered`).
pub fn make(request: &Request) -> Result<Bath, BathError> {
    let recipe = recipe(request.agent);
    let target = request.target.or(recipe.strength).ok_or(BathError::TargetNeeded)?;
    let active_g_per_l = active_g_per_l(request)?;
    let (bath_l, target_mg_per_l) = (request.bath.as_l(), target.as_mg_per_l());
    if bath_l <= 0.0 {
        return Err(BathError::NoVolume(request.bath));
    }
    if target_mg_per_l <= 0.0 {
        return Err(BathError::NoTarget(target));
    }
    in_range(request, recipe, target)?;
    let product_mg_per_l = active_g_per_l * 1e3;
    if product_mg_per_l < target_mg_per_l {
        return Err(BathError::WeakerThanBath { product_mg_per_l, target });
    }
    let product = Litres::from_l(bath_l * target_mg_per_l / product_mg_per_l)?;
    let planned = request.contact.unwrap_or(recipe.contact);
    let mut made = Bath {
        method: METHOD,
        agent: request.agent,
        bath: request.bath,
        target,
        product_strength: request.product,
        active_g_per_l,
        product,
        product_ml: product.as_ml(),
        water: Litres::from_l((bath_l - product.as_l()).max(0.0))?,
        temperature: request.temperature,
        highest_temperature: recipe.highest_temperature,
        contact: longer(planned, recipe.contact),
        findings: Vec::new(),
        sources: sources(request.agent, recipe),
    };
    made.findings = findings(request, recipe, &made);
    Ok(made)
}

fn longer(one: Minutes, other: Minutes) -> Minutes {
    if one.as_min() < other.as_min() { other } else { one }
}

/// Refuses what no bath of a cleaning bench can be.
fn in_range(request: &Request, recipe: &Recipe, target: MgPerLitre) -> Result<(), BathError> {
    let check = |figure, (value, unit), (lowest, highest)| {
        if lowest <= value && value <= highest {
            return Ok(());
        }
        let written = |number: f64| format!("{number} {unit}");
        let (given, lowest, highest) = (written(value), written(lowest), written(highest));
        Err(BathError::OutOfRange { figure, given, lowest, highest })
    };
    check(BathFigure::Bath, (request.bath.as_l(), "L"), BATH_L)?;
    if let Some(temperature) = request.temperature {
        check(BathFigure::Temperature, (temperature.as_celsius(), "degC"), LIQUID_CELSIUS)?;
    }
    if let Some(contact) = request.contact {
        // No bath takes longer than a day. Common practice, no source.
        let range = (0.0, f64::from(DAY_MIN));
        check(BathFigure::Contact, (contact.as_min(), "min"), range)?;
    }
    if let Some(printed) = recipe.strength {
        let most = printed.as_mg_per_l() * MOST_TIMES_PRINTED;
        check(BathFigure::Target, (target.as_mg_per_l(), "mg/L"), (0.0, most))?;
    }
    if let Strength::MassPerMass(_, density) = request.product {
        let given = (density.as_g_per_cm3(), "g/cm3");
        check(BathFigure::Density, given, DENSITY_G_PER_CM3)?;
    }
    let most = match request.agent {
        Agent::Hypochlorite => MOST_HYPOCHLORITE_G_PER_L,
        Agent::Iodine => MOST_IODINE_G_PER_L,
        Agent::ApprovedCleaner => MOST_G_PER_L,
    };
    check(BathFigure::Product, (request.product.as_g_per_l(), "g/L"), (0.0, most))
}

/// What disinfects in a litre of product, g.
fn active_g_per_l(request: &Request) -> Result<f64, BathError> {
    let label = request.product.as_g_per_l();
    if label <= 0.0 {
        return Err(BathError::NoStrength);
    }
    if request.agent != Agent::Hypochlorite {
        return Ok(label);
    }
    if label > MOST_HYPOCHLORITE_G_PER_L {
        return Err(BathError::NotALiquid(label));
    }
    Ok(match request.chlorine_basis {
        ChlorineBasis::SodiumHypochlorite => label * CHLORINE_IN_HYPOCHLORITE,
        ChlorineBasis::AvailableChlorine => label,
    })
}

fn sources(agent: Agent, recipe: &Recipe) -> Vec<String> {
    let mut sources = vec![format!("{} (data/cleaning.csv, read)", recipe.citation)];
    if agent == Agent::Hypochlorite {
        sources.push("chlorine in sodium hypochlorite: molar masses, from memory".to_owned());
    }
    sources
}

fn findings(request: &Request, recipe: &Recipe, made: &Bath) -> Vec<Finding> {
    let mut findings = Vec::new();
    match request.temperature {
        Some(given) if given > recipe.highest_temperature => {
            findings.push(
                Finding::stop(&rules::TEMPERATURE).with("temperature", format!("{given:.1}")),
            );
        }
        Some(_) => {}
        None => findings.push(Finding::caution(&rules::TEMPERATURE_NOT_GIVEN)),
    }
    if let Some(planned) = request.contact.filter(|planned| *planned < recipe.contact) {
        let finding = Finding::stop(&rules::CONTACT).with("contact", planned);
        findings.push(finding.with("least", recipe.contact));
    }
    if request.agent == Agent::ApprovedCleaner && !request.approved_by_maker {
        findings.push(Finding::stop(&rules::MAKER_APPROVAL));
    }
    findings.extend(strength_findings(recipe, made));
    findings.extend(reading(request));
    findings.push(Finding::note(&rules::RINSE).with("contact", made.contact));
    if request.agent == Agent::Hypochlorite {
        findings.push(Finding::caution(&rules::NEVER_MIX));
    }
    findings.push(Finding::note(&rules::FRESH));
    findings
}

fn strength_findings(recipe: &Recipe, made: &Bath) -> Vec<Finding> {
    let mut findings = Vec::new();
    let Some(printed) = recipe.strength else { return findings };
    let (target, least) = (made.target.as_mg_per_l(), printed.as_mg_per_l());
    let rule = if target < least {
        Some(Finding::stop(&rules::TARGET_LOW))
    } else if target > least * STRONG {
        Some(Finding::caution(&rules::TARGET_HIGH))
    } else {
        None
    };
    findings.extend(rule.map(|found| found.with("target", made.target).with("least", printed)));
    if let Some((ml, per_ml)) = recipe.printed_ml {
        let gives = made.active_g_per_l * 1e3 * ml / (ml + per_ml);
        if (gives / least - 1.0).abs() > RECIPE_APART {
            let recipe = format!("{ml} mL to {per_ml} mL of water");
            let finding = Finding::note(&rules::RECIPE_DIFFERS).with("recipe", recipe);
            findings.push(finding.with("gives", format!("{gives:.0} mg/L")));
        }
    }
    findings
}

/// How the per cent sign of the label was read, and what it would be otherwise.
fn reading(request: &Request) -> Option<Finding> {
    let (of, other) = match (request.agent, request.chlorine_basis) {
        (Agent::Hypochlorite, ChlorineBasis::SodiumHypochlorite) => (
            "of sodium hypochlorite",
            "where it gives available chlorine, say so: a twentieth less is needed",
        ),
        (Agent::Hypochlorite, ChlorineBasis::AvailableChlorine) => (
            "of available chlorine",
            "where it gives sodium hypochlorite, say so: a twentieth more is needed",
        ),
        (Agent::Iodine, _) => ("of iodine", "the iodide in a tincture does not count"),
        (Agent::ApprovedCleaner, _) => ("of what disinfects", "its directions stand above this"),
    };
    let (percent, per) = match request.product {
        Strength::MassPerVolume(percent) => (percent, "in 100 mL of product"),
        Strength::MassPerMass(percent, _) => (percent, "in 100 g of product"),
    };
    let reading = format!("{percent} is read as grams {of} {per}");
    Some(Finding::note(&rules::STRENGTH_READ).with("reading", reading).with("other", other))
}
