//! Rule `unit.in-right-hands`: is the set in the hands of this wearer, or free for anyone?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the set in the hands of this wearer, or free for anyone?
/// # Why
/// Who holds a set knows its state; a set taken from another wearer was not made ready for this
/// one.
/// # Citation
/// 29 CFR 1910.134(h)(1)(i)-(ii).
/// # Example that passes
/// Issued to this wearer; or shared and in nobody else's hands.
/// # Example that stops
/// Issued to somebody else and not returned.
/// # Remedy
/// Have it returned, made ready and issued to the wearer; or take the set that was issued to the
/// wearer.
/// # Limits
/// Sets that are shared or kept for emergencies need no issue; all others do.
pub static RULE: Rule = Rule {
    id: "unit.in-right-hands",
    asks: "Is the set in the hands of this wearer, or free for anyone?",
    why: "Who holds a set knows its state; a set taken from another wearer was not made ready for \
           this one.",
    citation: "29 CFR 1910.134(h)(1)(i)-(ii)",
    authority: Authority::Read,
    says: "this set is {where}",
    remedy: "have it returned, made ready and issued to {wearer}; or take the set that was issued \
           to {wearer}",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let mut others = facts.holders.iter().filter(|holder| holder.person != facts.wearer);
    let free = facts.shared || facts.emergency;
    let finding = Finding::stop(&RULE).with("wearer", facts.wearer_name);
    if let Some(other) = others.next() {
        let finding = finding.with("where", format!("issued to {}", other.name));
        return Some(
            others.fold(finding.resting_on(other.entry), |all, one| all.resting_on(one.entry)),
        );
    }
    if free || !facts.holders.is_empty() || !facts.received {
        return None;
    }
    Some(finding.with("where", "not issued to anyone"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::Use;
    use crate::unit::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                let _ = &facts;
            },
            check,
            None,
        );
        sample::check(|facts| facts.holders = Vec::new(), check, Some("unit.in-right-hands"));
        sample::check(
            |facts| facts.holders = vec![Use { person: "p2", name: "Bo", entry: "e9" }],
            check,
            Some("unit.in-right-hands"),
        );
        sample::check(
            |facts| facts.holders.push(Use { person: "p2", name: "Bo", entry: "e9" }),
            check,
            Some("unit.in-right-hands"),
        );
        sample::check(
            |facts| {
                facts.shared = true;
                facts.holders = vec![Use { person: "p2", name: "Bo", entry: "e9" }];
            },
            check,
            Some("unit.in-right-hands"),
        );
        sample::check(
            |facts| {
                facts.shared = true;
                facts.holders = Vec::new();
            },
            check,
            None,
        );
        sample::check(
            |facts| {
                facts.emergency = true;
                facts.holders = Vec::new();
            },
            check,
            None,
        );
    }
}
