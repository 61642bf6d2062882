//! How a carcinogen is handled.

use super::case::{Case, Hazard};
use crate::substance_rules::Trigger;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is it known how this carcinogen is handled?
/// # Why
/// Its rule names one class for opening closed systems and another for cleaning up.
/// # Citation
/// 29 CFR 1910.1003(c)(4)(iv) and (c)(5)(i).
/// # Example that passes
/// Benzidine, with closed systems being opened.
/// # Example that stops
/// Benzidine, with nothing said.
/// # Remedy
/// State the handling.
/// # Limits
/// Not asked of a unit used only to leave.
pub static HANDLING_NOT_STATED: Rule = Rule {
    id: "substance.handling",
    asks: "Is it known how this carcinogen is handled?",
    why: "Its rule names one class for opening closed systems and another for cleaning up.",
    citation: "29 CFR 1910.1003(c)(4)(iv) and (c)(5)(i)",
    authority: Authority::Read,
    says: "how {substance} is handled is not stated, and its rule depends on it",
    remedy: "say whether it stays in closed systems, closed systems are opened, or it is cleaned up",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    let depends = |hazard: &&Hazard<'_>| {
        hazard.rules.iter().any(|r| matches!(r.terms.trigger, Trigger::Opening | Trigger::Cleanup))
    };
    if case.place.handling.is_some() || case.for_escape() {
        return Vec::new();
    }
    let hazards = case.hazards.iter().filter(depends);
    hazards.map(|h| Finding::stop(&HANDLING_NOT_STATED).with("substance", &h.name)).collect()
}
