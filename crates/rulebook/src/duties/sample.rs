//! Facts in which every rule of this folder passes, to be changed one at a time.

use jiff::civil::date;

use super::{Shown, ShownFacts, find};
use crate::Finding;

/// Changes one thing in the good facts and expects the rule `expected`, or nothing.
pub(super) fn check(
    change: impl FnOnce(&mut ShownFacts<'static>),
    rule: fn(&ShownFacts<'static>) -> Option<Finding>,
    expected: Option<&str>,
) {
    let mut facts = ShownFacts {
        duty: find("D018").unwrap(),
        day: date(2026, 5, 4),
        shown: Some(Shown { day: date(2026, 1, 2), until: Some(date(2026, 12, 31)), entry: "e1" }),
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
