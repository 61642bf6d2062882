//! Rule `records.not-ahead`: did everything that the answer rests on happen before now?

use super::AskFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Did everything that the answer rests on happen before now: of the wearer, the set and the task,
/// and of model, elements, cylinder, supply, tester, repairer, exposure group and site behind them?
/// # Why
/// A date typed wrong, or a clock that runs ahead, can make a lapsed test look fresh.
/// # Citation
/// none: a fact cannot rest on what has not happened.
/// # Example that passes
/// The latest entry is of this morning.
/// # Example that stops
/// A fit test, or a sample of the air of the compressor, is dated next year.
/// # Remedy
/// Put the date right by a correcting entry; check the clock of the device.
/// # Limits
/// Clocks a few minutes ahead are let pass. To ask about an earlier instant, fold only the entries
/// up to it.
pub static RULE: Rule = Rule {
    id: "records.not-ahead",
    asks: "Did everything that the answer rests on happen before now?",
    why: "A date typed wrong, or a clock that runs ahead, can make a lapsed test look fresh.",
    citation: "none: a fact cannot rest on what has not happened",
    authority: Authority::Necessity,
    says: "{count} dated later than now; the first says {when}",
    remedy: "put the date right by a correcting entry; check the clock of the device",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &AskFacts<'_>) -> Option<Finding> {
    let first = facts.ahead.first()?;
    let count = match facts.ahead.len() {
        1 => "an entry is".to_owned(),
        more => format!("{more} entries are"),
    };
    let finding = Finding::stop(&RULE).with("count", count).with("when", first.words);
    Some(facts.ahead.iter().fold(finding, |finding, one| finding.resting_on(one.entry)))
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
        sample::check(
            |facts| facts.ahead = vec![crate::ask::Noted { words: "2027-03-10", entry: "e9" }],
            check,
            Some("records.not-ahead"),
        );
    }
}
