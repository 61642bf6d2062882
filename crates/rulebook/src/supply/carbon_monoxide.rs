//! Rule `supply.carbon-monoxide`: is carbon monoxide watched at an oil-lubricated compressor, by
//! an alarm for it or by tests often enough?

use super::{Source, SupplyFacts};
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is carbon monoxide watched at an oil-lubricated compressor, by an alarm for it or by tests
/// often enough?
/// # Why
/// Hot oil gives off carbon monoxide, which has no smell and kills.
/// # Citation
/// 29 CFR 1910.134(i)(7).
/// # Example that passes
/// A carbon monoxide alarm, checked last week.
/// # Example that stops
/// A high-temperature alarm alone and no test for two months.
/// # Remedy
/// Fit a carbon monoxide alarm, or test the air for carbon monoxide often enough to keep it at or
/// below 10 ppm.
/// # Limits
/// How often is enough is not printed; the site's own interval is taken, and a month where it has
/// none.
pub static RULE: Rule = Rule {
    id: "supply.carbon-monoxide",
    asks: "Is carbon monoxide watched at an oil-lubricated compressor, by an alarm for it or by \
           tests often enough?",
    why: "Hot oil gives off carbon monoxide, which has no smell and kills.",
    citation: "29 CFR 1910.134(i)(7)",
    authority: Authority::Read,
    says: "{supply}: {state}",
    remedy: "fit a carbon monoxide alarm, or test the air for carbon monoxide often enough to keep \
             it at or below 10 ppm",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &SupplyFacts<'_>) -> Option<Finding> {
    if facts.source != Source::OilLubricatedCompressor || facts.monoxide_alarm.is_some() {
        return None;
    }
    let finding = Finding::stop(&RULE).with("supply", facts.supply);
    if !facts.high_temperature_alarm {
        let state = "there is neither a carbon monoxide alarm nor one for high temperature";
        return Some(finding.with("state", state));
    }
    let Some(test) = facts.monoxide_test else {
        let state = "there is no carbon monoxide alarm and no test for it";
        return Some(finding.with("state", state));
    };
    let finding = finding.resting_on(test.entry);
    let until = facts.monoxide_test_counts.last_day(test.day);
    if facts.day <= until {
        return None;
    }
    let state = format!(
        "there is no carbon monoxide alarm, and the test of {} held until {until}",
        test.day
    );
    Some(finding.with("state", state).after(until))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::supply::MonoxideTest;
    use jiff::civil::date;

    fn tested() -> Option<MonoxideTest<'static>> {
        let found = quantity::Ppm::from_ppm(3.0).unwrap();
        Some(MonoxideTest { day: date(2026, 4, 30), found, entry: "e9" })
    }

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::supply::sample::check(
            |facts| facts.monoxide_alarm = None,
            check,
            Some("supply.carbon-monoxide"),
        );
        crate::supply::sample::check(
            |facts| {
                facts.monoxide_alarm = None;
                facts.high_temperature_alarm = true;
            },
            check,
            Some("supply.carbon-monoxide"),
        );
        crate::supply::sample::check(
            |facts| {
                facts.monoxide_alarm = None;
                facts.high_temperature_alarm = true;
                facts.monoxide_test = tested();
                facts.day = date(2026, 5, 30);
            },
            check,
            None,
        );
        crate::supply::sample::check(
            |facts| {
                facts.monoxide_alarm = None;
                facts.high_temperature_alarm = true;
                facts.monoxide_test = tested();
                facts.day = date(2026, 5, 31);
            },
            check,
            Some("supply.carbon-monoxide"),
        );
        crate::supply::sample::check(
            |facts| {
                facts.monoxide_alarm = None;
                facts.source = Source::OilFreeCompressor;
            },
            check,
            None,
        );
    }
}
