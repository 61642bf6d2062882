//! Rule `unit.powered-flow`: was the flow of the blower checked on the day of the wear and since the
//! last one, and was it enough?

use super::UnitFacts;
use crate::AirSource;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the flow of the blower checked on the day of the wear and since the last one, and was it enough?
/// # Why
/// A weak battery or a loaded filter lets the flow drop, and room air comes in.
/// # Citation
/// 29 CFR 1910.134(h)(3)(i)(A) and (h)(3)(ii)(A).
/// # Example that passes
/// 180 L/min found, 170 L/min needed.
/// # Example that stops
/// 160 L/min found, 170 L/min needed.
/// # Remedy
/// Charge the battery, fit fresh filters if needed, and check the flow again.
/// # Limits
/// That before each use means on its day, or in the shift before it, is how the paragraph is read here. Powered units only; the least flow is the maker's, as entered, and never below that at which such
/// units are certified.
pub static RULE: Rule = Rule {
    id: "unit.powered-flow",
    asks: "Was the flow of the blower checked on the day of the wear and since the last one, and \
           was it enough?",
    why: "A weak battery or a loaded filter lets the flow drop, and room air comes in.",
    citation: "29 CFR 1910.134(h)(3)(i)(A) and (h)(3)(ii)(A)",
    authority: Authority::Read,
    says: "{state}",
    remedy: "charge the battery, fit fresh filters if needed, and check the flow again",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    if facts.device.as_ref()?.air_source != AirSource::PoweredAirPurifying {
        return None;
    }
    let finding = Finding::stop(&RULE);
    let Some(flow) = facts.powered_flow.as_ref() else {
        return Some(finding.with("state", "the flow of the blower was never checked"));
    };
    let finding = finding.resting_on(flow.entry);
    if let Some(since) = flow.overtaken_by {
        let state = format!("the flow was not checked since the set was {}", since.words);
        return Some(finding.with("state", state).resting_on(since.entry));
    }
    if !flow.for_this_wear {
        let state = format!("the flow was checked on {}, not on the day of this wear", flow.day);
        return Some(finding.with("state", state));
    }
    let tight = facts.device.as_ref()?.facepiece.is_tight_fitting();
    let floor = if tight { LEAST_TIGHT } else { LEAST_LOOSE };
    let (found, least) = (flow.found.as_l_per_min(), flow.least.as_l_per_min());
    if found >= least && found >= floor {
        return None;
    }
    let needed = if least < floor { format!("{floor} L/min") } else { flow.least.to_string() };
    let state = format!("the blower gives {}, at least {needed} are needed", flow.found);
    Some(finding.with("state", state))
}

/// The flow at which a powered unit with a tight facepiece is certified, L/min.
///
/// Source: 42 CFR 84.175(b) (`data/respirator_performance_limits.csv`, PL020).
const LEAST_TIGHT: f64 = 115.0;

/// The same with a loose hood or helmet, L/min (PL021).
const LEAST_LOOSE: f64 = 170.0;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ask::Noted;
    use crate::unit::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                sample::powered(facts, 180.0, 170.0);
            },
            check,
            None,
        );
        sample::check(
            |facts| {
                sample::powered(facts, 160.0, 170.0);
            },
            check,
            Some("unit.powered-flow"),
        );
        sample::check(
            |facts| {
                sample::powered(facts, 180.0, 170.0);
                facts.powered_flow.as_mut().unwrap().for_this_wear = false;
            },
            check,
            Some("unit.powered-flow"),
        );
        sample::check(
            |facts| {
                sample::powered(facts, 180.0, 170.0);
                facts.powered_flow = None;
            },
            check,
            Some("unit.powered-flow"),
        );
        sample::check(
            |facts| {
                sample::powered(facts, 180.0, 170.0);
                if let Some(flow) = facts.powered_flow.as_mut() {
                    flow.overtaken_by = Some(Noted { words: "worn", entry: "e9" });
                }
            },
            check,
            Some("unit.powered-flow"),
        );
    }
}
