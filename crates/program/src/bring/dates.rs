//! Days and times as people write them; what can be read in two ways is refused.

use jiff::civil::{Date, Time};
use serde::Serialize;

/// In which order day and month stand where the year comes last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DateOrder {
    /// Day, month, year.
    Dmy,
    /// Month, day, year.
    Mdy,
}

impl std::str::FromStr for DateOrder {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        match text.trim().to_lowercase().as_str() {
            "dmy" => Ok(Self::Dmy),
            "mdy" => Ok(Self::Mdy),
            _ => Err(format!("`{text}` is no order of dates\n  write dmy or mdy")),
        }
    }
}

/// What is wrong with a date, and what puts it right.
pub(super) type Wrong = (String, String);

const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

/// The day in `text`, and the time where it is written behind the day.
///
/// What can be one day only is always read: the year first, as in `2026-03-04` (ISO 8601), the month by
/// its English name, a number that no month has. Where the year comes last and both numbers may be
/// months, they are read in the `order` that was given. Parts are split by `/`, `.`, `-`, commas or
/// spaces; years have four digits.
pub(super) fn day(text: &str, order: Option<DateOrder>) -> Result<(Date, Option<Time>), Wrong> {
    let (day, time) = match text.split_once(['T', ' ']) {
        Some((day, time)) if time.contains(':') => (day, Some(time)),
        _ => (text, None),
    };
    let (day, time) = match text.rsplit_once(' ') {
        Some((before, after)) if time.is_some() && after.contains(':') => {
            (before.trim(), Some(after))
        }
        _ => (day, time),
    };
    let time = time.map(self::time).transpose()?;
    let wrong = |why: &str| Err((format!("`{text}` {why}"), "write it like 2026-03-04".to_owned()));
    let parts: Vec<&str> =
        day.split(['/', '.', '-', ' ', ',']).filter(|part| !part.is_empty()).collect();
    let [first, second, third] = parts.as_slice() else { return wrong("is no date") };
    let is_year = |part: &str| part.len() == 4 && part.bytes().all(|byte| byte.is_ascii_digit());
    let date = |year: &str, month: &str, day: &str| {
        Date::new(year.parse().ok()?, month_of(month)?, day.parse().ok()?).ok()
    };
    if is_year(first) {
        return date(first, second, third)
            .map_or_else(|| wrong("is no day of the calendar"), |date| Ok((date, time)));
    }
    if !is_year(third) {
        return wrong("is no date with a year of four digits at its beginning or end");
    }
    let in_order = |order| match order {
        DateOrder::Dmy => date(third, second, first),
        DateOrder::Mdy => date(third, first, second),
    };
    // A month by its name stands in one place only, whatever the order of numbers.
    let order = order.filter(|_| [first, second].iter().all(|part| part.parse::<u8>().is_ok()));
    let days = match order {
        Some(order) => [in_order(order), None],
        None => [in_order(DateOrder::Dmy), in_order(DateOrder::Mdy)],
    };
    match days {
        [Some(one), Some(other)] if one != other => Err((
            format!("`{text}` can be read as {one} and as {other}"),
            "say in which order days and months stand (dmy or mdy), or write 2026-03-04".to_owned(),
        )),
        [Some(date), _] | [None, Some(date)] => Ok((date, time)),
        [None, None] if order.is_some() => {
            wrong("is no day of the calendar in the order that was given")
        }
        [None, None] => wrong("is no day of the calendar"),
    }
}

/// The time of day in `text`, such as `14:05`.
pub(super) fn time(text: &str) -> Result<Time, Wrong> {
    let wrong = || (format!("`{text}` is no time of day"), "write it like 14:05".to_owned());
    let parts: Vec<&str> = text.trim().split(':').collect();
    let whole = |text: &&str| {
        let digits = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
        digits.then(|| text.parse::<i8>().ok()).flatten()
    };
    let numbers: Option<Vec<i8>> = parts.iter().map(whole).collect();
    let time = match numbers.as_deref() {
        Some([hour, minute]) => Time::new(*hour, *minute, 0, 0),
        Some([hour, minute, second]) => Time::new(*hour, *minute, *second, 0),
        _ => return Err(wrong()),
    };
    time.map_err(|_| wrong())
}

