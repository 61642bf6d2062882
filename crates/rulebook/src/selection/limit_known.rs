//! Whether a limit is known to judge a level by.

use super::case::{Case, Hazard, round};
use crate::AirSource;
use crate::substance_rules::Trigger;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is an exposure limit known for each contaminant?
/// # Why
/// Without a limit nobody can say how much protection is enough.
/// # Citation
/// 29 CFR 1910.134(d)(3)(i)(A).
/// # Example that passes
/// Toluene, which has limits.
/// # Example that stops
/// A substance without a limit, with a unit that purifies air or works on demand.
/// # Remedy
/// Enter a limit of the site.
/// # Limits
/// Where a substance rule itself prescribes a class for the handling at hand, this is a caution.
pub static LIMIT_NONE: Rule = Rule {
    id: "limit.none",
    asks: "Is an exposure limit known for each contaminant?",
    why: "Without a limit nobody can say how much protection is enough.",
    citation: "29 CFR 1910.134(d)(3)(i)(A)",
    authority: Authority::Read,
    says: "no exposure limit is known for {substance}, so the protection needed cannot be told",
    remedy: "enter a limit set by the site for {substance}, or use supplied or self-contained air with positive pressure",
};

/// # What it asks
/// Can the level be compared with the limit?
/// # Why
/// A level in one unit and a limit in another decide nothing when no molar mass joins them.
/// # Citation
/// none: no answer can be given without it.
/// # Example that passes
/// Asbestos in fibres per cm3.
/// # Example that stops
/// Asbestos in ppm.
/// # Remedy
/// Measure in the unit of the limit.
/// # Limits
/// ppm and mg/m3 are joined at the temperature and pressure of the place.
pub static LIMIT_NOT_COMPARABLE: Rule = Rule {
    id: "limit.not-comparable",
    asks: "Can the level be compared with the limit?",
    why: "A level in one unit and a limit in another decide nothing when no molar mass joins them.",
    citation: "none: no answer can be given without it",
    authority: Authority::Necessity,
    says: "the level of {substance}, {level}, cannot be compared with its limits",
    remedy: "measure {substance} in the unit of its limit",
};

/// # What it asks
/// Was the source of the limit read?
/// # Why
/// A figure from memory may be wrong or out of date.
/// # Citation
/// none: the figure itself names its source.
/// # Example that passes
/// A limit read in its source.
/// # Example that stops
/// None: this is a caution.
/// # Remedy
/// Confirm the figure.
/// # Limits
/// The lowest limit known is used, confirmed or not.
pub static LIMIT_UNCONFIRMED: Rule = Rule {
    id: "limit.unconfirmed",
    asks: "Was the source of the limit read?",
    why: "A figure from memory may be wrong or out of date.",
    citation: "none: the figure itself names its source",
    authority: Authority::Necessity,
    says: "the limit of {substance}, {limit} ({sort}), is from memory and unconfirmed",
    remedy: "confirm it in the source it names: {source}",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    case.hazards.iter().filter_map(|hazard| of_hazard(case, hazard)).collect()
}

fn of_hazard(case: &Case<'_>, hazard: &Hazard<'_>) -> Option<Finding> {
    let Some(limit) = &hazard.limit else {
        if hazard.air.has_limit() {
            let finding = case.stop_unless_ready(&LIMIT_NOT_COMPARABLE);
            let level = hazard.level_text();
            return Some(finding.with("substance", &hazard.name).with("level", level));
        }
        let finding = if class_is_prescribed(case, hazard) || is_positive_supply(case) {
            Finding::caution(&LIMIT_NONE)
        } else {
            Finding::stop(&LIMIT_NONE)
        };
        return Some(finding.with("substance", &hazard.name));
    };
    limit.unconfirmed.then(|| {
        Finding::caution(&LIMIT_UNCONFIRMED)
            .with("substance", &hazard.name)
            .with("limit", round(limit.value))
            .with("sort", limit.sort)
            .with("source", &limit.source)
    })
}

/// A substance rule names the class for the handling at hand, in place of a limit.
fn class_is_prescribed(case: &Case<'_>, hazard: &Hazard<'_>) -> bool {
    hazard.rules.iter().any(|rule| {
        rule.terms.stands_for_limit
            && matches!(rule.terms.trigger, Trigger::Opening | Trigger::Cleanup)
            && case.is_asked(rule, hazard)
    })
}

fn is_positive_supply(case: &Case<'_>) -> bool {
    case.for_escape() && case.ready_for_danger()
        || matches!(
            case.device.air_source,
            AirSource::SuppliedAirContinuousFlow
                | AirSource::SuppliedAirPressureDemand
                | AirSource::SelfContainedPressureDemand
        )
}
