//! Rule `donning.powered-ready`: were battery and flow of a powered unit checked before this use,
//! and found good?

use super::DonningFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Were battery and flow of a powered unit checked before this use, and found good?
/// # Why
/// A weak battery or a loaded filter lets the flow drop, and room air comes in.
/// # Citation
/// 29 CFR 1910.134(h)(3)(i)(A) and (h)(3)(ii)(A).
/// # Example that passes
/// Battery charged, flow above the maker's least.
/// # Example that stops
/// Battery not checked.
/// # Remedy
/// Charge or change the battery, fit fresh filters if needed, and check both again.
/// # Limits
/// Powered units only; the least flow is the maker's, and so is how a battery is checked: as its
/// instructions say. A check counts on its day and for the shift after it, until the set is worn, reported or released. That battery
/// and flow are part of the function is how the paragraph is read here.
pub static RULE: Rule = Rule {
    id: "donning.powered-ready",
    asks: "Were battery and flow of a powered unit checked before this use, and found good?",
    why: "A weak battery or a loaded filter lets the flow drop, and room air comes in.",
    citation: "29 CFR 1910.134(h)(3)(i)(A) and (h)(3)(ii)(A)",
    authority: Authority::Read,
    says: "{state}",
    remedy: "charge or change the battery, fit fresh filters if needed, and check both again",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &DonningFacts<'_>) -> Option<Finding> {
    let powered = facts.powered.as_ref()?;
    let told = [("the battery", powered.battery), ("the flow", powered.flow)];
    let states = told.iter().filter_map(|(what, found)| match found {
        Some(true) => None,
        Some(false) => Some(format!("{what} was found too low")),
        None => Some(format!("{what} was not checked before this use")),
    });
    let state = states.collect::<Vec<_>>().join("; ");
    (!state.is_empty()).then(|| Finding::stop(&RULE).with("state", state))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::donning::sample::check(
            |facts| facts.powered.as_mut().unwrap().battery = None,
            check,
            Some("donning.powered-ready"),
        );
        crate::donning::sample::check(
            |facts| facts.powered.as_mut().unwrap().flow = Some(false),
            check,
            Some("donning.powered-ready"),
        );
        crate::donning::sample::check(|facts| facts.powered = None, check, None);
    }
}
