//! Facts in which every rule of this folder passes, to be changed one at a time.

use super::{DonningFacts, PoweredCheck, SealCheck};
use crate::Finding;

/// Changes one thing in the good facts and expects the rule `expected`, or nothing.
pub(super) fn check(
    change: impl FnOnce(&mut DonningFacts<'static>),
    rule: fn(&DonningFacts<'static>) -> Option<Finding>,
    expected: Option<&str>,
) {
    let mut facts = DonningFacts {
        tight_fitting: true,
        seal_check: Some(SealCheck {
            passed: true,
            makers_own: false,
            shown_equal: false,
            entry: "e1",
        }),
        powered: Some(PoweredCheck { battery: Some(true), flow: Some(true) }),
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
