use quantity::Concentration;
use serde::de::{self, Error, Visitor};
use serde::{Deserialize, Deserializer};

/// The word that says that a contaminant is there and its level is not known.
pub(super) const UNKNOWN: &str = "unknown";

/// A level as a case writes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WrittenLevel {
    /// A concentration with its unit.
    Known(Concentration),
    /// The word "unknown".
    Unknown,
}

impl<'de> Deserialize<'de> for WrittenLevel {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(LevelVisitor)
    }
}

/// Reads text, and tells one who wrote a bare number which units are missing.
struct LevelVisitor;

impl LevelVisitor {
    fn read<E: Error>(text: &str) -> Result<WrittenLevel, E> {
        if text.trim().eq_ignore_ascii_case(UNKNOWN) {
            return Ok(WrittenLevel::Unknown);
        }
        text.parse().map(WrittenLevel::Known).map_err(E::custom)
    }
}

impl Visitor<'_> for LevelVisitor {
    type Value = WrittenLevel;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "a concentration with its unit, or \"{UNKNOWN}\"")
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<WrittenLevel, E> {
        Self::read(text)
    }

    fn visit_i64<E: de::Error>(self, number: i64) -> Result<WrittenLevel, E> {
        Self::read(&number.to_string())
    }

    fn visit_f64<E: de::Error>(self, number: f64) -> Result<WrittenLevel, E> {
        Self::read(&number.to_string())
    }
}
