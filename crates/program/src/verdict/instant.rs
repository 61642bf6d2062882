use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};

/// How far ahead of the asking clock the clock of a device may run.
const CLOCKS_DIFFER_BY: SignedDuration = SignedDuration::from_mins(15);

/// A shift. Common practice, no source.
const SHIFT: SignedDuration = SignedDuration::from_hours(8);

/// The latest time that an entry made until now can carry.
pub(crate) fn latest_by_any_clock(now: Timestamp) -> Timestamp {
    now.checked_add(CLOCKS_DIFFER_BY).unwrap_or(now)
}

/// The instant of the question, and the calendar of the site.
pub(super) struct Instant {
    pub(super) now: Timestamp,
    /// When the planned wear ends.
    pub(super) end: Timestamp,
    /// The last day of the planned wear: what has an end must hold until then.
    pub(super) last_day: Date,
    zone: Option<TimeZone>,
}

impl Instant {
    /// `planned` in minutes. Where the zone is not known the answer is stop, and days of universal
    /// time serve to show the other findings.
    pub(super) fn new(now: Timestamp, planned: f64, zone: Option<TimeZone>) -> Self {
        let wear = SignedDuration::try_from_secs_f64(planned * 60.0);
        let end = wear.ok().and_then(|wear| now.checked_add(wear).ok()).unwrap_or(now);
        let last_day = zone.clone().unwrap_or(TimeZone::UTC).to_datetime(end).date();
        Self { now, end, last_day, zone }
    }

    pub(super) const fn zone_is_known(&self) -> bool {
        self.zone.is_some()
    }

    /// The zone of the site, where it is known.
    pub(super) fn known_zone(&self) -> Option<TimeZone> {
        self.zone.clone()
    }

    /// The zone of the site; universal time where it is not known.
    pub(super) fn zone(&self) -> &TimeZone {
        self.zone.as_ref().unwrap_or(const { &TimeZone::UTC })
    }

    /// Whether what was done before a use at `when` was done for this one: on its day, or in the shift
    /// before it, which may have begun on the day before.
    pub(super) fn is_for_this_wear(&self, when: Timestamp) -> bool {
        self.day(when) == self.day(self.now) || self.now.duration_since(when) <= SHIFT
    }

    /// The day at the site.
    pub(super) fn day(&self, when: Timestamp) -> Date {
        self.zone().to_datetime(when).date()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn a_check_counts_for_the_wear_of_its_day_and_of_its_shift() {
        // 00:30 in Madrid in winter.
        let night = "2026-01-31T23:30:00Z".parse().unwrap();
        let instant = Instant::new(night, 60.0, TimeZone::get("Europe/Madrid").ok());
        let counts = |when: &str| instant.is_for_this_wear(when.parse().unwrap());
        assert!(counts("2026-01-31T23:10:00Z") && counts("2026-01-31T15:30:00Z"));
        assert!(!counts("2026-01-31T15:29:00Z"));
        let evening = "2026-01-31T22:00:00Z".parse().unwrap();
        let instant = Instant::new(evening, 60.0, TimeZone::get("Europe/Madrid").ok());
        assert!(instant.is_for_this_wear("2026-01-30T23:30:00Z".parse().unwrap()));
    }

    #[test]
    fn wear_past_midnight_ends_on_the_next_day_of_the_site() {
        let madrid = TimeZone::get("Europe/Madrid").unwrap();
        // 21:30 UTC is 22:30 in Madrid in winter.
        let now: Timestamp = "2026-01-31T21:30:00Z".parse().unwrap();
        let last_day = |planned| Instant::new(now, planned, Some(madrid.clone())).last_day;
        assert_eq!(last_day(60.0), date(2026, 1, 31));
        assert_eq!(last_day(120.0), date(2026, 2, 1));
        assert_eq!(Instant::new(now, 120.0, None).last_day, date(2026, 1, 31));
    }
}
