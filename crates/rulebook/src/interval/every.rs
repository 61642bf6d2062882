use std::fmt;

use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{Error, Span, Timestamp, ToSpan};
use serde::{Deserialize, Serialize};

/// A length of the calendar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Every {
    /// So many days; none means the same day only.
    Days(u16),
    /// So many calendar months.
    Months(u16),
}

impl Every {
    /// The last day on which a thing done on `start` still counts: as many days later, or the same
    /// day of the month as many months later, or the last day of that month where it has no such
    /// day.
    ///
    /// ```
    /// use jiff::civil::date;
    /// use rulebook::interval::Every;
    ///
    /// assert_eq!(Every::Months(6).last_day(date(2026, 8, 31)), date(2027, 2, 28));
    /// assert_eq!(Every::Days(7).last_day(date(2028, 2, 26)), date(2028, 3, 4));
    /// ```
    #[must_use]
    pub fn last_day(self, start: Date) -> Date {
        // Beyond the calendar of the library (year 9999) the thing is held to count no further.
        start.checked_add(self.span()).unwrap_or(start)
    }

    /// The first instant at which a thing done at the instant `done` no longer counts: the
    /// beginning, at the site, of the day after its last day.
    ///
    /// That day begins later than midnight where the clocks are put forward then. Refuses a day
    /// outside the calendar of the library.
    pub fn counts_before(self, done: Timestamp, zone: &TimeZone) -> Result<Timestamp, Error> {
        let last = self.last_day(zone.to_datetime(done).date());
        Ok(last.tomorrow()?.to_zoned_datetime(zone.clone())?.timestamp())
    }

    /// Whether a thing asked for this often is never asked for later than `other` does, whatever
    /// the day it was done on.
    ///
    /// Thirty days are laxer than a month, for February is shorter.
    #[must_use]
    pub fn is_no_laxer_than(self, other: Self) -> bool {
        match (self, other) {
            (Self::Days(mine), Self::Days(theirs)) | (Self::Months(mine), Self::Months(theirs)) => {
                mine <= theirs
            }
            (Self::Days(_), Self::Months(_)) | (Self::Months(_), Self::Days(_)) => {
                cycle().all(|start| self.last_day(start) <= other.last_day(start))
            }
        }
    }

    /// The one of two that asks more often: where one is no laxer than the other from any day, that one,
    /// and otherwise the shorter on the average of the calendar.
    #[must_use]
    pub fn stricter(self, other: Self) -> Self {
        if other.average_days() < self.average_days() { other } else { self }
    }

    /// Its length in days, taken over the 400 years after which the calendar repeats itself.
    fn average_days(self) -> f64 {
        match self {
            Self::Days(days) => f64::from(days),
            Self::Months(months) => f64::from(months) * (365.2425 / 12.0),
        }
    }

    fn span(self) -> Span {
        match self {
            Self::Days(days) => i64::from(days).days(),
            Self::Months(months) => i64::from(months).months(),
        }
    }
}

/// Days from which every length of months is met at its shortest and its longest: around a leap year
/// and around 1900, a year of four without a leap day.
fn cycle() -> impl Iterator<Item = Date> {
    Date::constant(1880, 1, 1).series(1.day()).take_while(|day| *day < Date::constant(1905, 1, 1))
}

impl fmt::Display for Every {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Days(0) => f.write_str("the same day"),
            Self::Days(1) => f.write_str("1 day"),
            Self::Days(days) => write!(f, "{days} days"),
            Self::Months(1) => f.write_str("1 month"),
            Self::Months(months) => write!(f, "{months} months"),
        }
    }
}
