//! Vapours that carbon hardly holds.

use substance::Substance;

use super::case::Case;
use crate::change_caps::clocked;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Does carbon hold this vapour long enough to be of use?
/// # Why
/// Small, very polar or very volatile molecules pass carbon within minutes, sooner in damp air.
/// # Citation
/// none: usual in the trade, the source is told with the substance.
/// # Example that passes
/// Toluene on organic vapour carbon.
/// # Example that stops
/// Methanol on organic vapour carbon.
/// # Remedy
/// Use supplied or self-contained air.
/// # Limits
/// A unit that a substance rule names for escape is a caution when it is used to leave, and so are elements
/// whose time such a rule sets by the clock.
pub static POOR_SORBENT: Rule = Rule {
    id: "element.poor-sorbent",
    asks: "Does carbon hold this vapour long enough to be of use?",
    why: "Small, very polar or very volatile molecules pass carbon within minutes, sooner in damp air.",
    citation: "none: usual in the trade, the source is told with the substance",
    authority: Authority::CommonPractice,
    says: "carbon hardly holds {substance}: {reason}",
    remedy: "use supplied or self-contained air",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    let poor = case.gases().filter_map(|hazard| {
        let reason = hazard.substance.and_then(Substance::poor_sorbent)?;
        Some((hazard, reason))
    });
    poor.map(|(hazard, reason)| {
        let finding = if case.named_for_escape(hazard) || clocked(case, hazard) {
            Finding::caution(&POOR_SORBENT)
        } else {
            Finding::stop(&POOR_SORBENT)
        };
        finding.with("substance", &hazard.name).with("reason", reason)
    })
    .collect()
}
