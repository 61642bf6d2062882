//! Rule `program.written`: is there a written program, with every section that it must have?

use super::{ProgramFacts, Section};
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is there a written program, with every section that it must have?
/// # Why
/// What is not written is done differently by each.
/// # Citation
/// 29 CFR 1910.134(c)(1)(i)-(ix).
/// # Example that passes
/// All nine sections.
/// # Example that stops
/// No section on fit testing.
/// # Remedy
/// Write the missing sections, and keep a copy where those it concerns can read it.
/// # Limits
/// That a section exists, not what it says. A section that concerns nothing at the site is
/// written as such.
pub static RULE: Rule = Rule {
    id: "program.written",
    asks: "Is there a written program, with every section that it must have?",
    why: "What is not written is done differently by each.",
    citation: "29 CFR 1910.134(c)(1)(i)-(ix)",
    authority: Authority::Read,
    says: "{state}",
    remedy: "write the missing sections, and keep a copy where those it concerns can read it",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &ProgramFacts<'_>) -> Option<Finding> {
    let finding = Finding::stop(&RULE);
    let Some(program) = facts.written.as_ref() else {
        return Some(finding.with("state", "no written program is on record"));
    };
    let lacks = Section::ALL.iter().filter(|section| !program.sections.contains(section));
    let lacks: Vec<&str> = lacks.map(Section::words).collect();
    if lacks.is_empty() {
        return None;
    }
    let state = format!("the written program has no section on {}", lacks.join("; "));
    Some(finding.with("state", state).resting_on(program.entry))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::site::sample::check(|facts| facts.written = None, check, Some("program.written"));
        crate::site::sample::check(
            |facts| {
                facts.written.as_mut().unwrap().sections.remove(2);
            },
            check,
            Some("program.written"),
        );
    }
}
