//! Facts in which every rule of this folder passes, to be changed one at a time.

use super::{DonningFacts, KeptFacepiece, PoweredCheck, SealCheck};
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
        filtering_facepiece: Some(KeptFacepiece {
            signs: Vec::new(),
            wears_so_far: 0,
            most_wears: Some(5),
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
