//! Rule `program.administrator`: is there a program administrator with training or experience to
//! match the program?

use super::ProgramFacts;
use crate::{Authority, Finding, Rule, is_blank};

/// # What it asks
/// Is there a program administrator with training or experience to match the program?
/// # Why
/// Somebody who knows must answer for the whole.
/// # Citation
/// 29 CFR 1910.134(c)(3).
/// # Example that passes
/// Named, with training shown and in date.
/// # Example that stops
/// Nobody named, or no training shown.
/// # Remedy
/// Name an administrator and record the training or experience.
/// # Limits
/// Whether it matches the program is for the employer to judge.
pub static RULE: Rule = Rule {
    id: "program.administrator",
    asks: "Is there a program administrator with training or experience to match the program?",
    why: "Somebody who knows must answer for the whole.",
    citation: "29 CFR 1910.134(c)(3)",
    authority: Authority::Read,
    says: "{state}",
    remedy: "name an administrator and record the training or experience",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &ProgramFacts<'_>) -> Option<Finding> {
    let finding = Finding::stop(&RULE);
    let Some(person) = facts.administrator.as_ref() else {
        return Some(finding.with("state", "no program administrator is named"));
    };
    let finding = finding.resting_on(person.entry);
    if is_blank(person.shown) {
        let state = format!("no training or experience of {} is recorded", person.name);
        return Some(finding.with("state", state));
    }
    let until = person.until.filter(|until| *until < facts.day)?;
    let state = format!("{} was named until {until}", person.name);
    Some(finding.with("state", state).after(until))
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::site::sample::check(
            |facts| facts.administrator = None,
            check,
            Some("program.administrator"),
        );
        crate::site::sample::check(
            |facts| facts.administrator.as_mut().unwrap().shown = "",
            check,
            Some("program.administrator"),
        );
        crate::site::sample::check(
            |facts| facts.administrator.as_mut().unwrap().until = Some(date(2026, 5, 3)),
            check,
            Some("program.administrator"),
        );
    }
}
