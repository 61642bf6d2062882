//! Rule `unit.inspection-recent`: was the set inspected on the day of the wear, and within a month?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the set inspected on the day of the wear, and within a month?
/// # Why
/// Rubber ages, straps slacken and valves stick while a set lies unused.
/// # Citation
/// 29 CFR 1910.134(h)(3)(i)(A)-(B): before each use. The month is common practice, no source.
/// # Example that passes
/// Inspected this morning.
/// # Example that stops
/// Inspected 32 days ago and not touched since; from an earlier day than today it is a caution.
/// # Remedy
/// Inspect the set before it is put on, and record what you find.
/// # Limits
/// One that something happened after is asked by `unit.inspected-before-use`. The look that each wearer
/// gives the set is not asked for as a record: where it is not recorded on its day, the caution says to
/// give it. A site may ask for less than the 31 days, never for more.
pub static RULE: Rule = Rule {
    id: "unit.inspection-recent",
    asks: "Was the set inspected on the day of the wear, and within a month?",
    why: "Rubber ages, straps slacken and valves stick while a set lies unused.",
    citation: "29 CFR 1910.134(h)(3)(i)(A)-(B); how long one counts: common practice, no source",
    authority: Authority::CommonPractice,
    says: "the set was inspected on {day}, {state}",
    remedy: "inspect it before it is put on: straps, valves, facepiece, connections, elements; record \
             what you find",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    // What failed, or was overtaken, is asked by rules of its own.
    let counts = facts.inspection.as_ref();
    let done = counts.filter(|done| done.passed && done.overtaken_by.is_none())?;
    let until = facts.inspection_counts.last_day(done.day);
    let told = |finding: Finding, state: String| {
        finding.with("day", done.day).with("state", state).resting_on(done.entry)
    };
    if until < facts.day {
        let state = format!("which holds until {until} (common practice, unconfirmed)");
        return Some(told(Finding::stop(&RULE), state).after(until));
    }
    (!done.for_this_wear)
        .then(|| told(Finding::caution(&RULE), "not on the day of this wear".to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Severity;
    use crate::interval::Every;
    use crate::unit::sample;
    use jiff::civil::{Date, date};

    /// What is found on 4 May of an inspection of a day.
    fn found(day: Date, counts: Every) -> Option<Severity> {
        let mut found = None;
        let change = |facts: &mut UnitFacts<'static>| {
            sample::inspection(facts).day = day;
            sample::inspection(facts).for_this_wear = day == facts.day;
            facts.inspection_counts = counts;
            found = check(facts).map(|finding| finding.severity);
        };
        sample::check(change, |_| None, None);
        found
    }

    // Source: 29 CFR 1910.134(h)(3)(i)(A): before each use.
    #[test]
    fn the_examples_of_the_doc_hold() {
        let month = Every::Days(31);
        assert_eq!(found(date(2026, 5, 4), month), None);
        assert_eq!(found(date(2026, 5, 3), month), Some(Severity::Caution));
        assert_eq!(found(date(2026, 4, 3), month), Some(Severity::Caution), "31 days");
        assert_eq!(found(date(2026, 4, 2), month), Some(Severity::Stop), "32 days");
        // A site that asks for it on the day.
        assert_eq!(found(date(2026, 5, 3), Every::Days(0)), Some(Severity::Stop));
        let stale = |facts: &mut UnitFacts<'static>| sample::inspection(facts).day = Date::MIN;
        sample::check(stale, check, Some("unit.inspection-recent"));
    }
}
