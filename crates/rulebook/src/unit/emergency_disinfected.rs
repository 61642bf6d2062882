//! Rule `unit.emergency-disinfected`: was a set kept for emergencies cleaned and disinfected after
//! its last use?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was a set kept for emergencies cleaned and disinfected after its last use?
/// # Why
/// In an emergency there is no time to make it ready.
/// # Citation
/// 29 CFR 1910.134(h)(1)(iii), App. B-2.
/// # Example that passes
/// Used in March, then washed and disinfected.
/// # Example that stops
/// Used in March by the same wearer and hung back.
/// # Remedy
/// Clean and disinfect the set, then inspect it.
/// # Limits
/// Asks emergency sets only; a set of one wearer is cleaned as often as needed.
pub static RULE: Rule = Rule {
    id: "unit.emergency-disinfected",
    asks: "Was a set kept for emergencies cleaned and disinfected after its last use?",
    why: "In an emergency there is no time to make it ready.",
    citation: "29 CFR 1910.134(h)(1)(iii), App. B-2",
    authority: Authority::Read,
    says: "this emergency set was used and not cleaned and disinfected since",
    remedy: "clean and disinfect the set, then inspect it",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    if !facts.emergency {
        return None;
    }
    let used = facts.used_since_disinfected.first()?;
    Some(Finding::stop(&RULE).resting_on(used.entry))
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
                facts.emergency = true;
                facts.used_since_disinfected = Vec::new();
            },
            check,
            None,
        );
        sample::check(
            |facts| {
                facts.emergency = true;
                facts.used_since_disinfected =
                    vec![Use { person: facts.wearer, name: facts.wearer_name, entry: "e9" }];
            },
            check,
            Some("unit.emergency-disinfected"),
        );
    }
}
