use jiff::civil::Date;

use crate::interval::Every;

/// How often the rules ask for a thing to be done again, by the calendar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Interval {
    /// A calendar month.
    Month,
    /// A calendar year.
    Year,
}

impl Interval {
    /// The last day on which a thing done on `start` still counts: the same day of the month, a
    /// month or a year later, or the last day of that month where it has no such day.
    ///
    /// ```
    /// use jiff::civil::date;
    /// use rulebook::ask::Interval;
    ///
    /// assert_eq!(Interval::Year.last_day(date(2024, 2, 29)), date(2025, 2, 28));
    /// assert_eq!(Interval::Month.last_day(date(2026, 1, 31)), date(2026, 2, 28));
    /// ```
    #[must_use]
    pub fn last_day(self, start: Date) -> Date {
        match self {
            Self::Month => Every::Months(1).last_day(start),
            Self::Year => Every::Months(12).last_day(start),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    // Written by hand from a wall calendar.
    #[test]
    fn leap_days_and_month_ends_end_on_the_last_day_there_is() {
        for (interval, start, last) in [
            (Interval::Year, date(2025, 3, 10), date(2026, 3, 10)),
            (Interval::Year, date(2024, 2, 29), date(2025, 2, 28)),
            (Interval::Year, date(2023, 2, 28), date(2024, 2, 28)),
            (Interval::Year, date(2024, 12, 31), date(2025, 12, 31)),
            (Interval::Month, date(2026, 1, 31), date(2026, 2, 28)),
            (Interval::Month, date(2024, 1, 31), date(2024, 2, 29)),
            (Interval::Month, date(2024, 2, 29), date(2024, 3, 29)),
            (Interval::Month, date(2026, 3, 31), date(2026, 4, 30)),
            (Interval::Month, date(2025, 12, 15), date(2026, 1, 15)),
            (Interval::Year, Date::MAX, Date::MAX),
        ] {
            assert_eq!(interval.last_day(start), last, "{interval:?} from {start}");
        }
    }
}
