//! Rule `program.duty-shown`: is each duty that leaves no other trace shown to be kept?

use super::ShownFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is each duty that leaves no other trace shown to be kept?
/// # Why
/// What nobody looks at is done once and then forgotten.
/// # Citation
/// 29 CFR 1910.134, the paragraph of each duty.
/// # Example that passes
/// Shown in January, until the end of the year.
/// # Example that stops
/// Never shown, or shown until yesterday.
/// # Remedy
/// Record how the duty is kept, who looked and until when that holds; where it does not apply at
/// the site, record that and why.
/// # Limits
/// How it was shown is not judged. The day itself still counts.
pub static RULE: Rule = Rule {
    id: "program.duty-shown",
    asks: "Is each duty that leaves no other trace shown to be kept?",
    why: "What nobody looks at is done once and then forgotten.",
    citation: "29 CFR 1910.134, the paragraph of each duty",
    authority: Authority::Read,
    says: "{duty}: {what} ({state})",
    remedy: "record how the duty is kept, who looked and until when that holds; where it does not \
             apply at the site, record that and why",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &ShownFacts<'_>) -> Option<Finding> {
    if !facts.duty.is_shown_by_a_person() {
        return None;
    }
    let finding =
        Finding::caution(&RULE).with("duty", &facts.duty.id).with("what", &facts.duty.duty);
    let finding = finding.citing(&facts.duty.citation);
    let Some(shown) = facts.shown else {
        return Some(finding.with("state", "never shown"));
    };
    let until = shown.until.filter(|until| *until < facts.day)?;
    let finding = finding.with("state", format!("shown until {until}"));
    Some(finding.resting_on(shown.entry).after(until))
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::duties::sample::check(|facts| facts.shown = None, check, Some("program.duty-shown"));
        crate::duties::sample::check(|facts| facts.day = date(2026, 12, 31), check, None);
        crate::duties::sample::check(
            |facts| facts.day = date(2027, 1, 1),
            check,
            Some("program.duty-shown"),
        );
        crate::duties::sample::check(
            |facts| facts.shown.as_mut().unwrap().until = None,
            check,
            None,
        );
        crate::duties::sample::check(
            |facts| {
                facts.duty = crate::duties::find("D071").unwrap();
                facts.shown = None;
            },
            check,
            None,
        );
    }
}
