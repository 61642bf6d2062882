//! Rule `standby.contact`: do those outside keep sight, voice or signal line to those inside?

use super::StandbyFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Do those outside keep sight, voice or signal line to those inside?
/// # Why
/// Help comes too late to one who is not missed.
/// # Citation
/// 29 CFR 1910.134(g)(3)(ii).
/// # Example that passes
/// Voice by radio.
/// # Example that stops
/// No contact.
/// # Remedy
/// Set up sight, voice or a signal line before anyone goes in.
/// # Limits
/// None.
pub static RULE: Rule = Rule {
    id: "standby.contact",
    asks: "Do those outside keep sight, voice or signal line to those inside?",
    why: "Help comes too late to one who is not missed.",
    citation: "29 CFR 1910.134(g)(3)(ii)",
    authority: Authority::Read,
    says: "no sight, voice or signal line is kept with those inside",
    remedy: "set up sight, voice or a signal line before anyone goes in",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &StandbyFacts<'_>) -> Option<Finding> {
    (!facts.contact).then(|| Finding::stop(&RULE))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::standby::sample::check(
            |facts| facts.contact = false,
            check,
            Some("standby.contact"),
        );
    }
}
