//! Facts in which every rule of this folder passes, to be changed one at a time.

use super::AskFacts;
use crate::Finding;

/// Changes one thing in the good facts and expects the rule `expected`, or nothing.
pub(super) fn check(
    change: impl FnOnce(&mut AskFacts<'static>),
    rule: fn(&AskFacts<'static>) -> Option<Finding>,
    expected: Option<&str>,
) {
    let mut facts = AskFacts {
        task: "t1",
        task_described: true,
        time_zone_known: true,
        doubts: Vec::new(),
        ahead: Vec::new(),
        voluntary_refused: None,
    };
    assert_eq!(rule(&facts), None, "the good facts pass");
    change(&mut facts);
    let found = rule(&facts);
    assert_eq!(found.as_ref().map(|finding| finding.rule.id), expected);
    if let Some(finding) = found {
        let said = format!("{} / {}", finding.text(), finding.remedy());
        assert!(!said.contains(['{', '}']), "{said}");
    }
}
