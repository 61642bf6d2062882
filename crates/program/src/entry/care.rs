//! What the facts about care, repair and fit are made of.

use jiff::Timestamp;
use quantity::{Celsius, Percent};
use rulebook::fit_test::{Conduct, FitAgent, Mask};
use serde::{Deserialize, Serialize};

/// A part of a respirator.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct SparePart {
    /// The maker's number.
    pub number: String,
    /// What it is.
    pub name: String,
}

/// One step of the cleaning of a set; its disinfection is a fact of its own.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CareStep {
    /// Elements and the parts that the maker names were taken off.
    TakenApart,
    /// It was washed.
    Washed {
        /// With what.
        cleaner: String,
        /// How warm the water was.
        water: Celsius,
    },
    /// It was rinsed.
    Rinsed {
        /// How warm the water was.
        water: Celsius,
    },
    /// It was dried.
    Dried,
    /// It was put together again.
    Reassembled,
}

/// What was found at one point of an inspection.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PointFound {
    /// Id of the point in the list of points.
    pub point: String,
    /// The result.
    pub result: PointResult,
    /// What was seen, empty where nothing is to be said.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// A picture that the ledger keeps, by its hash.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub picture: Option<String>,
}

impl PointFound {
    /// What was looked at, with the note where there is one.
    pub(crate) fn words(&self) -> String {
        let known = rulebook::checklist::point(&self.point);
        let looked_at = known.map_or(&self.point, |point| &point.looks_at);
        match self.note.as_str() {
            "" => looked_at.clone(),
            note => format!("{looked_at}: {note}"),
        }
    }
}

/// The result at one point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PointResult {
    /// Sound.
    Pass,
    /// Not sound.
    Fail,
    /// This set has no such part.
    NotApplicable,
}

/// How deep a repair went.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RepairScope {
    /// Straps, valves, lenses and the like.
    Ordinary,
    /// Reducing and admission valves, regulators or alarms, by the maker or a technician whom the
    /// maker trained.
    RegulatorOrAlarm,
}

/// How a seal was checked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SealCheck {
    /// By breathing out against closed valves.
    Positive,
    /// By breathing in against closed inlets.
    Negative,
    /// By both.
    Both,
    /// As the maker recommends.
    Makers,
}

/// A fit test as it was measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FitRecord {
    /// Id of the protocol.
    pub protocol: String,
    /// The facepiece.
    pub facepiece: Mask,
    /// Qualitative: whether the wearer noticed the weak agent in the screening before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub screening_passed: Option<bool>,
    /// Qualitative: whether the agent was shown to be there afterwards.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub agent_proved: Option<bool>,
    /// Qualitative: when what it was done with was made ready.
    #[serde(default, skip_serializing_if = "AgentsMade::is_empty")]
    pub made: AgentsMade,
    /// Whether the facepiece was adjusted after the exercises had begun.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub adjusted: Option<bool>,
    /// Whether the wearer still found it comfortable after them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub comfortable: Option<bool>,
    /// Each exercise.
    pub exercises: Vec<FitExercise>,
}

impl FitRecord {
    /// How the test was carried through.
    pub(crate) const fn conduct(&self) -> Conduct {
        Conduct { adjusted: self.adjusted, comfortable: self.comfortable }
    }
}

/// When what a test by taste or smell is done with was made ready, as far as it is told.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct AgentsMade {
    /// The stock solution of isoamyl acetate.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stock: Option<Timestamp>,
    /// The odour test solution.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub odour: Option<Timestamp>,
    /// The filling of the nebuliser.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nebuliser: Option<Timestamp>,
}

impl AgentsMade {
    /// Whether nothing is told.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// When one of them was made ready, where it is told.
    pub(crate) const fn of(&self, agent: FitAgent) -> Option<Timestamp> {
        match agent {
            FitAgent::StockSolution => self.stock,
            FitAgent::OdourSolution => self.odour,
            FitAgent::SaccharinNebuliser | FitAgent::BitterNebuliser => self.nebuliser,
        }
    }
}

/// One exercise of a fit test as it was measured; what was not measured is none.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct FitExercise {
    /// Its number in the protocol.
    pub number: u8,
    /// Counted outside before it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ambient_before: Option<f64>,
    /// Counted inside the facepiece.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub in_mask: Option<f64>,
    /// Counted outside after it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ambient_after: Option<f64>,
    /// The fit factor, where the instrument gave one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub factor: Option<f64>,
    /// The highest single peak inside as a part of outside.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub peak: Option<Percent>,
    /// Qualitative: whether the agent was noticed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub noticed: Option<bool>,
}
