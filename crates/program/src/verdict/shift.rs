//! Which wears make one shift.

use jiff::{SignedDuration, Timestamp};

use super::instant::Instant;
use crate::ids::PersonId;
use crate::state::Stint;

/// No shift lasts longer, from its first wear on.
const LONGEST_SHIFT: SignedDuration = SignedDuration::from_hours(12);

/// A longer break over midnight ends a shift.
const LONGEST_BREAK_OVER_MIDNIGHT: SignedDuration = SignedDuration::from_hours(4);

/// Opened earlier than this before now, an element was not opened for this shift.
const LONGEST_OPEN: SignedDuration = SignedDuration::from_hours(16);

/// The coming shift of a set of elements.
pub(super) struct Shift {
    /// Its number, from one, since the elements were fitted.
    pub(super) number: u32,
    /// Its first wear.
    start: Timestamp,
}

/// One wear in a shift.
struct Wear<'a> {
    wearer: &'a PersonId,
    when: Timestamp,
}

impl Shift {
    /// The shift to which wear by `wearer` from now on belongs.
    ///
    /// Records do not name shifts, so they are told from the wears, rather too many than too few:
    /// another wearer, a wear 12 hours after the first, or a break of more than 4 hours over
    /// midnight begins a new one.
    pub(super) fn coming<'a>(
        worn: impl Iterator<Item = &'a Stint>,
        wearer: &'a PersonId,
        instant: &Instant,
    ) -> Self {
        let past = worn.map(|stint| Wear { wearer: &stint.wearer, when: stint.at.when });
        let coming = Wear { wearer, when: instant.now };
        let mut shift = Self { number: 0, start: instant.now };
        let mut before: Option<Wear<'_>> = None;
        for wear in past.chain([coming]) {
            let goes_on = before.as_ref().is_some_and(|last| shift.goes_on(last, &wear, instant));
            if !goes_on {
                shift = Self { number: shift.number.saturating_add(1), start: wear.when };
            }
            before = Some(wear);
        }
        shift
    }

    fn goes_on(&self, last: &Wear<'_>, next: &Wear<'_>, instant: &Instant) -> bool {
        let same_day = instant.day(last.when) == instant.day(next.when);
        let short_break = next.when.duration_since(last.when) <= LONGEST_BREAK_OVER_MIDNIGHT;
        last.wearer == next.wearer
            && next.when.duration_since(self.start) < LONGEST_SHIFT
            && (same_day || short_break)
    }

    /// Whether a seal opened at `opened` was opened for this shift: on its day, or little before
    /// its first wear.
    pub(super) fn saw_opening(&self, opened: Timestamp, instant: &Instant) -> bool {
        let same_day = instant.day(opened) == instant.day(instant.now);
        let little_before = self.start.duration_since(opened) <= LONGEST_BREAK_OVER_MIDNIGHT;
        let not_ahead = opened <= super::instant::latest_by_any_clock(instant.now);
        let not_long_ago = instant.now.duration_since(opened) <= LONGEST_OPEN;
        not_ahead && not_long_ago && (same_day || little_before)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ids::{EntryId, TaskId};
    use crate::state::At;
    use quantity::Minutes;

    fn instant(now: &str) -> Instant {
        let zone = jiff::tz::TimeZone::get("Europe/Madrid").unwrap();
        Instant::new(now.parse().unwrap(), 0.0, Some(zone))
    }

    fn number(worn: &[(&str, &str)], wearer: &str, now: &str) -> u32 {
        let stint = |(step, (wearer, when)): (usize, &(&str, &str))| Stint {
            wearer: PersonId::new(wearer),
            task: TaskId::new("t"),
            time: Minutes::from_min(30.0).unwrap(),
            at: At {
                entry: EntryId::new(step.to_string()),
                when: when.parse().unwrap(),
                step: u32::try_from(step).unwrap(),
            },
        };
        let worn: Vec<Stint> = worn.iter().enumerate().map(stint).collect();
        Shift::coming(worn.iter(), &PersonId::new(wearer), &instant(now)).number
    }

    // Times are UTC; Madrid is two hours ahead in May.
    #[test]
    fn shifts_are_told_from_wears_rather_too_many_than_too_few() {
        let morning = ("ada", "2026-05-04T05:00:00Z");
        let late = ("ada", "2026-05-04T21:30:00Z");
        for (worn, wearer, now, expected) in [
            (&[][..], "ada", "2026-05-04T05:00:00Z", 1),
            (&[morning], "ada", "2026-05-04T12:00:00Z", 1),
            (&[morning], "ada", "2026-05-04T17:00:00Z", 2),
            (&[morning], "ada", "2026-05-05T05:00:00Z", 2),
            (&[morning], "bo", "2026-05-04T06:00:00Z", 2),
            (&[late], "ada", "2026-05-04T22:30:00Z", 1),
            (&[late], "ada", "2026-05-05T05:00:00Z", 2),
            (&[morning, late], "ada", "2026-05-06T05:00:00Z", 3),
        ] {
            assert_eq!(number(worn, wearer, now), expected, "{worn:?}, {wearer} at {now}");
        }
    }

    #[test]
    fn a_seal_opened_the_day_before_was_not_opened_for_this_shift() {
        let saw = |opened: &str, now: &str| {
            let instant = instant(now);
            let shift = Shift::coming([].iter(), &PersonId::new("ada"), &instant);
            shift.saw_opening(opened.parse().unwrap(), &instant)
        };
        assert!(saw("2026-05-04T05:00:00Z", "2026-05-04T12:00:00Z"));
        assert!(saw("2026-05-04T20:00:00Z", "2026-05-04T23:00:00Z"));
        assert!(!saw("2026-05-03T12:00:00Z", "2026-05-04T05:00:00Z"));
        assert!(!saw("2026-05-03T22:30:00Z", "2026-05-04T18:00:00Z"));
        assert!(!saw("2026-05-05T05:00:00Z", "2026-05-04T05:00:00Z"));
    }
}
