//! Rule `unit.inspected-before-use`: was the set inspected since it was last worn, given back,
//! cleaned, repaired or refitted?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the set inspected since it was last worn, given back, cleaned, repaired or refitted?
/// # Why
/// A torn valve or a missing gasket is seen only by looking.
/// # Citation
/// 29 CFR 1910.134(h)(3)(i)(A)-(B).
/// # Example that passes
/// Cleaned on Monday, inspected on Tuesday.
/// # Example that stops
/// Inspected on Monday, cleaned on Tuesday.
/// # Remedy
/// Inspect the set: straps, valves, facepiece, connections, elements; record what you find.
/// # Limits
/// One inspection counts until something happens to the set; the look that each wearer gives it at
/// each donning is not asked for as a record.
pub static RULE: Rule = Rule {
    id: "unit.inspected-before-use",
    asks: "Was the set inspected since it was last worn, given back, cleaned, repaired or \
           refitted?",
    why: "A torn valve or a missing gasket is seen only by looking.",
    citation: "29 CFR 1910.134(h)(3)(i)(A)-(B)",
    authority: Authority::Read,
    says: "this set was not inspected {since}",
    remedy: "inspect the set: straps, valves, facepiece, connections, elements; record what you \
           find",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    if !facts.received {
        return None;
    }
    let finding = Finding::stop(&RULE);
    match facts.inspection.as_ref() {
        None => Some(finding.with("since", "yet")),
        Some(inspection) => {
            let since = inspection.overtaken_by?;
            let finding = finding.with("since", format!("since it was {}", since.words));
            Some(finding.resting_on(inspection.entry).resting_on(since.entry))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ask::Noted;
    use crate::unit::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                let _ = &facts;
            },
            check,
            None,
        );
        sample::check(|facts| facts.inspection = None, check, Some("unit.inspected-before-use"));
        sample::check(
            |facts| {
                sample::inspection(facts).overtaken_by = Some(Noted { words: "worn", entry: "e9" })
            },
            check,
            Some("unit.inspected-before-use"),
        );
    }
}
