//! Reading "number unit" and holding the bounds of each quantity in one place.

use crate::QuantityError;

/// One unit a quantity may be written in: base value = `offset` + `factor` x written value.
pub(crate) struct Unit {
    pub(crate) symbols: &'static [&'static str],
    pub(crate) factor: f64,
    pub(crate) offset: f64,
}

/// What a quantity is called, the units it is written in (the first is its base) and its bounds.
pub(crate) struct Kind {
    pub(crate) what: &'static str,
    pub(crate) base: &'static str,
    pub(crate) lowest: f64,
    pub(crate) highest: f64,
    pub(crate) units: &'static [Unit],
}

impl Kind {
    /// The value if it is a finite number within bounds, which NaN never is.
    pub(crate) fn check(&self, value: f64) -> Result<f64, QuantityError> {
        if self.lowest <= value && value <= self.highest {
            Ok(value)
        } else {
            Err(QuantityError::OutOfBounds {
                what: self.what,
                value,
                unit: self.base,
                lowest: self.lowest,
                highest: self.highest,
            })
        }
    }

    /// The base value of a written quantity.
    pub(crate) fn read(&self, input: &str) -> Result<f64, QuantityError> {
        let text = input.trim();
        let (number, unit) = split_number(text);
        let accepted = || self.accepted();
        let value: f64 = number.parse().map_err(|_| QuantityError::NotANumber {
            what: self.what,
            input: text.to_owned(),
            accepted: accepted(),
        })?;
        if unit.is_empty() {
            return Err(QuantityError::MissingUnit {
                what: self.what,
                input: text.to_owned(),
                accepted: accepted(),
            });
        }
        let known = self.units.iter().find(|u| u.symbols.contains(&unit));
        let Some(known) = known else {
            return Err(QuantityError::UnknownUnit {
                what: self.what,
                input: text.to_owned(),
                unit: unit.to_owned(),
                accepted: accepted(),
            });
        };
        self.check(known.offset + known.factor * value)
    }

    /// The base value as a person writes it.
    pub(crate) fn write(&self, base: f64) -> String {
        let in_base = || format!("{base} {}", self.base);
        if significant_digits(base) <= SHORT {
            return in_base();
        }
        let in_unit = self.units.iter().find_map(|unit| {
            let number = rounded((base - unit.offset) / unit.factor);
            let symbol = unit.symbols.first()?;
            let same = (unit.offset + unit.factor * number).total_cmp(&base);
            same.is_eq().then(|| format!("{number} {symbol}"))
        });
        match in_unit {
            Some(written) => written,
            None if significant_digits(base) <= TYPED => in_base(),
            None => format!("{} {}", rounded(base), self.base),
        }
    }

    /// The units accepted, first spelling of each, for a message.
    pub(crate) fn accepted(&self) -> String {
        let first = |u: &Unit| u.symbols.first().copied().unwrap_or_default();
        self.units.iter().map(first).collect::<Vec<_>>().join(", ")
    }
}

/// A number of so many digits is read at a glance.
const SHORT: usize = 6;

/// Nobody types more digits than these.
const TYPED: usize = 10;

/// How many digits the shortest decimal has that reads back to the same value.
fn significant_digits(number: f64) -> usize {
    let written = format!("{number:e}");
    let digits = written.split('e').next().unwrap_or_default();
    digits.bytes().filter(u8::is_ascii_digit).count()
}

/// The nearest number of [`SHORT`] digits.
fn rounded(number: f64) -> f64 {
    format!("{number:.*e}", SHORT - 1).parse().unwrap_or(number)
}

/// Splits "53.3 L/min" into its decimal number and its unit. An exponent belongs to the number
/// only when digits follow it, so that "5 elements" is not read as a broken "5e".
pub(crate) fn split_number(text: &str) -> (&str, &str) {
    let bytes = text.as_bytes();
    let digit_at = |i: usize| bytes.get(i).is_some_and(u8::is_ascii_digit);
    let mut end = 0;
    while let Some(&byte) = bytes.get(end) {
        let sign = matches!(byte, b'+' | b'-') && end == 0;
        let exponent = matches!(byte, b'e' | b'E') && end > 0 && digit_at(end + 1);
        let signed_exponent = matches!(byte, b'e' | b'E')
            && end > 0
            && matches!(bytes.get(end + 1), Some(b'+' | b'-'))
            && digit_at(end + 2);
        if sign || byte.is_ascii_digit() || byte == b'.' || exponent {
            end += 1;
        } else if signed_exponent {
            end += 2;
        } else {
            break;
        }
    }
    let (number, unit) = text.split_at(end);
    (number, unit.trim())
}
