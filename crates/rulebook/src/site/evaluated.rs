//! Rule `program.evaluated`: was the workplace evaluated within the interval of the site?

use super::ProgramFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the workplace evaluated within the interval of the site?
/// # Why
/// A program that nobody looks at is not carried out.
/// # Citation
/// 29 CFR 1910.134(l)(1).
/// # Example that passes
/// Evaluated a year ago to the day.
/// # Example that stops
/// Never evaluated.
/// # Remedy
/// Evaluate whether the written program is carried out and works, and record what was found.
/// # Limits
/// The paragraph asks for it as necessary; the site's own interval is taken, and a year where it
/// has none.
pub static RULE: Rule = Rule {
    id: "program.evaluated",
    asks: "Was the workplace evaluated within the interval of the site?",
    why: "A program that nobody looks at is not carried out.",
    citation: "29 CFR 1910.134(l)(1)",
    authority: Authority::Read,
    says: "{state}",
    remedy: "evaluate whether the written program is carried out and works, and record what was \
             found",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &ProgramFacts<'_>) -> Option<Finding> {
    let finding = Finding::stop(&RULE);
    let Some(latest) = facts.evaluated else {
        return Some(finding.with("state", "the program was never evaluated"));
    };
    let until = facts.evaluation_counts.last_day(latest.day);
    let state =
        format!("the program was last evaluated on {}, which holds until {until}", latest.day);
    let found = || finding.with("state", state).resting_on(latest.entry).after(until);
    (until < facts.day).then(found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::site::sample::check(
            |facts| facts.evaluated = None,
            check,
            Some("program.evaluated"),
        );
        crate::site::sample::check(|facts| facts.day = date(2027, 2, 1), check, None);
        crate::site::sample::check(
            |facts| facts.day = date(2027, 2, 2),
            check,
            Some("program.evaluated"),
        );
    }
}