/// The first day of the month in `text`, such as `2024-05`.
pub(super) fn month(text: &str) -> Option<Date> {
    let (year, month) = text.trim().split_once('-')?;
    (year.len() == 4 && month.len() == 2)
        .then(|| Date::new(year.parse().ok()?, month.parse().ok()?, 1).ok())
        .flatten()
}

fn month_of(text: &str) -> Option<i8> {
    if let Ok(number) = text.parse() {
        return Some(number);
    }
    let text = text.to_lowercase();
    let named = |month: &&str| text.len() >= 3 && month.starts_with(&text);
    let place = MONTHS.iter().position(named)?;
    i8::try_from(place + 1).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str, order: Option<DateOrder>) -> Option<String> {
        let (day, time) = day(text, order).ok()?;
        Some(time.map_or_else(|| day.to_string(), |time| format!("{day} {time}")))
    }

    #[test]
    fn iso_dates_are_read_whatever_the_order() {
        for order in [None, Some(DateOrder::Dmy), Some(DateOrder::Mdy)] {
            assert_eq!(read("2026-03-04", order).unwrap(), "2026-03-04");
            assert_eq!(read("2026-03-04T09:30", order).unwrap(), "2026-03-04 09:30:00");
            assert_eq!(read("2026-03-04 09:30:15", order).unwrap(), "2026-03-04 09:30:15");
        }
    }

    #[test]
    fn what_can_be_one_day_only_is_read_without_an_order() {
        for (text, expected) in [
            ("2026-2-1", "2026-02-01"),
            ("2026/02/01", "2026-02-01"),
            ("31/12/2025", "2025-12-31"),
            ("12/31/2025", "2025-12-31"),
            ("4.4.2026", "2026-04-04"),
            ("1 Feb 2026", "2026-02-01"),
            ("Feb 1, 2026", "2026-02-01"),
            ("3-Apr-2026 7:05", "2026-04-03 07:05:00"),
        ] {
            assert_eq!(read(text, None).unwrap(), expected, "{text}");
        }
        // A month by its name, whatever the order of numbers in the same column.
        assert_eq!(read("3 Apr 2026", Some(DateOrder::Mdy)).unwrap(), "2026-04-03");
        assert_eq!(read("12/31/2025", Some(DateOrder::Dmy)), None, "it contradicts the order");
    }

    #[test]
    fn what_can_be_two_days_is_read_only_in_an_order_that_was_given() {
        for text in ["3/4/2026", "03.04.2026", "03-04-2026", "3 4 2026"] {
            let why = day(text, None).unwrap_err().0;
            assert_eq!(why, format!("`{text}` can be read as 2026-04-03 and as 2026-03-04"));
        }
        assert_eq!(read("3/4/2026", Some(DateOrder::Dmy)).unwrap(), "2026-04-03");
        assert_eq!(read("3/4/2026", Some(DateOrder::Mdy)).unwrap(), "2026-03-04");
        assert_eq!(read("April 3, 2026", Some(DateOrder::Mdy)).unwrap(), "2026-04-03");
    }

    #[test]
    fn what_is_no_day_in_either_order_is_not_said_to_be_two() {
        for text in ["29.02.2026", "2026-13-01", "2026-02-30", "31/11/2025"] {
            let why = day(text, None).unwrap_err().0;
            assert_eq!(why, format!("`{text}` is no day of the calendar"));
        }
    }

    #[test]
    fn what_is_no_day_is_refused() {
        for text in [
            "2026-02-30",
            "30/2/2026",
            "12/13/2026",
            "3/4/26",
            "26-03-04",
            "soon",
            "46000",
            "-2026",
        ] {
            assert_eq!(read(text, Some(DateOrder::Dmy)), None, "{text}");
        }
        for text in ["2026-03-04 25:00", "2026-03-04 9", "2026-03-04T+9:+3"] {
            assert_eq!(read(text, None), None, "{text}");
        }
    }

    #[test]
    fn a_month_is_its_first_day() {
        assert_eq!(month("2024-05").unwrap().to_string(), "2024-05-01");
        assert_eq!(month("2024-13"), None);
        assert_eq!(month("5-2024"), None);
    }
}
