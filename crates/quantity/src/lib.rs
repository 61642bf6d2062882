//! Typed physical quantities that carry their unit in and out.
//!
//! Knows nothing of chemistry, cartridges, rules or people.
//!
//! A written quantity always names its unit: `"72 degF"` is read, a bare `72` is refused with the
//! units that would be accepted. Inside the program a number with a dimension is one of the types
//! here; a kernel takes the plain `f64` out once at its door.
//!
//! ```
//! use quantity::{Celsius, QuantityError};
//!
//! let room: Celsius = "71.6 degF".parse()?;
//! assert!((room.as_celsius() - 22.0).abs() < 1e-9);
//! assert!("72".parse::<Celsius>().is_err());
//! # Ok::<(), QuantityError>(())
//! ```
#![deny(missing_docs)]

mod concentration;
mod error;
mod written;

mod kinds;

pub use concentration::{
    Concentration, GAS_CONSTANT_J_PER_MOL_K, molar_volume_litres, ppm_from_mg_per_m3,
};
pub use error::QuantityError;
pub use kinds::{
    Celsius, Centimetres, Cm3PerGram, DewPoint, FibresPerCm3, Grams, GramsPerCm3, GramsPerGram,
    KilojoulesPerMol, Kilopascal, KilopascalGauge, LitrePerGramMin, LitrePerMin, Litres,
    MgPerLitre, MgPerM3, Minutes, OxygenPercent, Percent, Ppm, RelHumidity, SquareCm,
};
pub use written::WrittenUnit;
