use rulebook::{Assessment, Device, Finding, Level, Severity};

use super::needed_factor;
use crate::state::Task;

/// Why a respirator is worn: because the air requires it, or by choice.
pub(super) enum Purpose {
    Required,
    /// Marked as by choice, and the air agrees.
    ByChoice {
        filtering_facepiece: bool,
    },
    /// Marked as by choice, against what is known of the air: judged as required.
    RequiredDespiteMark {
        why: String,
    },
}

impl Purpose {
    pub(super) fn of(
        task: Option<&Task>,
        device: Option<&Device>,
        assessment: Option<&Assessment>,
    ) -> Self {
        let Some(task) = task.filter(|task| task.spec.voluntary) else { return Self::Required };
        let (Some(device), Some(assessment)) = (device, assessment) else {
            return Self::RequiredDespiteMark { why: "the respirator is not known".to_owned() };
        };
        match why_required(task, assessment) {
            Some(why) => Self::RequiredDespiteMark { why },
            None => Self::ByChoice { filtering_facepiece: device.filtering_facepiece },
        }
    }

    /// Whether it is worn by choice, and then whether it is a filtering facepiece.
    pub(super) const fn by_choice(&self) -> Option<bool> {
        match self {
            Self::ByChoice { filtering_facepiece } => Some(*filtering_facepiece),
            _ => None,
        }
    }

    pub(super) fn refused(&self) -> Option<&str> {
        match self {
            Self::RequiredDespiteMark { why } => Some(why),
            _ => None,
        }
    }
}

/// Why the air requires a respirator, or may.
fn why_required(task: &Task, assessment: &Assessment) -> Option<String> {
    if task.spec.immediately_dangerous {
        return Some("the air was declared immediately dangerous".to_owned());
    }
    if task.spec.interior_fire {
        return Some("a fire is fought inside a structure".to_owned());
    }
    if task.spec.atmosphere_unknown || assessment.findings.iter().any(is_of_unknown_air) {
        return Some("what is in the air is not known".to_owned());
    }
    if assessment.findings.iter().any(is_of_oxygen) {
        return Some("the oxygen is not known to be that of open air".to_owned());
    }
    let all = &assessment.contaminants;
    if all.is_empty() {
        return Some("nobody evaluated the air: nothing is listed that is in it".to_owned());
    }
    if let Some(one) = all.iter().find(|judged| judged.level == Level::Unknown) {
        return Some(format!("the level of {} is not known", one.name));
    }
    if let Some(one) = all.iter().find(|judged| judged.needed_factor.is_none()) {
        return Some(format!("no limit is known for {}", one.name));
    }
    let within = needed_factor(assessment).is_some_and(|factor| factor <= 1.0);
    (!within).then(|| "what is in the air is above its limit".to_owned())
}

fn is_of_unknown_air(finding: &Finding) -> bool {
    finding.rule.id == "air.unknown"
}

fn is_of_oxygen(finding: &Finding) -> bool {
    finding.severity > Severity::Note && finding.rule.id.starts_with("oxygen.")
}
