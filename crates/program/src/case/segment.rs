//! The segments of a pattern of work, as a case writes them.

use std::collections::BTreeMap;

use quantity::{Celsius, LitrePerMin, Minutes, RelHumidity};
use serde::{Deserialize, Serialize};
use toml::Spanned;

use super::WrittenLevel;
use crate::entry::WorkRate;

/// A stretch of the pattern in which nothing changes; what it leaves out is that of the whole case.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SegmentPart {
    /// How long.
    pub duration: Spanned<Minutes>,
    /// What is done with the mask; it is on where it is left out.
    #[serde(default)]
    pub mask: Mask,
    /// Levels of contaminants by their names or registry numbers, zero allowed; those of the whole case
    /// where it is left out.
    #[serde(default)]
    pub level: BTreeMap<String, Spanned<WrittenLevel>>,
    /// Flow through all elements together; that of the whole case where it is left out.
    #[serde(default)]
    pub flow: Option<Spanned<LitrePerMin>>,
    /// How hard the work is, in place of a flow; the flow counts where it is left out.
    #[serde(default)]
    pub work_rate: Option<WorkRate>,
    /// Temperature; that of the whole case where it is left out.
    #[serde(default)]
    pub temperature: Option<Celsius>,
    /// Relative humidity; that of the whole case where it is left out.
    #[serde(default)]
    pub relative_humidity: Option<RelHumidity>,
    /// How the elements are kept while the mask is off. It is needed then, and refused otherwise.
    #[serde(default)]
    pub storage: Option<Storage>,
}

/// What is done with the mask during a segment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mask {
    /// Worn in the air of the segment.
    #[default]
    On,
    /// Not worn; no air passes.
    Off,
    /// Clean air passes, as through a powered unit left running.
    CleanAir,
}

/// How elements are kept while no air passes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Storage {
    /// Both faces closed.
    Sealed,
    /// Lying open.
    Open,
}

/// By which method a case wants its life.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WrittenMethod {
    /// The closed form of steady air.
    Steady,
    /// The bed marched through time.
    Bed,
}

/// That a named person accepts that elements against a low-boiling vapour are worn again, on a
/// calibrated calculation.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReuseAccepted {
    /// Who accepts it.
    pub accepted_by: String,
    /// On which day, such as "2026-11-25".
    pub accepted_on: jiff::civil::Date,
    /// The laboratory report that the calculation was calibrated on.
    pub report: String,
    /// Most shifts that were accepted.
    pub shifts: u8,
}
