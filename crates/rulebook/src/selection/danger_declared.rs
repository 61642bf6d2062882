//! Air declared immediately dangerous.

use super::case::Case;
use crate::place::Purpose;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the air declared immediately dangerous?
/// # Why
/// In such air a failure of the mask leaves no time to get out.
/// # Citation
/// 29 CFR 1910.134(d)(2)(i).
/// # Example that passes
/// A self-contained unit of 30 minutes with full facepiece and positive pressure.
/// # Example that stops
/// Any unit that purifies air.
/// # Remedy
/// Use one of the two classes.
/// # Limits
/// Who stands by outside is asked by the rules of standby; a rescue is asked nowhere.
pub static DANGER_DECLARED: Rule = Rule {
    id: "danger.declared",
    asks: "Was the air declared immediately dangerous?",
    why: "In such air a failure of the mask leaves no time to get out.",
    citation: "29 CFR 1910.134(d)(2)(i)",
    authority: Authority::Read,
    says: "the air was declared immediately dangerous",
    remedy: "use a full facepiece with positive pressure: self-contained, certified for 30 minutes or more, or airline with an auxiliary self-contained supply",
};

/// # What it asks
/// Is someone going in to deal with an emergency?
/// # Why
/// In an emergency levels change faster than they are measured.
/// # Citation
/// none: taken for immediately dangerous by this program.
/// # Example that passes
/// A self-contained unit of 30 minutes with full facepiece and positive pressure.
/// # Example that stops
/// A gas mask taken into a spill.
/// # Remedy
/// Use one of the two classes.
/// # Limits
/// Stricter than the published rule where levels are truly known.
pub static EMERGENCY_ENTRY: Rule = Rule {
    id: "danger.emergency-entry",
    asks: "Is someone going in to deal with an emergency?",
    why: "In an emergency levels change faster than they are measured.",
    citation: "none: taken for immediately dangerous by this program",
    authority: Authority::Necessity,
    says: "entry to deal with an emergency: the air counts as immediately dangerous",
    remedy: "use a full facepiece with positive pressure: self-contained, certified for 30 minutes or more, or airline with an auxiliary self-contained supply",
};

/// # What it asks
/// Is a fire fought inside a structure, past its beginning?
/// # Why
/// A line may burn through or be cut off inside; what the wearer breathes must be carried.
/// # Citation
/// 29 CFR 1910.134(g)(4)(iii).
/// # Example that passes
/// A self-contained unit of 30 minutes with full facepiece and positive pressure.
/// # Example that stops
/// An airline unit, though it carries an auxiliary cylinder.
/// # Remedy
/// Use a self-contained unit.
/// # Limits
/// Whether a fire is past its beginning is for whoever commands there. Who enters and who stays outside is asked by
/// the rules of standby.
pub static INTERIOR_FIRE: Rule = Rule {
    id: "danger.interior-fire",
    asks: "Is a fire fought inside a structure, past its beginning?",
    why: "A line may burn through or be cut off inside; what the wearer breathes must be carried.",
    citation: "29 CFR 1910.134(g)(4)(iii)",
    authority: Authority::Read,
    says: "a fire is fought inside a structure: self-contained units alone, and the air is immediately dangerous",
    remedy: "use a full facepiece with positive pressure, self-contained and certified for 30 minutes or more",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    if case.place.declared_immediately_dangerous {
        findings.push(case.stop_unless_ready(&DANGER_DECLARED));
    }
    if case.place.purpose == Purpose::EmergencyEntry {
        findings.push(case.stop_unless_ready(&EMERGENCY_ENTRY));
    }
    if case.place.interior_fire {
        let carried = case.device.air_source.is_self_contained();
        findings.push(match carried {
            true => case.stop_unless_ready(&INTERIOR_FIRE),
            false => Finding::stop(&INTERIOR_FIRE),
        });
    }
    findings
}
