//! What is in the air: identity, properties with their source, exposure limits and class of each substance.
//!
//! Knows nothing of cartridges, beds, rules, people or time.
//!
//! The tables under `data/` are compiled in and read once. A value never travels without where it came
//! from ([`Known`]); what the tables lack is estimated by a named published method ([`estimate`]) and
//! marked so, or refused.
//!
//! ```
//! use quantity::Celsius;
//! use substance::Catalogue;
//!
//! let toluene = Catalogue::builtin().find("toluol")?;
//! assert_eq!(toluene.cas().to_string(), "108-88-3");
//! let pressure = toluene.vapour_pressure(Celsius::from_celsius(22.0)?)?;
//! assert!((pressure.value.as_kpa() - 3.25).abs() < 0.01);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
#![deny(missing_docs)]

mod cas;
mod catalogue;
mod class;
pub mod estimate;
mod known;
mod limit;
mod property;
mod structure;
mod substance;
mod table;

pub use cas::{Cas, CasError};
pub use catalogue::{Catalogue, NotFound};
pub use class::{State, SubstanceClass};
pub use known::{Basis, Known};
pub use limit::{Limit, LimitKind, Mark};
pub use property::{Property, PropertyError};
pub use structure::Structure;
pub use substance::Substance;
pub use table::TableError;
