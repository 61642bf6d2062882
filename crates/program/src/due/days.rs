use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use rulebook::Finding;

use crate::ids::SiteId;
use crate::state::State;

/// From when on a duty stands in the way.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Since {
    /// On any day.
    Always,
    /// From this day on, at the site.
    Day(Date),
    /// It no longer does, and is shown so that nobody overlooks it.
    Over,
}

/// The days of a question: today, and the last day looked ahead to, at the site.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Days {
    /// Today.
    pub today: Date,
    /// The last day looked ahead to.
    pub ahead: Date,
}

impl Days {
    /// The days at `site` at the instant `now`, and so many days on.
    #[must_use]
    pub fn at(state: &State, site: Option<&SiteId>, now: Timestamp, days: i64) -> Self {
        let zone = site.map_or(TimeZone::UTC, |site| Calendar::of(state, site).zone);
        let today = zone.to_datetime(now).date();
        let span = jiff::Span::new().try_days(days).unwrap_or_default();
        Self { today, ahead: today.checked_add(span).unwrap_or(today) }
    }
}

/// The calendar of a site.
pub(super) struct Calendar {
    zone: TimeZone,
}

impl Calendar {
    /// Where the zone is not known, days are days of universal time.
    pub(super) fn of(state: &State, site: &SiteId) -> Self {
        let zone = state.site(site).and_then(|site| site.time_zone.clone());
        Self { zone: zone.unwrap_or(TimeZone::UTC) }
    }

    /// The zone of the site.
    pub(super) const fn zone(&self) -> &TimeZone {
        &self.zone
    }

    /// The day of an instant at the site.
    pub(super) fn day(&self, when: Timestamp) -> Date {
        self.zone.to_datetime(when).date()
    }
}

/// Everything that `ask` finds as the days go by, the earliest first.
///
/// What is found on the last day of the calendar tells since when; on the day before that, a
/// question may still have found something else (INVARIANT: found for good).
pub(super) fn found(mut ask: impl FnMut(Date) -> Option<Finding>) -> Vec<Finding> {
    let mut all = Vec::new();
    let mut day = Date::MAX;
    while let Some(finding) = ask(day) {
        let before = finding.since.and_then(|since| since.yesterday().ok());
        all.push(finding);
        match before.filter(|before| *before < day) {
            Some(before) => day = before,
            None => break,
        }
    }
    all.reverse();
    all
}
