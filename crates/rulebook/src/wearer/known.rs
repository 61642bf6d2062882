//! Rule `wearer.known`: is the wearer enrolled?

use super::WearerFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the wearer enrolled?
/// # Why
/// Nothing can be said of a person who is not in the program.
/// # Citation
/// 29 CFR 1910.134(a)(2).
/// # Example that passes
/// The wearer was enrolled last year.
/// # Example that stops
/// A tag was read that belongs to nobody.
/// # Remedy
/// Enrol `the wearer`, or enter the right person.
/// # Limits
/// Knows only what was entered.
pub static RULE: Rule = Rule {
    id: "wearer.known",
    asks: "Is the wearer enrolled?",
    why: "Nothing can be said of a person who is not in the program.",
    citation: "29 CFR 1910.134(a)(2)",
    authority: Authority::Read,
    says: "nobody is enrolled as `{wearer}`{left}",
    remedy: "enrol `{wearer}`, or enter the right person",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    if facts.enrolled {
        return None;
    }
    let left = facts.left.map(|day| format!(": left the program on {day}")).unwrap_or_default();
    Some(Finding::stop(&RULE).with("wearer", facts.wearer).with("left", left))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wearer::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                facts.enrolled = true;
            },
            check,
            None,
        );
        sample::check(
            |facts| {
                facts.enrolled = false;
            },
            check,
            Some("wearer.known"),
        );
    }

    #[test]
    fn who_left_is_told_with_the_day() {
        let leave = |facts: &mut crate::wearer::WearerFacts<'static>| {
            (facts.enrolled, facts.left) = (false, Some(jiff::civil::date(2026, 3, 1)));
        };
        let facts = &mut sample::good();
        leave(facts);
        let said = check(facts).unwrap().text();
        assert!(said.ends_with(": left the program on 2026-03-01"), "{said}");
    }
}
