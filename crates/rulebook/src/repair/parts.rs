//! Rule `repair.parts`: were only parts fitted that the maker made for this respirator?

use super::RepairFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Were only parts fitted that the maker made for this respirator?
/// # Why
/// A foreign part may leak or break, and ends the approval.
/// # Citation
/// 29 CFR 1910.134(h)(4)(i).
/// # Example that passes
/// A valve listed by the maker for this model.
/// # Example that stops
/// A valve of another model.
/// # Remedy
/// Fit parts that the maker lists for this respirator, and have it tested again.
/// # Limits
/// What the maker lists is as it was entered; a model without such a list has no approved parts
/// here.
pub static RULE: Rule = Rule {
    id: "repair.parts",
    asks: "Were only parts fitted that the maker made for this respirator?",
    why: "A foreign part may leak or break, and ends the approval.",
    citation: "29 CFR 1910.134(h)(4)(i)",
    authority: Authority::Read,
    says: "fitted, and not listed by the maker for this respirator: {parts}",
    remedy: "have a technician whom the maker trained fit parts that the maker lists for it, and test \
             it again",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &RepairFacts<'_>) -> Option<Finding> {
    let foreign = facts.parts.iter().filter(|part| !part.made_for_it);
    let foreign: Vec<&str> = foreign.map(|part| part.number).collect();
    if foreign.is_empty() {
        return None;
    }
    let finding = Finding::stop(&RULE).with("parts", foreign.join(", "));
    Some(finding.resting_on(facts.entry))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::repair::sample::check(|facts| facts.parts.clear(), check, None);
        crate::repair::sample::check(
            |facts| facts.parts[0].made_for_it = false,
            check,
            Some("repair.parts"),
        );
    }
}
