use anyhow::Context;
use jiff::civil::{Date, Weekday};
use jiff::tz::Offset;
use jiff::{SignedDuration, Timestamp};

/// How many days before today the history starts: about fourteen months.
pub(super) const FIRST_DAY: i64 = 425;

/// Days are counted back from the last local midnight, so that day 1 is over whenever "now" is.
pub(super) struct Calendar {
    midnight: Timestamp,
    offset: Offset,
    /// Days back that are not on a weekend, the nearest first.
    workdays: Vec<i64>,
}

impl Calendar {
    pub(super) fn ending_at(now: Timestamp, utc_offset_hours: i8) -> anyhow::Result<Self> {
        let offset = Offset::from_hours(utc_offset_hours)?;
        let today = offset.to_datetime(now).date();
        let midnight = offset.to_timestamp(today.to_datetime(jiff::civil::Time::midnight()))?;
        let mut calendar = Self { midnight, offset, workdays: Vec::new() };
        for back in 1..=FIRST_DAY {
            let weekday = calendar.date(back)?.weekday();
            if !matches!(weekday, Weekday::Saturday | Weekday::Sunday) {
                calendar.workdays.push(back);
            }
        }
        Ok(calendar)
    }

    /// The instant `minute` minutes after the start of the day `back` days ago.
    pub(super) fn at(&self, back: i64, minute: i64) -> anyhow::Result<Timestamp> {
        let from_midnight = SignedDuration::from_mins(minute - back * 24 * 60);
        Ok(self.midnight.checked_add(from_midnight)?)
    }

    /// The date of the day `back` days ago; a day to come has a negative number.
    pub(super) fn date(&self, back: i64) -> anyhow::Result<Date> {
        Ok(self.offset.to_datetime(self.at(back, 12 * 60)?).date())
    }

    /// The working days, the oldest first.
    pub(super) fn workdays(&self) -> Vec<i64> {
        self.workdays.iter().rev().copied().collect()
    }

    /// The `n`th working day before today; the last one is 1.
    pub(super) fn last_workday(&self, n: i64) -> anyhow::Result<i64> {
        let index = usize::try_from(n - 1).ok();
        let found = index.and_then(|index| self.workdays.get(index)).copied();
        found.with_context(|| format!("no working day {n} in the history"))
    }

    /// The working day at or next before the day `back` days ago.
    pub(super) fn workday_by(&self, back: i64) -> i64 {
        self.workdays.iter().copied().find(|day| *day >= back).unwrap_or(FIRST_DAY)
    }
}
