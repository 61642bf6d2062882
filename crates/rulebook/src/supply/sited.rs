//! Rule `supply.sited`: does the compressor stand and draw its air where nothing foul gets in?

use super::SupplyFacts;
use crate::{Authority, Finding, Rule, is_blank};

/// # What it asks
/// Does the compressor stand and draw its air where nothing foul gets in?
/// # Why
/// What is at its intake, such as the exhaust of an engine, is breathed at the end of the line.
/// # Citation
/// 29 CFR 1910.134(i)(5)(i).
/// # Example that passes
/// Somebody has looked: the intake stands on the roof, away from every exhaust.
/// # Example that stops
/// Nobody is on record to have looked; the intake stands beside the loading bay; where it stands is not
/// told.
/// # Remedy
/// Look at how the compressor is built and where its intake draws, move it where needed, and record what
/// was found.
/// # Limits
/// Compressors only. The paragraph gives no interval: whoever moves the compressor, or what stands around
/// its intake, looks again and records it.
pub static RULE: Rule = Rule {
    id: "supply.sited",
    asks: "Does the compressor stand and draw its air where nothing foul gets in?",
    why: "What is at its intake, such as the exhaust of an engine, is breathed at the end of the line.",
    citation: "29 CFR 1910.134(i)(5)(i)",
    authority: Authority::Read,
    says: "{supply}: {state}",
    remedy: "look at how the compressor is built and where its intake draws, move it where needed, and \
             record what was found",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &SupplyFacts<'_>) -> Option<Finding> {
    if !facts.source.is_compressor() {
        return None;
    }
    let finding = Finding::stop(&RULE).with("supply", facts.supply);
    let Some(look) = facts.look else {
        let state = "nobody is on record to have looked where its intake draws";
        return Some(finding.with("state", state).resting_on(facts.entry));
    };
    let state = match (look.intake.trim(), look.intake_clean) {
        (at, _) if is_blank(at) => "where its intake draws is not told".to_owned(),
        (_, Some(true)) => return None,
        (at, Some(false)) => format!("contaminated air can get in at its intake ({at})"),
        (at, None) => {
            format!("whether contaminated air can get in at its intake ({at}) is not told")
        }
    };
    Some(finding.with("state", state).resting_on(look.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::supply::{Source, sample};

    #[test]
    fn the_examples_of_the_doc_hold() {
        let stops = Some("supply.sited");
        sample::check(|facts| facts.look = None, check, stops);
        sample::check(|facts| sample::look(facts).intake_clean = Some(false), check, stops);
        sample::check(|facts| sample::look(facts).intake_clean = None, check, stops);
        sample::check(|facts| sample::look(facts).intake = " ", check, stops);
        sample::check(|facts| sample::look(facts).intake = "\u{200b}", check, stops);
    }

    #[test]
    fn cylinders_have_no_intake() {
        sample::check(
            |facts| {
                facts.source = Source::PurchasedCylinders;
                facts.look = None;
            },
            check,
            None,
        );
    }
}
