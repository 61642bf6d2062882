//! Rule `supply.cylinder-requalified`: is the cylinder in date of its requalification?

use super::CylinderFacts;
use super::cylinder_terms::UNCONFIRMED;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the cylinder in date of its requalification?
/// # Why
/// A cylinder that was not tested may burst when it is filled.
/// # Citation
/// 29 CFR 1910.134(i)(4)(i); 49 CFR 180.209(a) Table 1.
/// # Example that passes
/// Tested 30 June 2021, every five years, filled 30 June 2026.
/// # Example that stops
/// Filled on 1 July 2026.
/// # Remedy
/// Let it be emptied and requalified by one who holds an approval to do so; do not fill it.
/// # Limits
/// The period is that of its kind (`data/cylinders.csv`, some rows from memory) or of its permit,
/// as entered; a calendar month of grace is not given. Dents, corrosion, leaks and fire call for
/// an earlier test.
pub static RULE: Rule = Rule {
    id: "supply.cylinder-requalified",
    asks: "Is the cylinder in date of its requalification?",
    why: "A cylinder that was not tested may burst when it is filled.",
    citation: "29 CFR 1910.134(i)(4)(i); 49 CFR 180.209(a) Table 1",
    authority: Authority::Read,
    says: "{state}",
    remedy: "let it be emptied and requalified by one who holds an approval to do so; do not fill \
             it",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &CylinderFacts<'_>) -> Option<Finding> {
    let finding = Finding::stop(&RULE);
    if let Some(day) = facts.failed {
        let state = format!("cylinder {} failed its test on {day}", facts.cylinder);
        return Some(finding.with("state", state).resting_on(facts.entry));
    }
    let Some(every) = facts.requalified_every else {
        let state = format!(
            "it is not known how often cylinder {} is requalified; enter the period of its permit",
            facts.cylinder
        );
        return Some(finding.with("state", state).resting_on(facts.entry));
    };
    let last = facts.requalified.unwrap_or(facts.made);
    let until = every.last_day(last);
    if last <= facts.day && facts.day <= until {
        return None;
    }
    let basis = if facts.period_unconfirmed { UNCONFIRMED } else { "" };
    let cylinder = facts.cylinder;
    let state =
        format!("cylinder {cylinder} was qualified on {last} until {until}, each {every}{basis}");
    let finding = finding.with("state", state).resting_on(facts.entry);
    // A qualification that begins later is in doubt on every day before it too.
    Some(if last <= facts.day { finding.after(until) } else { finding })
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::supply::sample::check(|facts| facts.day = date(2026, 6, 30), check, None);
        crate::supply::sample::check(
            |facts| facts.day = date(2026, 7, 1),
            check,
            Some("supply.cylinder-requalified"),
        );
        crate::supply::sample::check(
            |facts| facts.requalified_every = None,
            check,
            Some("supply.cylinder-requalified"),
        );
        crate::supply::sample::check(
            |facts| facts.requalified = None,
            check,
            Some("supply.cylinder-requalified"),
        );
        crate::supply::sample::check(
            |facts| facts.requalified = Some(date(2027, 1, 1)),
            check,
            Some("supply.cylinder-requalified"),
        );
    }
}
