//! Rule `medical.air-source`: does the recommendation allow a respirator with this air source?

use super::Allows;
use super::WearerFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Does the recommendation allow a respirator with this air source?
/// # Why
/// A blower or an air line asks less of the lungs than a filter; some may wear only the easier
/// kinds.
/// # Citation
/// 29 CFR 1910.134(e)(6)(i)(A), (e)(6)(ii).
/// # Example that passes
/// Cleared for powered units; the unit is powered.
/// # Example that stops
/// Cleared for powered units only; the unit has no blower.
/// # Remedy
/// Use a kind that the clearance names, or ask the health professional.
/// # Limits
/// The kind only. Further limits in words are shown by their own rule.
pub static RULE: Rule = Rule {
    id: "medical.air-source",
    asks: "Does the recommendation allow a respirator with this air source?",
    why: "A blower or an air line asks less of the lungs than a filter; some may wear only the \
           easier kinds.",
    citation: "29 CFR 1910.134(e)(6)(i)(A), (e)(6)(ii)",
    authority: Authority::Read,
    says: "{wearer} is not cleared for this kind of respirator ({source}); cleared for: {allowed}",
    remedy: "use a kind that the clearance names, or ask the health professional",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    let clearance = facts.clearance.as_ref()?;
    let source = facts.device.as_ref()?.air_source;
    let Allows::Only { air_sources, .. } = clearance.allows else { return None };
    if air_sources.contains(&source) {
        return None;
    }
    let allowed: Vec<String> = air_sources.iter().map(ToString::to_string).collect();
    let allowed = if allowed.is_empty() { "none".to_owned() } else { allowed.join(", ") };
    let finding = Finding::stop(&RULE).with("wearer", facts.wearer).with("source", source);
    Some(finding.with("allowed", allowed).resting_on(clearance.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::AirSource;
    use crate::wearer::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                sample::clearance(facts).allows =
                    Allows::Only { air_sources: &[AirSource::AirPurifying], limits: "" }
            },
            check,
            None,
        );
        sample::check(
            |facts| {
                sample::clearance(facts).allows =
                    Allows::Only { air_sources: &[AirSource::PoweredAirPurifying], limits: "" }
            },
            check,
            Some("medical.air-source"),
        );
        sample::check(
            |facts| sample::clearance(facts).allows = Allows::Only { air_sources: &[], limits: "" },
            check,
            Some("medical.air-source"),
        );
    }
}
