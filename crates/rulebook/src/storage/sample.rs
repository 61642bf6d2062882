//! Facts in which every rule of this folder passes, to be changed one at a time.

use super::{PlaceFacts, StorageFacts};
use crate::Finding;

/// Changes one thing in the good facts and expects the rule `expected`, or nothing.
pub(super) fn check(
    change: impl FnOnce(&mut StorageFacts<'static>),
    rule: fn(&StorageFacts<'static>) -> Option<Finding>,
    expected: Option<&str>,
) {
    let mut facts = StorageFacts {
        emergency: true,
        place: Some(PlaceFacts {
            name: "cabinet 3",
            lacks: Vec::new(),
            deforms: false,
            within_reach: true,
            marked: true,
            entry: "e1",
        }),
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
