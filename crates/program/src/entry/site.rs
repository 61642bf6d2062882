//! What the facts about a site, its people, stocks and air supplies are made of.

use jiff::civil::Date;
use quantity::{
    Celsius, DewPoint, KilopascalGauge, LitrePerMin, MgPerM3, Minutes, OxygenPercent, Ppm,
};
use rulebook::AirSource;
use rulebook::interval::Every;
use serde::{Deserialize, Serialize};

use crate::ids::{ElementTypeId, ModelId};

/// A part that a person has in the program.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Runs the program.
    Administrator,
    /// Does fit tests.
    FitTester,
    /// Cleans, disinfects and inspects.
    CareTechnician,
    /// Repairs and releases.
    Repairer,
    /// Gives respirators out.
    Issuer,
    /// Leads a crew.
    Supervisor,
    /// Fills cylinders and looks after supplies of air.
    AirTechnician,
}

impl Role {
    /// Every part.
    pub const ALL: [Self; 7] = [
        Self::Administrator,
        Self::FitTester,
        Self::CareTechnician,
        Self::Repairer,
        Self::Issuer,
        Self::Supervisor,
        Self::AirTechnician,
    ];
}

/// What a cylinder is filled with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Gas {
    /// Compressed breathing air.
    Air,
    /// Compressed oxygen.
    Oxygen,
}

/// What a box holds.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum StockItem {
    /// Cartridges, canisters or filters of this kind.
    Elements(ElementTypeId),
    /// Filtering facepieces of this model and size.
    Facepieces {
        /// The model.
        model: ModelId,
        /// The size.
        size: String,
    },
    /// Anything else that the program uses up: cleaner, disinfectant, parts, test agents.
    Supplies(String),
}

/// What a supply of breathing air is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SupplySource {
    /// Cylinders, bought or filled elsewhere.
    Cylinders,
    /// A compressor lubricated with oil.
    OilLubricatedCompressor,
    /// A compressor without oil.
    OilFreeCompressor,
}

/// Figures of a sample of breathing air; none where one is not reported.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct AirFigures {
    /// Oxygen.
    pub oxygen: Option<OxygenPercent>,
    /// Condensed hydrocarbons.
    pub hydrocarbons: Option<MgPerM3>,
    /// Carbon monoxide.
    pub carbon_monoxide: Option<Ppm>,
    /// Carbon dioxide.
    pub carbon_dioxide: Option<Ppm>,
    /// Whether there is a noticeable odour.
    pub odour: Option<bool>,
    /// Dew point.
    pub dew_point: Option<DewPoint>,
    /// The gauge pressure at which the dew point was measured; none at one atmosphere.
    pub dew_point_at: Option<KilopascalGauge>,
    /// Temperature of the place of a compressor.
    pub ambient: Option<Celsius>,
}

/// How often one cylinder is requalified and until when it serves, by its maker or by the special
/// permit that is marked on it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct CylinderTerms {
    /// How often.
    pub every: Every,
    /// Last day of its life, if it ends.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub life_ends: Option<Date>,
    /// Where that stands: permit number, manual and page.
    pub stands_in: String,
    /// Whether the site has read it there itself.
    pub confirmed: bool,
}

/// What a calculation of the bed gave for elements that are worn again after a night.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ReuseCalculation {
    /// Where it stands: report or case file, and its date.
    pub report: String,
    /// How many shifts one set serves, the nights between them included.
    pub shifts: u8,
    /// The lower bound of the wear of all these shifts together.
    pub bound: Minutes,
    /// Whether it was calibrated on a laboratory test of these elements.
    pub calibrated: bool,
    /// What moves the air through them: the wearer's breath or a blower. Where this is not told, the
    /// calculation speaks of no set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub air_source: Option<AirSource>,
    /// The flow through one set that was calculated with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flow: Option<LitrePerMin>,
    /// How many elements share that flow.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub elements: Option<u8>,
}
