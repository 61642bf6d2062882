use std::fmt;
use std::str::FromStr;

use quantity::{Concentration, Percent, QuantityError};
use serde::{Deserialize, Deserializer, de};

/// The level at the outlet of the elements that ends their life.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Penetration {
    /// A part of what enters.
    Part(Percent),
    /// A level.
    Level(Concentration),
}

impl FromStr for Penetration {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        if text.trim().ends_with('%') {
            text.parse().map(Self::Part)
        } else {
            text.parse().map(Self::Level)
        }
    }
}

impl fmt::Display for Penetration {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Part(part) => part.fmt(f),
            Self::Level(level) => level.fmt(f),
        }
    }
}

impl<'de> Deserialize<'de> for Penetration {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(de::Error::custom)
    }
}
