//! Facts in which every rule of this folder passes, to be changed one at a time.

use super::StandbyFacts;
use crate::Finding;

/// Changes one thing in the good facts and expects the rule `expected`, or nothing.
pub(super) fn check(
    change: impl FnOnce(&mut StandbyFacts<'static>),
    rule: fn(&StandbyFacts<'static>) -> Option<Finding>,
    expected: Option<&str>,
) {
    let mut facts = StandbyFacts {
        outside: 1,
        structural_fire: false,
        contact: true,
        trained: true,
        apparatus: true,
        retrieval_or_equal: true,
        told_first: "the shift supervisor",
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
