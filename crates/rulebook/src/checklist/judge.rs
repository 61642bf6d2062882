use super::{Point, rules};
use crate::{Finding, Severity, is_blank};

/// The answer to one point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mark {
    /// In order.
    Pass,
    /// Not in order.
    Fail,
    /// The respirator has no such part.
    NotApplicable,
}

/// One point as it was filled in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Filled<'a> {
    /// The id of the point.
    pub point: &'a str,
    /// The answer.
    pub mark: Mark,
    /// What was found, in words; may be empty where the point passed.
    pub note: &'a str,
}

/// What a filled checklist comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// Whether every point was looked at and none failed.
    pub passed: bool,
    /// What is missing, failed or wrongly filled in; all of it, in the order of the points.
    pub findings: Vec<Finding>,
}

/// Holds a filled checklist against its `points`.
///
/// A point that was left out, answered twice or set aside although it applies is not passed, and
/// neither is an answer to a point that this checklist does not have.
#[must_use]
pub fn judge(points: &[&Point], filled: &[Filled<'_>]) -> Judged {
    let mut findings = Vec::new();
    for point in points {
        let answers: Vec<&Filled<'_>> = filled.iter().filter(|f| f.point == point.id).collect();
        match answers.as_slice() {
            [] => findings.push(about(Finding::stop(&rules::MISSING), point)),
            [answer] => findings.extend(answered(point, answer)),
            _ => findings.push(about(Finding::stop(&rules::TWICE), point)),
        }
    }
    for answer in filled {
        if points.iter().all(|point| point.id != answer.point) {
            findings.push(Finding::stop(&rules::UNKNOWN_POINT).with("point", answer.point));
        }
    }
    let passed = findings.iter().all(|finding| finding.severity != Severity::Stop);
    Judged { passed, findings }
}

fn about(finding: Finding, point: &Point) -> Finding {
    let finding = finding.with("point", &point.id).with("part", &point.looks_at);
    finding.citing(&point.citation)
}

fn answered(point: &Point, answer: &Filled<'_>) -> Vec<Finding> {
    let note = answer.note.trim();
    match answer.mark {
        Mark::Pass => Vec::new(),
        Mark::NotApplicable if point.may_not_apply => Vec::new(),
        Mark::NotApplicable => vec![about(Finding::stop(&rules::APPLIES), point)],
        Mark::Fail if note.is_empty() => {
            let failed = Finding::stop(&rules::FAILED).with("found", "nothing was noted");
            vec![about(failed, point), about(Finding::caution(&rules::NOTED), point)]
        }
        Mark::Fail => vec![about(Finding::stop(&rules::FAILED).with("found", note), point)],
    }
}

/// What the record of an inspection of a set for emergencies must hold, beside its date, which
/// every entry has.
///
/// Source: 29 CFR 1910.134(h)(3)(iv)(A).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Certification<'a> {
    /// Name or signature of who inspected.
    pub signed: &'a str,
    /// What was found.
    pub found: &'a str,
    /// Whether something failed.
    pub failed: bool,
    /// What is to be done about it.
    pub remedial_action: &'a str,
    /// Serial number, or another way to tell the set from others.
    pub identification: &'a str,
}

/// What is missing in the record of an inspection of a set for emergencies; none where nothing is.
#[must_use]
pub fn certified(record: &Certification<'_>) -> Option<Finding> {
    let wanted = [
        ("who inspected", record.signed, true),
        ("what was found", record.found, true),
        ("what is to be done about it", record.remedial_action, record.failed),
        ("its serial number or other identification", record.identification, true),
    ];
    let missing = wanted.iter().filter(|(_, text, asked)| *asked && is_blank(text));
    let missing: Vec<&str> = missing.map(|(name, _, _)| *name).collect();
    if missing.is_empty() {
        return None;
    }
    Some(Finding::stop(&rules::CERTIFIED).with("missing", missing.join(", ")))
}
