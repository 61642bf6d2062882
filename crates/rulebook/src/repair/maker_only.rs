//! Rule `repair.maker-only`: were reducing and admission valves, regulators and alarms left to
//! the maker or a technician whom the maker trained?

use super::{Component, RepairFacts, Standing};
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Were reducing and admission valves, regulators and alarms left to the maker or a technician
/// whom the maker trained?
/// # Why
/// A regulator or alarm set wrong fails without warning.
/// # Citation
/// 29 CFR 1910.134(h)(4)(iii).
/// # Example that passes
/// Regulator adjusted by the maker.
/// # Example that stops
/// Regulator adjusted by the site's repairer.
/// # Remedy
/// Send it to the maker or to a technician whom the maker trained.
/// # Limits
/// None.
pub static RULE: Rule = Rule {
    id: "repair.maker-only",
    asks: "Were reducing and admission valves, regulators and alarms left to the maker or a \
           technician whom the maker trained?",
    why: "A regulator or alarm set wrong fails without warning.",
    citation: "29 CFR 1910.134(h)(4)(iii)",
    authority: Authority::Read,
    says: "{part} was worked on by {who}, who is neither the maker nor trained by the maker",
    remedy: "send it to the maker or to a technician whom the maker trained",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &RepairFacts<'_>) -> Option<Finding> {
    if facts.standing != Standing::OfTheSite {
        return None;
    }
    let reserved = facts.worked_on.iter().find(|part| **part != Component::Other)?;
    let finding = Finding::stop(&RULE).with("part", reserved).with("who", facts.by);
    Some(finding.resting_on(facts.entry))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::repair::sample::check(
            |facts| facts.worked_on.push(Component::Regulator),
            check,
            Some("repair.maker-only"),
        );
        crate::repair::sample::check(
            |facts| facts.worked_on = vec![Component::Alarm],
            check,
            Some("repair.maker-only"),
        );
        crate::repair::sample::check(
            |facts| {
                facts.worked_on.push(Component::ReducingValve);
                facts.standing = Standing::TrainedByMaker;
            },
            check,
            None,
        );
    }
}
