//! Rule `program.current`: was the written program revised since the workplace last changed?

use super::ProgramFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the written program revised since the workplace last changed?
/// # Why
/// A program for yesterday's work does not protect in today's.
/// # Citation
/// 29 CFR 1910.134(c)(1) and (m)(3).
/// # Example that passes
/// A new solvent in March, revised in March.
/// # Example that stops
/// A new solvent in March, revised in February.
/// # Remedy
/// Revise the written program.
/// # Limits
/// Changes as they were recorded: new tasks, substances or respirators.
pub static RULE: Rule = Rule {
    id: "program.current",
    asks: "Was the written program revised since the workplace last changed?",
    why: "A program for yesterday's work does not protect in today's.",
    citation: "29 CFR 1910.134(c)(1) and (m)(3)",
    authority: Authority::Read,
    says: "{what} changed on {changed}; the written program is of {written}",
    remedy: "revise the written program",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &ProgramFacts<'_>) -> Option<Finding> {
    let (program, change) = (facts.written.as_ref()?, facts.changed.as_ref()?);
    if change.day <= program.day {
        return None;
    }
    let finding = Finding::stop(&RULE).with("what", change.words).with("changed", change.day);
    let finding = finding.with("written", program.day);
    Some(finding.resting_on(change.entry).resting_on(program.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::Change;
    use jiff::civil::date;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::site::sample::check(
            |facts| {
                facts.changed = Some(Change { words: "a task", day: date(2026, 3, 1), entry: "e9" })
            },
            check,
            Some("program.current"),
        );
        crate::site::sample::check(
            |facts| {
                facts.changed = Some(Change { words: "a task", day: date(2026, 1, 2), entry: "e9" })
            },
            check,
            None,
        );
    }
}
