//! Numbers and times as a person says them.

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use quantity::Kilopascal;

/// A number with at most three significant figures, or all digits of a large whole number.
pub(crate) fn number(value: f64) -> String {
    if !value.is_finite() {
        return "—".to_owned();
    }
    let size = value.abs();
    if size >= 100.0 || size == 0.0 {
        return thousands(&format!("{value:.0}"));
    }
    let decimals = match size {
        _ if size >= 10.0 => 1,
        _ if size >= 1.0 => 2,
        _ if size >= 0.1 => 3,
        _ if size >= 0.001 => 5,
        _ => return format!("{value:.2e}"),
    };
    let text = format!("{value:.decimals$}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Thin spaces between groups of three digits, from 10 000 on.
fn thousands(digits: &str) -> String {
    let (sign, digits) = digits.strip_prefix('-').map_or(("", digits), |rest| ("-", rest));
    if digits.len() < 5 {
        return format!("{sign}{digits}");
    }
    let mut out = String::new();
    for (place, digit) in digits.chars().enumerate() {
        if place > 0 && (digits.len() - place) % 3 == 0 {
            out.push('\u{202f}');
        }
        out.push(digit);
    }
    format!("{sign}{out}")
}

/// A pressure as on the gauge of a cylinder: `300 bar`.
pub(crate) fn bar(pressure: Kilopascal) -> String {
    format!("{:.0} bar", pressure.as_kpa() / 100.0)
}

/// How full a cylinder is: `89 % of its rated pressure`. Rounded down, so that one to be filled is not
/// shown as full.
pub(crate) fn of_rated(read: Kilopascal, rated: Kilopascal) -> String {
    format!("{:.0} % of its rated pressure", (100.0 * read.as_kpa() / rated.as_kpa()).floor())
}

/// A length of time as on a clock: `4 h 15 min`, `35 min`; `longer than a year` and the like is not
/// invented, a time that never comes is said so.
pub(crate) fn minutes(value: f64) -> String {
    if value.is_nan() {
        return "—".to_owned();
    }
    if value.is_infinite() {
        return "not reached".to_owned();
    }
    if value < 10.0 {
        return format!("{} min", number(value));
    }
    let whole = value.floor();
    let hours = (whole / 60.0).floor();
    let rest = whole - 60.0 * hours;
    match (hours > 0.0, rest > 0.0) {
        (false, _) => format!("{rest:.0} min"),
        (true, false) => format!("{} h", thousands(&format!("{hours:.0}"))),
        (true, true) if hours < 100.0 => format!("{hours:.0} h {rest:.0} min"),
        (true, true) => format!("{} h", thousands(&format!("{hours:.0}"))),
    }
}

/// How many of a thing: `1 entry`, `3 entries`.
pub(crate) fn count(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

/// A moment on the clock of the site.
pub(crate) fn moment(at: Timestamp, zone: &TimeZone) -> String {
    at.to_zoned_datetime(zone.clone()).strftime("%a %-d %b %Y, %H:%M %Z").to_string()
}

/// A moment as a form field of a browser takes it.
pub(crate) fn form_moment(at: Timestamp, zone: &TimeZone) -> String {
    let local = at.to_zoned_datetime(zone.clone());
    let twice = zone.to_ambiguous_timestamp(local.datetime()).is_ambiguous();
    local.strftime(if twice { "%Y-%m-%dT%H:%M%:z" } else { "%Y-%m-%dT%H:%M" }).to_string()
}

/// A day.
pub(crate) fn day(date: Date) -> String {
    date.strftime("%-d %b %Y").to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_say_what_they_mean() {
        for (value, said) in [
            (0.0, "0"),
            (3.0, "3"),
            (0.25, "0.25"),
            (12.34, "12.3"),
            (999.6, "1000"),
            (12345.6, "12\u{202f}346"),
            (-1_234_567.0, "-1\u{202f}234\u{202f}567"),
            (0.004, "0.004"),
            (0.000_012, "1.20e-5"),
            (f64::NAN, "—"),
        ] {
            assert_eq!(number(value), said);
        }
    }

    #[test]
    fn times_are_said_as_on_a_clock_and_never_rounded_up() {
        for (value, said) in [
            (0.5, "0.5 min"),
            (59.9, "59 min"),
            (60.0, "1 h"),
            (255.9, "4 h 15 min"),
            (60_060.0, "1001 h"),
            (f64::INFINITY, "not reached"),
        ] {
            assert_eq!(minutes(value), said);
        }
    }
}
