//! Rule `supply.alarm-checked`: does the carbon monoxide alarm of a compressor work, and does it
//! sound at or below 10 ppm?

use super::SupplyFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Does the carbon monoxide alarm of a compressor work, and does it sound at or below 10 ppm?
/// # Why
/// An alarm that is trusted and does not sound is worse than none.
/// # Citation
/// 29 CFR 1910.134(i)(7) for the alarm and the 10 ppm; common practice for its check.
/// # Example that passes
/// Checked this month, sounds at 10 ppm.
/// # Example that stops
/// Failed its check, or sounds at 20 ppm.
/// # Remedy
/// Have the alarm repaired, set and checked; test the air for carbon monoxide until then.
/// # Limits
/// The paragraph prints no setting of the alarm; it asks that the air hold no more than 10 ppm.
/// The site's own interval is taken, and a month where it has none.
pub static RULE: Rule = Rule {
    id: "supply.alarm-checked",
    asks: "Does the carbon monoxide alarm of a compressor work, and does it sound at or below 10 \
           ppm?",
    why: "An alarm that is trusted and does not sound is worse than none.",
    citation: "29 CFR 1910.134(i)(7) for the alarm and the 10 ppm; common practice for its check",
    authority: Authority::CommonPractice,
    says: "{supply}: {state}",
    remedy: "have the alarm repaired, set and checked; test the air for carbon monoxide until then",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &SupplyFacts<'_>) -> Option<Finding> {
    let alarm = facts.monoxide_alarm.as_ref()?;
    let finding = Finding::stop(&RULE).with("supply", facts.supply).resting_on(alarm.entry);
    if !alarm.passed {
        return Some(finding.with("state", "the carbon monoxide alarm failed its check"));
    }
    if alarm.sounds_at.as_ppm() > MOST_MONOXIDE_PPM {
        let state = format!("the carbon monoxide alarm sounds at {} only", alarm.sounds_at);
        return Some(finding.with("state", state));
    }
    let until = facts.alarm_check_counts.last_day(alarm.day);
    if facts.day <= until {
        return None;
    }
    let state =
        format!("the check of the carbon monoxide alarm of {} held until {until}", alarm.day);
    Some(finding.with("state", state).after(until))
}

/// The most carbon monoxide in breathing air, ppm. Source: 29 CFR 1910.134(i)(7).
const MOST_MONOXIDE_PPM: f64 = 10.0;

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;
    use quantity::Ppm;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::supply::sample::check(
            |facts| facts.monoxide_alarm.as_mut().unwrap().passed = false,
            check,
            Some("supply.alarm-checked"),
        );
        crate::supply::sample::check(
            |facts| facts.monoxide_alarm.as_mut().unwrap().sounds_at = Ppm::from_ppm(20.0).unwrap(),
            check,
            Some("supply.alarm-checked"),
        );
        crate::supply::sample::check(
            |facts| facts.monoxide_alarm.as_mut().unwrap().day = date(2026, 3, 1),
            check,
            Some("supply.alarm-checked"),
        );
        crate::supply::sample::check(|facts| facts.monoxide_alarm = None, check, None);
    }
}
