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
/// `2026-03-04` (ISO 8601) is always read. With `order` given, day and month in that order with the
/// year behind them are read too, split by `/`, `.`, `-` or spaces, the month as a number or by its
/// English name. Years have four digits.
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
    if let Some(date) = iso(day) {
        return Ok((date, time));
    }
    let wrong = |why: &str| Err((format!("`{text}` {why}"), "write it like 2026-03-04".to_owned()));
    let parts: Vec<&str> =
        day.split(['/', '.', '-', ' ', ',']).filter(|part| !part.is_empty()).collect();
    let [first, second, year] = parts.as_slice() else { return wrong("is no date") };
    if year.len() != 4 || !year.bytes().all(|byte| byte.is_ascii_digit()) {
        return wrong("is no date with a year of four digits at its end");
    }
    let in_order = |order| {
        let (day, month) = match order {
            DateOrder::Dmy => (first, second),
            DateOrder::Mdy => (second, first),
        };
        let month = month_of(month)?;
        Date::new(year.parse().ok()?, month, day.parse().ok()?).ok()
    };
    let Some(order) = order else {
        if [DateOrder::Dmy, DateOrder::Mdy].iter().all(|order| in_order(*order).is_none()) {
            return wrong("is no day of the calendar");
        }
        let why = format!(
            "`{text}` can be read as two days, by who puts the month first and who the day"
        );
        return Err((
            why,
            "say in which order days and months stand (dmy or mdy), or write 2026-03-04".to_owned(),
        ));
    };
    match in_order(order) {
        Some(date) => Ok((date, time)),
        None => wrong("is no day of the calendar in the order that was given"),
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

fn iso(text: &str) -> Option<Date> {
    let written = text.len() == 10 && text.bytes().filter(|byte| *byte == b'-').count() == 2;
    written.then(|| text.parse().ok()).flatten()
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
    fn other_dates_are_read_only_in_an_order_that_was_given() {
        for text in ["3/4/2026", "03.04.2026", "03-04-2026", "3 4 2026", "25/12/2026", "3 Apr 2026"]
        {
            assert_eq!(read(text, None), None, "{text}");
        }
        assert_eq!(read("3/4/2026", Some(DateOrder::Dmy)).unwrap(), "2026-04-03");
        assert_eq!(read("3/4/2026", Some(DateOrder::Mdy)).unwrap(), "2026-03-04");
        assert_eq!(read("3-Apr-2026 7:05", Some(DateOrder::Dmy)).unwrap(), "2026-04-03 07:05:00");
        assert_eq!(read("April 3, 2026", Some(DateOrder::Mdy)).unwrap(), "2026-04-03");
    }

    #[test]
    fn what_is_no_day_in_either_order_is_not_said_to_be_two() {
        let why = |text| day(text, None).unwrap_err().0;
        assert_eq!(why("29.02.2026"), "`29.02.2026` is no day of the calendar");
        assert!(why("3/4/2026").contains("two days"));
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
