//! Facts in which every rule of this folder passes, to be changed one at a time.

use jiff::civil::date;

use super::{ShownAble, TesterFacts};
use crate::Finding;

/// Changes one thing in the good facts and expects the rule `expected`, or nothing.
pub(super) fn check(
    change: impl FnOnce(&mut TesterFacts<'static>),
    rule: fn(&TesterFacts<'static>) -> Option<Finding>,
    expected: Option<&str>,
) {
    let mut facts = TesterFacts {
        tester: "Bo",
        day: date(2026, 5, 4),
        shown: Some(ShownAble {
            from: date(2025, 1, 1),
            until: Some(date(2026, 12, 31)),
            entry: "e1",
        }),
        entry: "e2",
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
