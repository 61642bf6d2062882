//! Rule `unit.cylinder-known`: is it known which cylinder the set carries?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is it known which cylinder the set carries?
/// # Why
/// Of a cylinder that nobody listed, neither its tests nor the end of its life are known.
/// # Citation
/// 29 CFR 1910.134(i)(4)(i).
/// # Example that passes
/// A listed cylinder, mounted on the set.
/// # Example that stops
/// A gauge that was read on a set of which no cylinder is on record.
/// # Remedy
/// List the cylinder as it is stamped, and record that it is mounted on the set.
/// # Limits
/// Sets with carried air only.
pub static RULE: Rule = Rule {
    id: "unit.cylinder-known",
    asks: "Is it known which cylinder the set carries?",
    why: "Of a cylinder that nobody listed, neither its tests nor the end of its life are known.",
    citation: "29 CFR 1910.134(i)(4)(i)",
    authority: Authority::Read,
    says: "{state}, so that its requalification and its life are not known",
    remedy: "list the cylinder that the set carries as it is stamped, and record that it is mounted",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    if !facts.device.as_ref()?.carries_cylinder() {
        return None;
    }
    let finding = Finding::stop(&RULE);
    let Some(mounted) = facts.mounted.as_ref() else {
        return Some(finding.with("state", "no cylinder of this set is on record"));
    };
    let cylinder = mounted.cylinder;
    let state = match (mounted.listed.as_ref(), mounted.gone_to) {
        (Some(_), None) => return None,
        (Some(_), Some(other)) => {
            format!("cylinder {cylinder} went on to {other}, and no other one is on record here")
        }
        (None, _) => format!("cylinder {cylinder} is mounted and was never listed"),
    };
    Some(finding.with("state", state).resting_on(mounted.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        let expected = Some("unit.cylinder-known");
        sample::check(|facts| sample::cylinder(facts, 30_000.0, 30_000.0), check, None);
        let changed = |change: fn(&mut UnitFacts<'static>)| {
            move |facts: &mut UnitFacts<'static>| {
                sample::cylinder(facts, 30_000.0, 30_000.0);
                change(facts);
            }
        };
        sample::check(changed(|facts| facts.mounted = None), check, expected);
        sample::check(changed(|facts| sample::mounted(facts).listed = None), check, expected);
        sample::check(changed(|f| sample::mounted(f).gone_to = Some("u2")), check, expected);
    }
}
