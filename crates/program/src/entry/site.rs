//! What the facts about a site, its people, stocks and air supplies are made of.

use quantity::{Celsius, DewPoint, KilopascalGauge, MgPerM3, OxygenPercent, Ppm};
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
