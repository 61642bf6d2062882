//! Calendar rules against a table written by hand and against a general calendar library.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use jiff::Timestamp;
use jiff::civil::{Date, date};
use jiff::tz::TimeZone;
use rulebook::interval::{Every, PolicyError, adopt, asked, intervals};

const DAY: Every = Every::Days(0);
const WEEK: Every = Every::Days(7);
const MONTH: Every = Every::Months(1);
const HALF_YEAR: Every = Every::Months(6);
const YEAR: Every = Every::Months(12);
const FIVE_YEARS: Every = Every::Months(60);

// Written by hand from wall calendars.
#[test]
fn last_days_are_those_of_a_wall_calendar() {
    for (every, start, last) in [
        (DAY, date(2026, 5, 4), date(2026, 5, 4)),
        (WEEK, date(2026, 2, 23), date(2026, 3, 2)),
        (WEEK, date(2028, 2, 23), date(2028, 3, 1)),
        (WEEK, date(2026, 12, 28), date(2027, 1, 4)),
        (MONTH, date(2026, 1, 28), date(2026, 2, 28)),
        (MONTH, date(2026, 1, 29), date(2026, 2, 28)),
        (MONTH, date(2026, 1, 31), date(2026, 2, 28)),
        (MONTH, date(2028, 1, 31), date(2028, 2, 29)),
        (MONTH, date(2026, 2, 28), date(2026, 3, 28)),
        (MONTH, date(2026, 5, 31), date(2026, 6, 30)),
        (MONTH, date(2026, 12, 31), date(2027, 1, 31)),
        (HALF_YEAR, date(2026, 8, 31), date(2027, 2, 28)),
        (HALF_YEAR, date(2027, 8, 30), date(2028, 2, 29)),
        (HALF_YEAR, date(2026, 3, 31), date(2026, 9, 30)),
        (YEAR, date(2028, 2, 29), date(2029, 2, 28)),
        (YEAR, date(2027, 2, 28), date(2028, 2, 28)),
        (FIVE_YEARS, date(2024, 2, 29), date(2029, 2, 28)),
        (FIVE_YEARS, date(2021, 6, 30), date(2026, 6, 30)),
        (Every::Months(180), date(2012, 2, 29), date(2027, 2, 28)),
    ] {
        assert_eq!(every.last_day(start), last, "{every} from {start}");
    }
}

// By hand; from memory: New York puts its clocks forward on 8 March 2026 and back on 1 November
// 2026, Madrid forward on 29 March 2026.
#[test]
fn a_day_ends_at_the_midnight_of_its_site() {
    for (zone, done, every, ends) in [
        ("America/New_York", "2026-02-08T17:00:00Z", MONTH, "2026-03-09T04:00:00Z"),
        ("America/New_York", "2026-10-01T12:00:00Z", MONTH, "2026-11-02T05:00:00Z"),
        // Late in the evening there it is the next day in UTC.
        ("America/New_York", "2026-02-01T03:30:00Z", MONTH, "2026-03-01T05:00:00Z"),
        ("Europe/Madrid", "2026-03-28T23:30:00Z", DAY, "2026-03-29T22:00:00Z"),
        ("UTC", "2026-01-31T23:59:59Z", MONTH, "2026-03-01T00:00:00Z"),
    ] {
        let zone = TimeZone::get(zone).unwrap();
        let done: Timestamp = done.parse().unwrap();
        assert_eq!(every.counts_before(done, &zone).unwrap(), ends.parse().unwrap());
    }
}

/// The rows of a table under `tests/data`, without its header.
fn rows(name: &str, header: &str) -> Vec<Vec<String>> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/data").join(name);
    let text = fs::read_to_string(path).unwrap();
    let mut lines = text.lines();
    assert_eq!(lines.next(), Some(header));
    lines.map(|line| line.split(',').map(str::to_owned).collect()).collect()
}

fn every(unit: &str, number: &str) -> Every {
    let number = number.parse().unwrap();
    match unit {
        "days" => Every::Days(number),
        "months" => Every::Months(number),
        other => panic!("`{other}`"),
    }
}

