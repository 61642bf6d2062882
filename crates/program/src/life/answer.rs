use quantity::Minutes;
use rulebook::{Contaminant, Finding};
use serde::{Serialize, Serializer};
use sorbent::Breakthrough;
use substance::Cas;

use super::marched::{BedAnswer, Sampled};
use super::{CONFIDENCE, LifeMethod, LifeSetup};

/// Points of a curve: enough for a picture.
const CURVE_POINTS: u32 = 96;

/// A best estimate and a lower bound, min; infinite where an end is never reached, which is
/// written as none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Best estimate.
    pub best: f64,
    /// Reached or passed with 95 % confidence.
    pub lower: f64,
}

impl Serialize for Bounds {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        #[derive(Serialize)]
        struct Written {
            best: Option<f64>,
            lower: Option<f64>,
            confidence: f64,
        }
        let finite = |minutes: f64| minutes.is_finite().then_some(minutes);
        let written =
            Written { best: finite(self.best), lower: finite(self.lower), confidence: CONFIDENCE };
        written.serialize(serializer)
    }
}

/// One point of the level at the outlet.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CurvePoint {
    /// Minutes of wear.
    pub minutes: f64,
    /// Level at the outlet, ppm.
    pub ppm: f64,
}

/// The life against one contaminant.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ContaminantLife {
    /// Registry number.
    pub cas: Cas,
    /// Name.
    pub name: String,
    /// Level that enters, ppm.
    pub inlet_ppm: Option<f64>,
    /// Level at the outlet that ends the life, ppm.
    pub end_ppm: Option<f64>,
    /// Level the outlet rises to in the end: more than enters where others push it out.
    pub plateau_ppm: Option<f64>,
    /// Minutes until the end level; none where it was refused.
    pub time_min: Option<Bounds>,
    /// Why no life was computed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub refused: Option<String>,
    /// Held, g per g of sorbent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub loading_g_per_g: Option<f64>,
    /// Part of the dry loading that humid air leaves.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub humid_share: Option<f64>,
    /// The time in breathed air over that in steady air of the same volume, where it was looked at;
    /// where it is less than one, the lower bound counts it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub breathed: Option<f64>,
    /// What the lower bound rests on most.
    pub limited_by: Vec<&'static str>,
    /// Level at the outlet against time.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub curve: Vec<CurvePoint>,
}

impl ContaminantLife {
    /// The life against a gas held by reaction that enters and ends at such levels, ppm.
    pub(super) fn reacting(
        contaminant: &Contaminant,
        (inlet_ppm, end_ppm): (f64, f64),
        time: Bounds,
    ) -> Self {
        Self {
            inlet_ppm: Some(inlet_ppm),
            end_ppm: Some(end_ppm),
            plateau_ppm: Some(inlet_ppm),
            time_min: Some(time),
            refused: None,
            ..Self::refused(contaminant, String::new())
        }
    }

    pub(super) fn refused(contaminant: &Contaminant, reason: String) -> Self {
        Self {
            cas: contaminant.substance.cas(),
            name: contaminant.substance.name().to_owned(),
            inlet_ppm: None,
            end_ppm: None,
            plateau_ppm: None,
            time_min: None,
            refused: Some(reason),
            loading_g_per_g: None,
            humid_share: None,
            breathed: None,
            limited_by: Vec::new(),
            curve: Vec::new(),
        }
    }
}

/// When to change the elements, in words a wearer can follow.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Schedule {
    /// The words.
    pub text: String,
    /// Longest wear of one set; zero where it may not be worn at all.
    #[serde(rename = "max_wear_min", serialize_with = "as_min")]
    pub max_wear: Minutes,
    /// How many shifts one set may serve.
    pub shifts: u8,
    /// What limits it.
    pub limited_by: String,
}

fn as_min<S: Serializer>(minutes: &Minutes, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_f64(minutes.as_min())
}

/// What is answered to "how long does it last".
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LifeAnswer {
    /// The method in words.
    pub method: &'static str,
    /// Each contaminant that the elements hold.
    pub contaminants: Vec<ContaminantLife>,
    /// The shortest of them; none where one was refused or there is nothing to hold.
    pub life_min: Option<Bounds>,
    /// What the march of the bed through its work gave, where it was marched.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bed: Option<BedAnswer>,
    /// What sampling the uncertain inputs gave, where they were sampled.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sampled: Option<Sampled>,
    /// When to change.
    pub schedule: Schedule,
    /// Everything found.
    pub findings: Vec<Finding>,
    /// Where properties and methods come from.
    pub sources: Vec<String>,
}

impl LifeAnswer {
    pub(super) fn empty(setup: &LifeSetup) -> Self {
        let (method, sources) = match setup.method {
            LifeMethod::Full => (
                "reaction-kinetic bed equation, Dubinin-Radushkevich capacity, mean of two published rates; several vapours also followed through the bed, the shorter counts",
                FULL_SOURCES,
            ),
            LifeMethod::Bed => (
                "bed marched through its work: linear driving force with the rate of the closed form, Dubinin-Radushkevich capacity, ideal adsorbed solution by volume",
                FULL_SOURCES,
            ),
            LifeMethod::Wood1994 => ("correlations of Wood 1994 alone", WOOD_1994_SOURCES),
        };
        Self {
            method,
            contaminants: Vec::new(),
            life_min: None,
            bed: None,
            sampled: None,
            schedule: Schedule {
                text: String::new(),
                max_wear: Minutes::default(),
                shifts: 0,
                limited_by: String::new(),
            },
            findings: Vec::new(),
            sources: sources.iter().map(|&source| source.to_owned()).collect(),
        }
    }
}

const FULL_SOURCES: &[&str] = &[
    "bed equation: Jonas and Rehrmann 1973, Carbon 11:59 (form from memory)",
    "affinity: Wood 2001, Carbon 39:343-356 (value from memory)",
    "rate: Wood 1994, Am. Ind. Hyg. Assoc. J. 55:11-15 (from memory, confirmed by a published table), and Wood and Lodewyckx 2003, Am. Ind. Hyg. Assoc. J. 64:646 (from memory); their geometric mean is used and the bound reaches to the slower",
    "humid air: displacement after Manes 1984 (from memory); mixtures: ideal adsorbed solution, Lavanchy and others 1996, Adsorpt. Sci. Technol. 13:537 (from memory), that it counts volumes is our own",
];

const WOOD_1994_SOURCES: &[&str] = &[
    "capacity and rate: Wood 1994, Am. Ind. Hyg. Assoc. J. 55:11-15 (from memory, confirmed by a published table)",
    "bed equation: Jonas and Rehrmann 1973, Carbon 11:59 (form from memory)",
];

/// The level at the outlet from the start to well past the midpoint.
pub(super) fn curve(course: &Breakthrough, plateau_ppm: f64) -> Vec<CurvePoint> {
    let last = course.midpoint_min + 4.0 / course.rise_per_min;
    points(last, |minutes| plateau_ppm * course.outlet_fraction(minutes))
}

/// So much of a course as a picture needs: levels, ppm, evenly from the start to `last` minutes.
pub(super) fn points(last: f64, ppm: impl Fn(f64) -> f64) -> Vec<CurvePoint> {
    let point = |step: u32| {
        let minutes = last * f64::from(step) / f64::from(CURVE_POINTS);
        CurvePoint { minutes, ppm: ppm(minutes) }
    };
    (0..=CURVE_POINTS).map(point).collect()
}
