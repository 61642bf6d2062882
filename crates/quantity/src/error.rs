/// Why a written or computed quantity was refused.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum QuantityError {
    /// A number stands without its unit.
    #[error("{what} `{input}` has no unit\n  write it with one of: {accepted}")]
    MissingUnit {
        /// What the quantity is, in plain words.
        what: &'static str,
        /// What was written.
        input: String,
        /// The units that would be read.
        accepted: String,
    },
    /// The unit is not one that this quantity is written in.
    #[error("{what} `{input}` has an unknown unit `{unit}`\n  write it with one of: {accepted}")]
    UnknownUnit {
        /// What the quantity is, in plain words.
        what: &'static str,
        /// What was written.
        input: String,
        /// The unit that was not understood.
        unit: String,
        /// The units that would be read.
        accepted: String,
    },
    /// The part before the unit is not a decimal number.
    #[error(
        "{what} `{input}` does not start with a number\n  write a decimal number and one of: {accepted}"
    )]
    NotANumber {
        /// What the quantity is, in plain words.
        what: &'static str,
        /// What was written.
        input: String,
        /// The units that would be read.
        accepted: String,
    },
    /// The value lies outside what this quantity can be.
    #[error(
        "{what} of {value} {unit} is outside {lowest} to {highest} {unit}\n  check the number and its unit"
    )]
    OutOfBounds {
        /// What the quantity is, in plain words.
        what: &'static str,
        /// The value in `unit`; not a number where it arose so.
        value: f64,
        /// The unit in which bounds are kept.
        unit: &'static str,
        /// Lowest value accepted.
        lowest: f64,
        /// Highest value accepted.
        highest: f64,
    },
}
