//! Rule `program.action-overdue`: is every corrective action put right by its day?

use super::{OpenAction, ProgramFacts};
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is every corrective action put right by its day?
/// # Why
/// A fault that is known and left is the worst kind.
/// # Citation
/// 29 CFR 1910.134(l)(2).
/// # Example that passes
/// Open until tomorrow.
/// # Example that stops
/// Open since yesterday's date.
/// # Remedy
/// Put it right and record it, or record why it needs longer.
/// # Limits
/// The day itself still counts.
pub static RULE: Rule = Rule {
    id: "program.action-overdue",
    asks: "Is every corrective action put right by its day?",
    why: "A fault that is known and left is the worst kind.",
    citation: "29 CFR 1910.134(l)(2)",
    authority: Authority::Read,
    says: "open past its day: {actions}",
    remedy: "put it right and record it, or record why it needs longer",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &ProgramFacts<'_>) -> Option<Finding> {
    let late = facts.open_actions.iter().filter(|action| action.until < facts.day);
    let late: Vec<&OpenAction<'_>> = late.collect();
    let until = late.iter().map(|action| action.until).max()?;
    let told = late.iter().map(|action| format!("{} (until {})", action.what, action.until));
    let actions = told.collect::<Vec<_>>().join("; ");
    let finding = Finding::stop(&RULE).with("actions", actions).after(until);
    Some(late.iter().fold(finding, |finding, action| finding.resting_on(action.entry)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::site::sample::check(
            |facts| facts.open_actions[0].until = date(2026, 5, 4),
            check,
            None,
        );
        crate::site::sample::check(
            |facts| facts.open_actions[0].until = date(2026, 5, 3),
            check,
            Some("program.action-overdue"),
        );
    }
}
