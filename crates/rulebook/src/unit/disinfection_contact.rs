//! Rule `unit.disinfection-contact`: was the disinfectant left on long enough?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the disinfectant left on long enough?
/// # Why
/// A disinfectant needs its time; a dip does nothing.
/// # Citation
/// 29 CFR 1910.134 App. B-2 I.D.
/// # Example that passes
/// Two minutes in the bath.
/// # Example that stops
/// One minute in the bath.
/// # Remedy
/// Disinfect the set again for at least the least, rinse, dry and inspect it.
/// # Limits
/// Shared and emergency sets, and any that somebody else used before. The agent and its strength have a rule of their own, and a maker's own
/// shorter procedure is not known here.
pub static RULE: Rule = Rule {
    id: "unit.disinfection-contact",
    asks: "Was the disinfectant left on long enough?",
    why: "A disinfectant needs its time; a dip does nothing.",
    citation: "29 CFR 1910.134 App. B-2 I.D",
    authority: Authority::Read,
    says: "the last disinfection lasted {contact}, at least {least} are needed",
    remedy: "disinfect the set again for at least {least}, rinse, dry and inspect it",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let disinfection = facts.disinfection.as_ref()?;
    let others = facts.used_since_disinfected.iter().any(|one| one.person != facts.wearer);
    let asked = facts.shared || facts.emergency || others;
    if !asked || disinfection.contact.as_min() >= LEAST_CONTACT_MIN {
        return None;
    }
    let finding = Finding::stop(&RULE).with("contact", disinfection.contact);
    Some(finding.with("least", format!("{LEAST_CONTACT_MIN} min")).resting_on(disinfection.entry))
}

/// Time in the bath, minutes. Source: 29 CFR 1910.134 App. B-2 I.D.
pub const LEAST_CONTACT_MIN: f64 = 2.0;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                facts.shared = true;
                sample::disinfect(facts, 2.0);
            },
            check,
            None,
        );
        sample::check(
            |facts| {
                facts.shared = true;
                sample::disinfect(facts, 1.9);
            },
            check,
            Some("unit.disinfection-contact"),
        );
        sample::check(
            |facts| {
                facts.emergency = true;
                sample::disinfect(facts, 0.0);
            },
            check,
            Some("unit.disinfection-contact"),
        );
    }
}
