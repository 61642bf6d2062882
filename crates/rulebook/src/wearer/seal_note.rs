//! Rule `seal.note`: was anything else noted that disturbs the seal?

use super::WearerFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was anything else noted that disturbs the seal?
/// # Why
/// Scars, temple bars or a missing denture can break a seal as hair does.
/// # Citation
/// 29 CFR 1910.134(g)(1)(i)(B), (g)(1)(ii).
/// # Example that passes
/// The seal note was left empty.
/// # Example that stops
/// `temple bars under the seal` was noted.
/// # Remedy
/// Remove what disturbs the seal and fit test the same model and size for the wearer.
/// # Limits
/// Any words count, for words cannot be judged here: leave the note empty where nothing disturbs
/// the seal.
pub static RULE: Rule = Rule {
    id: "seal.note",
    asks: "Was anything else noted that disturbs the seal?",
    why: "Scars, temple bars or a missing denture can break a seal as hair does.",
    citation: "29 CFR 1910.134(g)(1)(i)(B), (g)(1)(ii)",
    authority: Authority::Read,
    says: "noted of the seal at the fit test of {wearer}: {note}",
    remedy: "remove what disturbs the seal and fit test {model} size {size} for {wearer}",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    let test = facts.tight_fit_test()?;
    let note = test.seal_note.trim();
    if note.is_empty() {
        return None;
    }
    let finding = Finding::stop(&RULE).with("wearer", facts.wearer).with("model", facts.model);
    Some(finding.with("size", facts.size).with("note", note).resting_on(test.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wearer::sample;

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
            |facts| sample::fit_test(facts).seal_note = "temple bars under the seal",
            check,
            Some("seal.note"),
        );
    }
}
