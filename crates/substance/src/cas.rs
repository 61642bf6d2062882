//! The registry number that names one substance.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

/// A registry number such as `108-88-3`: two to seven digits, two digits, one check digit.
///
/// Ordered by number. Refuses a text of another form and a number whose check digit does not fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Cas(u32);

/// Why a text is no registry number.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CasError {
    /// The text is not digits, two digits and one digit, joined by hyphens.
    #[error(
        "`{input}` is not a registry number\n  write it like 108-88-3: digits, two digits, one check digit"
    )]
    Form {
        /// What was written.
        input: String,
    },
    /// The last digit does not follow from the others.
    #[error(
        "registry number `{input}` ends in {found}, but its check digit is {expected}\n  compare every digit with the label or safety data sheet"
    )]
    CheckDigit {
        /// What was written.
        input: String,
        /// The digit that the others call for.
        expected: u32,
        /// The digit that was written.
        found: u32,
    },
}

impl Cas {
    /// The number that has `body` (all digits but the last) and its right check digit.
    pub(crate) fn from_body(body: u32) -> Self {
        Self(body * 10 + check_digit(body))
    }
}

/// Each digit times its place from the right, summed, modulo ten.
fn check_digit(mut body: u32) -> u32 {
    let (mut sum, mut place) = (0, 1);
    while body > 0 {
        sum += body % 10 * place;
        place += 1;
        body /= 10;
    }
    sum % 10
}

impl FromStr for Cas {
    type Err = CasError;

    fn from_str(text: &str) -> Result<Self, CasError> {
        let input = text.trim();
        let body = body_and_digit(input).ok_or_else(|| CasError::Form { input: input.into() })?;
        let (body, found) = body;
        let expected = check_digit(body);
        if expected != found {
            return Err(CasError::CheckDigit { input: input.into(), expected, found });
        }
        Ok(Self(body * 10 + found))
    }
}

/// The digits before the last, and the last; `None` when the text has another form.
pub(crate) fn body_and_digit(text: &str) -> Option<(u32, u32)> {
    let mut parts = text.split('-');
    let (first, second, last) = (parts.next()?, parts.next()?, parts.next()?);
    let digits = [first, second, last].iter().all(|p| p.bytes().all(|b| b.is_ascii_digit()));
    let lengths = (2..=7).contains(&first.len()) && second.len() == 2 && last.len() == 1;
    if parts.next().is_some() || !digits || !lengths || first.starts_with('0') {
        return None;
    }
    let body = first.parse::<u32>().ok()? * 100 + second.parse::<u32>().ok()?;
    Some((body, last.parse().ok()?))
}

impl fmt::Display for Cas {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}-{:02}-{}", self.0 / 1000, self.0 / 10 % 100, self.0 % 10)
    }
}

impl Serialize for Cas {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Cas {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_reads_back_as_written() {
        for text in ["50-00-0", "108-88-3", "7664-41-7", "112926-00-8", "630-08-0"] {
            assert_eq!(text.parse::<Cas>().unwrap().to_string(), text);
        }
        assert!("50-00-0".parse::<Cas>().unwrap() < "108-88-3".parse().unwrap());
    }

    #[test]
    fn a_wrong_check_digit_names_the_right_one() {
        let error = "65966-93-2".parse::<Cas>().unwrap_err();
        assert!(matches!(error, CasError::CheckDigit { expected: 0, found: 2, .. }), "{error}");
        assert!("108-88-4".parse::<Cas>().unwrap_err().to_string().contains("check digit is 3"));
    }

    #[test]
    fn other_forms_are_refused() {
        for text in
            ["", "toluene", "108883", "108-88", "108-88-33", "1-88-3", "108-88-3-1", "+08-88-3"]
        {
            assert!(matches!(text.parse::<Cas>(), Err(CasError::Form { .. })), "{text}");
        }
    }
}
