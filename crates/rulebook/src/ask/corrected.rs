//! Rule `records.corrected`: is nothing that stood in the way gone by a mere correction?

use super::Corrected;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is nothing that stood in the way gone by a mere correction?
/// # Why
/// What was wrong is put right by doing something about it, not by writing something else in its place.
/// # Citation
/// 29 CFR 1910.134(c)(3): one qualified person runs the program and answers for it.
/// # Example that passes
/// A cylinder was read in the wrong unit, and the administrator of the program corrects the reading.
/// # Example that stops
/// The air failed its test, and a technician corrects the entry to passed.
/// # Remedy
/// Do what the other findings ask and record it as an entry of its own, or have the administrator of the
/// program make the correction.
/// # Limits
/// Who corrected is who entered the correction. What took a set out of service may also be corrected by a
/// person with current repair training. Records that contradict each other and entries dated ahead are
/// put right by any correction. What another person merely noted for the first time is believed.
pub static RULE: Rule = Rule {
    id: "records.corrected",
    asks: "Is nothing that stood in the way gone by a mere correction?",
    why: "What was wrong is put right by doing something about it, not by writing something else in its \
          place.",
    citation: "29 CFR 1910.134(c)(3)",
    authority: Authority::Read,
    says: "{who}, who does not run the program, corrected an entry; what it said before still stands in \
           the way: {what}",
    remedy: "do what the other findings ask and record it as an entry of its own, or have the \
             administrator of the program make that correction",
};

/// Asks the rule of one correction.
#[must_use]
pub fn check(facts: &Corrected<'_>) -> Option<Finding> {
    if facts.stood_in_the_way.is_empty() {
        return None;
    }
    let finding = Finding::stop(&RULE).with("who", facts.who);
    let finding = finding.with("what", facts.stood_in_the_way.join("; "));
    Some(facts.entries.iter().fold(finding, |finding, entry| finding.resting_on(entry)))
}

#[cfg(test)]
mod tests {
    use super::*;

    // 29 CFR 1910.134(c)(3): the administrator is qualified to oversee the program.
    #[test]
    fn the_examples_of_the_doc_hold() {
        let (who, entries) = ("Cy", vec!["failed", "corrected"]);
        let facts = Corrected { who, entries, stood_in_the_way: Vec::new() };
        assert_eq!(check(&facts), None);
        let stood_in_the_way = vec!["the air failed its test".to_owned()];
        let found = check(&Corrected { stood_in_the_way, ..facts }).unwrap();
        assert_eq!(found.evidence, ["failed", "corrected"]);
        assert!(found.text().starts_with("Cy, who does not run"), "{}", found.text());
        assert!(found.text().ends_with("the way: the air failed its test"), "{}", found.text());
    }
}
