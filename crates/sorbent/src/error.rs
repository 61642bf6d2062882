use crate::march::MarchError;

/// Why a life was not computed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LifeError {
    /// No contaminant was given.
    #[error("no contaminant is named\n  name at least one with its concentration")]
    NoContaminant,
    /// The air carries more vapour than saturates it.
    #[error(
        "{name} at {pressure_kpa:.4} kPa is above its vapour pressure of {saturation_kpa:.4} kPa\n  such air holds droplets; check the concentration and the temperature"
    )]
    AboveSaturation {
        /// The contaminant.
        name: String,
        /// Its partial pressure.
        pressure_kpa: f64,
        /// Its vapour pressure.
        saturation_kpa: f64,
    },
    /// A concentration of nothing.
    #[error("{name} has a concentration of zero\n  leave it out, or give the concentration found")]
    NothingEnters {
        /// The contaminant.
        name: String,
    },
    /// A property lies where no method here has been shown to hold.
    #[error(
        "{name}: {what} of {value:.3} is outside {lowest} to {highest}, where the method holds\n  use the maker's data or a test of this contaminant"
    )]
    OutsideValidity {
        /// The contaminant or the bed.
        name: String,
        /// The property.
        what: &'static str,
        /// Its value.
        value: f64,
        /// Least value for which the method holds.
        lowest: f64,
        /// Greatest value for which the method holds.
        highest: f64,
    },
    /// The march of the bed refuses the case.
    #[error(transparent)]
    March(#[from] MarchError),
    /// A search for a balance did not end.
    #[error(
        "the balance of {what} was not found after {steps} steps (last residual {residual:e})\n  this case needs the maker's data"
    )]
    NotConverged {
        /// What was sought.
        what: &'static str,
        /// Steps taken.
        steps: u32,
        /// Last residual.
        residual: f64,
    },
}
