//! Levels that are immediately dangerous.

use super::case::{Case, Hazard, round};
use crate::limits::FoundLimit;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is a level at or above the immediately dangerous one?
/// # Why
/// In such air a failure of the mask leaves no time to get out.
/// # Citation
/// 29 CFR 1910.134(d)(2)(i) and (d)(3)(i)(B)(2).
/// # Example that passes
/// Toluene at 400 ppm, immediately dangerous from 500 ppm.
/// # Example that stops
/// Toluene at 500 ppm with any unit that purifies air.
/// # Remedy
/// Lower the level or use one of the two classes.
/// # Limits
/// A canister unit named for escape from the substance stays a caution when it is used to leave.
pub static DANGER_LEVEL: Rule = Rule {
    id: "danger.level",
    asks: "Is a level at or above the immediately dangerous one?",
    why: "In such air a failure of the mask leaves no time to get out.",
    citation: "29 CFR 1910.134(d)(2)(i) and (d)(3)(i)(B)(2)",
    authority: Authority::Read,
    says: "{substance} at {level} reaches the immediately dangerous level of {dangerous}",
    remedy: "lower the level, or use a full facepiece with positive pressure: self-contained, certified for 30 minutes or more, or airline with an auxiliary self-contained supply",
};

/// # What it asks
/// Is an immediately dangerous level known?
/// # Why
/// Without one nobody can say how close to danger the air is.
/// # Citation
/// 29 CFR 1910.134(d)(3)(i)(B)(3).
/// # Example that passes
/// Toluene, whose figure is known.
/// # Example that stops
/// None: this is a caution.
/// # Remedy
/// Ask a hygienist.
/// # Limits
/// For many particles no figure was ever set.
pub static DANGER_LEVEL_UNKNOWN: Rule = Rule {
    id: "danger.level-not-known",
    asks: "Is an immediately dangerous level known?",
    why: "Without one nobody can say how close to danger the air is.",
    citation: "29 CFR 1910.134(d)(3)(i)(B)(3)",
    authority: Authority::Read,
    says: "no immediately dangerous level is known for {substance}",
    remedy: "have a hygienist judge how far the level of {substance} is from danger",
};

/// # What it asks
/// Was the source of the immediately dangerous level read?
/// # Why
/// A figure from memory may be wrong or out of date.
/// # Citation
/// none: the figure itself names its source.
/// # Example that passes
/// A figure read in its source.
/// # Example that stops
/// None: this is a caution.
/// # Remedy
/// Confirm the figure.
/// # Limits
/// The lowest figure known is used, confirmed or not.
pub static DANGER_LEVEL_UNCONFIRMED: Rule = Rule {
    id: "limit.dangerous-unconfirmed",
    asks: "Was the source of the immediately dangerous level read?",
    why: "A figure from memory may be wrong or out of date.",
    citation: "none: the figure itself names its source",
    authority: Authority::Necessity,
    says: "the immediately dangerous level of {substance}, {dangerous}, is from memory and unconfirmed",
    remedy: "confirm it in the source it names: {source}",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    case.hazards.iter().flat_map(|hazard| of_hazard(case, hazard)).collect()
}

fn of_hazard(case: &Case<'_>, hazard: &Hazard<'_>) -> Vec<Finding> {
    let Some(dangerous) = &hazard.dangerous else {
        let rule = &DANGER_LEVEL_UNKNOWN;
        let finding = if hazard.air.has_dangerous() {
            // A figure is known that cannot be compared with the level.
            case.stop_unless_ready(rule)
        } else {
            Finding::caution(rule)
        };
        return vec![finding.with("substance", &hazard.name)];
    };
    let mut findings = Vec::new();
    if hazard.reaches_dangerous() {
        findings.push(reached(case, hazard, dangerous));
    }
    if dangerous.unconfirmed {
        let finding = Finding::caution(&DANGER_LEVEL_UNCONFIRMED)
            .with("substance", &hazard.name)
            .with("dangerous", round(dangerous.value))
            .with("source", &dangerous.source);
        findings.push(finding);
    }
    findings
}

fn reached(case: &Case<'_>, hazard: &Hazard<'_>, dangerous: &FoundLimit) -> Finding {
    // To leave, a canister unit made or named for escape will do: (d)(2)(ii) and the substance
    // rules; what it must carry is asked by `escape_unit`.
    let leaving = case.for_escape()
        && (case.named_for_escape(hazard) || (case.device.escape_only && case.purifies()));
    let finding = if leaving {
        Finding::caution(&DANGER_LEVEL)
    } else {
        case.stop_unless_ready(&DANGER_LEVEL)
    };
    finding
        .with("substance", &hazard.name)
        .with("level", hazard.level_text())
        .with("dangerous", round(dangerous.value))
}
