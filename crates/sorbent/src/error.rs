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
        "{name}: {what} of {} is outside {lowest} to {highest}, where the method holds\n  use the maker's data or a test of this contaminant",
        apart(*value, (*lowest, *highest))
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

/// A value with three digits after the point, and with as many more as tell it from the bounds that it
/// lies beyond.
fn apart(value: f64, (lowest, highest): (f64, f64)) -> String {
    let written = |digits: usize| format!("{value:.digits$}");
    let tells = |written: &String| {
        let read: f64 = written.parse().unwrap_or(value);
        (lowest <= value || read < lowest) && (value <= highest || highest < read)
    };
    (3..12).map(written).find(tells).unwrap_or_else(|| value.to_string())
}

#[cfg(test)]
mod tests {
    use super::apart;

    #[test]
    fn a_value_is_told_from_the_bound_that_it_lies_beyond() {
        for (value, written) in [
            (0.000_96, "0.00096"),
            (0.000_999_96, "0.00099996"),
            (0.000_2, "0.000"),
            (1.0004, "1.0004"),
        ] {
            assert_eq!(apart(value, (1e-3, 1.0)), written);
        }
        assert_eq!(apart(1e-30, (f64::MIN_POSITIVE, 1.0)), "0.000");
    }
}
