//! A value together with where it came from.

use std::fmt;

use serde::{Deserialize, Serialize};

/// A value that is never separated from its source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Known<T> {
    /// The value.
    pub value: T,
    /// Table, equation or method, with its version.
    pub source: String,
    /// How far the value can be trusted.
    pub basis: Basis,
}

/// How a value is known, from firm to loose.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Basis {
    /// Read from a table of measurements.
    Measured,
    /// An equation fitted to measurements.
    Correlation,
    /// A handbook value that was remembered and not seen.
    Memory,
    /// A method that estimates from structure, formula or other properties.
    Estimated,
}

impl Basis {
    /// The looser of two: a result is no firmer than the loosest of its inputs.
    #[must_use]
    pub fn and(self, other: Self) -> Self {
        self.max(other)
    }

    pub(crate) fn read(text: &str) -> Option<Self> {
        match text {
            "measured" => Some(Self::Measured),
            "correlation" => Some(Self::Correlation),
            "memory" => Some(Self::Memory),
            "estimated" => Some(Self::Estimated),
            _ => None,
        }
    }
}

impl fmt::Display for Basis {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Measured => "measured",
            Self::Correlation => "fitted to measurements",
            Self::Memory => "value from memory",
            Self::Estimated => "estimated",
        })
    }
}
