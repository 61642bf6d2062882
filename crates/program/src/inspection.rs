//! Inspections held against the list of points of the respirator.

use std::borrow::Cow;

use rulebook::checklist::{Certification, Filled, Mark, Occasion, certified, judge, points, rules};
use rulebook::{Device, Finding, Severity};

use crate::entry::{Fact, InspectionOccasion, PointFound, PointResult};
use crate::state::{Checklist, Inspection, State, Unit};

/// Said of an inspection that passed at every point that was looked at, and left some out.
const INCOMPLETE: &str = "the list of points was not filled in completely";

/// What stands against an inspection by points whose serial number, as it was read, is not that of the
/// set: another set may have been looked at. A facepiece from a box carries no number of its own.
#[must_use]
pub fn of_another_serial(unit: &Unit, serial: &str) -> Option<String> {
    let (read, own) = (serial.trim(), unit.serial.trim());
    (!read.is_empty() && read != own && unit.taken_from.is_none())
        .then(|| format!("the serial number read, {read}, is not that of this respirator, {own}"))
}

/// What is missing or wrong in an inspection by points of a set; nothing for one without a list, and
/// where the model of the set is not known.
#[must_use]
pub fn findings(state: &State, unit: &Unit, inspection: &Inspection) -> Vec<Finding> {
    let model = state.model(&unit.model);
    match (inspection.checklist.as_ref(), model) {
        (Some(list), Some(model)) => of_list(&model.device, unit, inspection, list),
        _ => Vec::new(),
    }
}

fn of_list(
    device: &Device,
    unit: &Unit,
    inspection: &Inspection,
    list: &Checklist,
) -> Vec<Finding> {
    let occasion = match inspection.occasion {
        InspectionOccasion::BeforeUse => Occasion::BeforeUse,
        InspectionOccasion::AtCleaning => Occasion::AtCleaning,
        InspectionOccasion::Monthly => Occasion::Monthly,
    };
    let filled: Vec<Filled<'_>> = list.points.iter().map(filled).collect();
    let mut findings = judge(&points(device, unit.emergency, occasion), &filled).findings;
    if unit.emergency && occasion == Occasion::Monthly {
        let found = if inspection.found.is_empty() { "nothing" } else { &inspection.found };
        findings.extend(certified(&Certification {
            signed: &list.signed,
            found,
            failed: !inspection.passed,
            remedial_action: &list.remedy,
            identification: &list.serial,
        }));
    }
    // What was read from another set says nothing of this one.
    if of_another_serial(unit, &list.serial).is_some() {
        let missing = format!("the serial number of this set, {}", unit.serial);
        findings.push(Finding::stop(&rules::CERTIFIED).with("missing", missing));
    }
    let entry = &inspection.at.entry;
    findings.into_iter().map(|finding| finding.resting_on(entry)).collect()
}

fn filled(point: &PointFound) -> Filled<'_> {
    let mark = match point.result {
        PointResult::Pass => Mark::Pass,
        PointResult::Fail => Mark::Fail,
        PointResult::NotApplicable => Mark::NotApplicable,
    };
    Filled { point: &point.point, mark, note: &point.note }
}

/// Whether an inspection passed with every point that its list must have, and what it found.
pub(crate) fn outcome<'s>(
    state: &State,
    unit: &Unit,
    inspection: &'s Inspection,
) -> (bool, Cow<'s, str>) {
    let stops = |finding: &Finding| finding.severity == Severity::Stop;
    let complete = !findings(state, unit, inspection).iter().any(stops);
    if inspection.passed && !complete {
        let list = inspection.checklist.as_ref();
        let other = list.and_then(|list| of_another_serial(unit, &list.serial));
        return (false, other.map_or(Cow::Borrowed(INCOMPLETE), Cow::Owned));
    }
    (inspection.passed, Cow::Borrowed(&inspection.found))
}

/// The latest monthly round, where the set passed it at every point.
pub(crate) fn passed_round<'s>(state: &State, unit: &'s Unit) -> Option<&'s Inspection> {
    unit.monthly_round.as_ref().filter(|round| outcome(state, unit, round).0)
}

/// The same for the fact of an inspection; none of another fact.
pub(crate) fn passed(state: &State, unit: &Unit, fact: &Fact) -> Option<bool> {
    let at = unit.received.clone();
    Inspection::of(fact, &at).map(|inspection| outcome(state, unit, &inspection).0)
}
