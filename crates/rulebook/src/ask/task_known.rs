//! Rule `task.known`: is the task described?

use super::AskFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the task described?
/// # Why
/// Without the task nobody knows what is in the air.
/// # Citation
/// 29 CFR 1910.134(d)(1)(i), (d)(1)(iii).
/// # Example that passes
/// The task was described with its place.
/// # Example that stops
/// An unknown task was entered.
/// # Remedy
/// Describe `the task` and its place, or enter the right task.
/// # Limits
/// Knows only what was entered.
pub static RULE: Rule = Rule {
    id: "task.known",
    asks: "Is the task described?",
    why: "Without the task nobody knows what is in the air.",
    citation: "29 CFR 1910.134(d)(1)(i), (d)(1)(iii)",
    authority: Authority::Read,
    says: "no task is described as `{task}`",
    remedy: "describe `{task}` and its place, or enter the right task",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &AskFacts<'_>) -> Option<Finding> {
    if facts.task_described {
        return None;
    }
    Some(Finding::stop(&RULE).with("task", facts.task))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ask::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                let _ = &facts;
            },
            check,
            None,
        );
        sample::check(|facts| facts.task_described = false, check, Some("task.known"));
    }
}
