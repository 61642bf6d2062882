//! Whether the caution about low-boiling vapours may be lifted.

use rulebook::is_blank;
use rulebook::{Cap, Contaminant, Finding, service_life};
use substance::SubstanceClass;

use super::{LifeMethod, LifeSetup};
use crate::reuse::{LapsedReuse, TakenReuse};

/// The cap that common practice puts on elements against a low-boiling vapour.
const LOW_BOILING: &str = "change.low-boiling";

/// Takes that cap away where a named person accepted it on a calibrated calculation of a marched
/// bed, and tells for how many shifts. Caps that the rule of a substance sets stay.
///
/// Says why where something was accepted that lifts nothing.
pub(super) fn lift(
    setup: &LifeSetup,
    caps: &mut Vec<Cap>,
    findings: &mut Vec<Finding>,
) -> Option<u8> {
    if let Some(recorded) = &setup.work.recorded {
        return of_record(recorded, caps, findings);
    }
    let accepted = setup.work.accepted.as_ref()?;
    if !caps.iter().any(|cap| cap.finding.rule.id == LOW_BOILING) {
        return None;
    }
    let boils = |c: &Contaminant| c.substance.boiling_point_celsius().is_some();
    let marched = |c: &Contaminant| {
        matches!(c.substance.class(), SubstanceClass::OrganicVapour | SubstanceClass::Particulate)
    };
    let reason = if is_blank(&accepted.accepted_by) || is_blank(&accepted.report) {
        Some("nobody is named, or no report")
    } else if setup.spread.calibrated.is_none() || setup.work.calibration.is_none() {
        Some(
            "the calculation is not calibrated: all that a calibration finds with its covariance and its report must stand in the case",
        )
    } else if !is_same(setup.work.calibration.as_deref(), &accepted.report) {
        Some("the calculation is calibrated on another report")
    } else if setup.method != LifeMethod::Bed {
        Some("the nights were not computed")
    } else if !setup.place.contaminants.iter().all(marched) {
        Some("no nights are computed of a gas held by reaction")
    } else if !setup.place.contaminants.iter().all(boils) {
        Some("the boiling point of one of them is not known")
    } else {
        None
    };
    if let Some(reason) = reason {
        let finding = Finding::caution(&service_life::REUSE_NOT_LIFTED);
        let finding = finding.with("who", &accepted.accepted_by);
        findings.push(finding.with("reason", reason));
        return None;
    }
    caps.retain(|cap| cap.finding.rule.id != LOW_BOILING);
    let finding = Finding::caution(&service_life::REUSE_ACCEPTED);
    let finding = finding.with("who", &accepted.accepted_by);
    let finding = finding.with("when", accepted.accepted_on.to_string());
    let finding = finding.with("report", &accepted.report);
    findings.push(finding.with("shifts", accepted.shifts));
    Some(accepted.shifts.max(1))
}

/// Whether the report of the calibration is the one that was accepted, whatever its blanks.
fn is_same(calibrated: Option<&str>, accepted: &str) -> bool {
    calibrated.is_some_and(|report| report.split_whitespace().eq(accepted.split_whitespace()))
}

/// The same of an acceptance in the records, whose calculation was made elsewhere.
fn of_record(
    recorded: &Result<TakenReuse, LapsedReuse>,
    caps: &mut Vec<Cap>,
    findings: &mut Vec<Finding>,
) -> Option<u8> {
    let taken = match recorded {
        Ok(taken) => taken,
        Err(LapsedReuse { who, reason }) => {
            let finding = Finding::caution(&service_life::REUSE_NOT_LIFTED).with("who", who);
            findings.push(finding.with("reason", reason));
            return None;
        }
    };
    caps.retain(|cap| cap.finding.rule.id != LOW_BOILING);
    let finding = Finding::caution(&service_life::REUSE_ACCEPTED).with("who", &taken.who);
    let finding = finding.with("when", taken.when).with("report", &taken.report);
    findings.push(finding.with("shifts", taken.shifts));
    Some(taken.shifts)
}
