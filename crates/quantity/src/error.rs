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
        "{what} of {} {unit} is outside {} to {} {unit}\n  check the number and its unit",
        beside(*.value, *.lowest, *.highest),
        sensible(*.lowest, DIGITS),
        sensible(*.highest, DIGITS)
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

/// How many digits that say something a number in a message has, unless it takes more to tell it from a
/// bound.
const DIGITS: usize = 6;

/// A value in as many digits as it takes to stand beyond its bounds as it does unrounded.
fn beside(value: f64, lowest: f64, highest: f64) -> String {
    let beyond = |text: &String| text.parse::<f64>().is_ok_and(|v| v < lowest || highest < v);
    let mut written = (DIGITS..=MOST_DIGITS).map(|digits| sensible(value, digits));
    written.find(beyond).unwrap_or_else(|| value.to_string())
}

/// More digits than these no number has.
const MOST_DIGITS: usize = 17;

/// `value` rounded to so many digits that say something, without empty decimals.
fn sensible(value: f64, digits: usize) -> String {
    if value == 0.0 || !value.is_finite() {
        return value.to_string();
    }
    // Rust writes and reads the shortest number that is the same, so that no digit is made up.
    let rounded = format!("{value:.*e}", digits.saturating_sub(1));
    rounded.parse::<f64>().map_or(rounded, |number| number.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_of_a_message_have_sensible_digits_and_stay_on_their_side() {
        let said = |value, lowest, highest| {
            let (what, unit) = ("time", "min");
            QuantityError::OutOfBounds { what, value, unit, lowest, highest }.to_string()
        };
        for (value, lowest, highest, start) in [
            (1.0 / 60.0, 0.1, 100.0, "time of 0.0166667 min is outside 0.1 to 100 min\n"),
            (0.0, 1.0 / 60.0, 525_600.0, "time of 0 min is outside 0.0166667 to 525600 min\n"),
            (100.000_001, 0.0, 100.0, "time of 100.000001 min is outside 0 to 100 min\n"),
            (-3.0, 0.0, 100.0, "time of -3 min is outside 0 to 100 min\n"),
            (f64::NAN, 0.0, 1.0, "time of NaN min is outside 0 to 1 min\n"),
            (1_234_567.8, 0.0, 1.0, "time of 1234570 min is outside 0 to 1 min\n"),
        ] {
            assert!(
                said(value, lowest, highest).starts_with(start),
                "{}",
                said(value, lowest, highest)
            );
        }
    }
}