// python-dateutil 2.9.0.post0, by tests/data/interval_cases.py.
#[test]
fn last_days_agree_with_a_general_calendar_library() {
    let rows = rows("interval_days.csv", "start,unit,number,last_day");
    assert!(rows.len() > 3_000, "{}", rows.len());
    for row in rows {
        let (start, last): (Date, Date) = (row[0].parse().unwrap(), row[3].parse().unwrap());
        assert_eq!(every(&row[1], &row[2]).last_day(start), last, "{row:?}");
    }
}

#[test]
fn the_ends_of_days_agree_with_a_general_calendar_library_in_every_zone() {
    let rows = rows("interval_instants.csv", "done,zone,unit,number,counts_before");
    assert!(rows.len() > 1_000, "{}", rows.len());
    let mut zones = BTreeSet::new();
    for row in rows {
        let (done, ends): (Timestamp, Timestamp) =
            (row[0].parse().unwrap(), row[4].parse().unwrap());
        let zone = TimeZone::get(&row[1]).unwrap();
        assert_eq!(every(&row[2], &row[3]).counts_before(done, &zone).unwrap(), ends, "{row:?}");
        zones.insert(row[1].clone());
    }
    assert_eq!(zones.len(), 12);
}

#[test]
fn stricter_means_never_later_from_any_day() {
    for (mine, theirs, no_laxer) in [
        (Every::Days(28), MONTH, true),
        (Every::Days(29), MONTH, false),
        (Every::Days(30), MONTH, false),
        (Every::Days(365), YEAR, true),
        (Every::Days(366), YEAR, false),
        (Every::Days(1825), FIVE_YEARS, true),
        (Every::Days(1826), FIVE_YEARS, false),
        (Every::Months(11), YEAR, true),
        (YEAR, YEAR, true),
        (Every::Months(13), YEAR, false),
        (MONTH, Every::Days(31), true),
        (MONTH, Every::Days(30), false),
        (WEEK, WEEK, true),
        (Every::Days(8), WEEK, false),
        (DAY, DAY, true),
    ] {
        assert_eq!(mine.is_no_laxer_than(theirs), no_laxer, "{mine} against {theirs}");
    }
}

#[test]
fn a_site_may_ask_for_more_and_a_laxer_wish_is_refused_by_name() {
    assert_eq!(adopt("fit.in-date", Every::Months(6)), Ok(Every::Months(6)));
    assert_eq!(adopt("fit.in-date", Every::Days(365)), Ok(Every::Days(365)));
    let refused = adopt("fit.in-date", Every::Months(13)).unwrap_err();
    assert_eq!(
        refused.to_string(),
        "`fit.in-date`: 13 months is laxer than the 12 months that 29 CFR 1910.134(f)(2) asks \
         for\n  a site may ask for more, never for less"
    );
    assert!(adopt("unit.inspected-monthly", Every::Days(30)).is_err());
    assert!(adopt("fit-test.odour-solution", Every::Days(1)).is_err());
    assert_eq!(adopt("program.evaluated", Every::Months(24)), Ok(Every::Months(24)));
    let unknown = adopt("fit.now-and-then", YEAR).unwrap_err();
    assert!(
        matches!(unknown, PolicyError::Unknown { .. })
            && unknown.to_string().contains("`fit.in-date`")
    );
}

#[test]
fn every_interval_belongs_to_a_rule_and_what_was_read_binds() {
    let rules: BTreeSet<&str> = rulebook::all_rules().iter().map(|rule| rule.id).collect();
    for interval in intervals() {
        assert!(rules.contains(interval.rule.as_str()), "`{}` is no rule", interval.rule);
        assert_eq!(asked(&interval.rule), Some(interval), "`{}` stands twice", interval.rule);
        let read = interval.authority == rulebook::Authority::Read;
        // Before each use is more than any length of the calendar.
        let asks_for_more = interval.citation.contains("(before each use; ");
        assert_eq!(interval.binding, read || asks_for_more, "`{}`", interval.rule);
    }
}
