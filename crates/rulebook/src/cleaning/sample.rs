//! Facts in which every rule of this folder passes, to be changed one at a time.

use quantity::Celsius;

use super::WashFacts;
use crate::Finding;

/// Changes one thing in the good facts and expects the rule `expected`, or nothing.
pub(super) fn check(
    change: impl FnOnce(&mut WashFacts<'static>),
    rule: fn(&WashFacts<'static>) -> Option<Finding>,
    expected: Option<&str>,
) {
    let mut facts = WashFacts {
        cleaner: "mild detergent",
        forbidden: vec!["acetone"],
        water: Some(Celsius::from_celsius(43.0).unwrap()),
        entry: "e1",
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
