//! Rule `repair.instructions`: was the repair done by the maker's instructions?

use super::{RepairFacts, Standing};
use crate::{Authority, Finding, Rule, is_blank};

/// # What it asks
/// Was the repair done by the maker's instructions?
/// # Why
/// The maker knows which work, and how much of it, the set can stand.
/// # Citation
/// 29 CFR 1910.134(h)(4)(ii).
/// # Example that passes
/// Handbook, section 4.
/// # Example that stops
/// No instructions named.
/// # Remedy
/// Name the maker's instructions that were followed; where there were none, have the work checked
/// by the maker.
/// # Limits
/// What they say is not judged.
pub static RULE: Rule = Rule {
    id: "repair.instructions",
    asks: "Was the repair done by the maker's instructions?",
    why: "The maker knows which work, and how much of it, the set can stand.",
    citation: "29 CFR 1910.134(h)(4)(ii)",
    authority: Authority::Read,
    says: "it is not recorded which instructions of the maker were followed",
    remedy: "name the maker's instructions that were followed; where there were none, have the \
             work checked by the maker",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &RepairFacts<'_>) -> Option<Finding> {
    let named = !is_blank(facts.instructions);
    if named || facts.worked_on.is_empty() || facts.standing == Standing::Maker {
        return None;
    }
    Some(Finding::stop(&RULE).resting_on(facts.entry))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::repair::sample::check(
            |facts| facts.instructions = " ",
            check,
            Some("repair.instructions"),
        );
        crate::repair::sample::check(
            |facts| (facts.standing, facts.instructions) = (Standing::Maker, ""),
            check,
            None,
        );
        crate::repair::sample::check(
            |facts| {
                facts.worked_on.clear();
                facts.instructions = "";
            },
            check,
            None,
        );
    }
}
