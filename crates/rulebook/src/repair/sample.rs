//! Facts in which every rule of this folder passes, to be changed one at a time.

use jiff::civil::date;

use super::{Component, PartFact, RepairFacts, RepairTraining, Standing};
use crate::Finding;
use crate::interval::Every;

/// Changes one thing in the good facts and expects the rule `expected`, or nothing.
pub(super) fn check(
    change: impl FnOnce(&mut RepairFacts<'static>),
    rule: fn(&RepairFacts<'static>) -> Option<Finding>,
    expected: Option<&str>,
) {
    let mut facts = RepairFacts {
        unit: "u1",
        by: "Bo",
        day: date(2026, 5, 4),
        training: Some(RepairTraining { day: date(2025, 5, 4), understood: true, entry: "e1" }),
        training_counts: Every::Months(12),
        standing: Standing::OfTheSite,
        worked_on: vec![Component::Other],
        parts: vec![PartFact { number: "P-1", made_for_it: true }],
        instructions: "handbook, section 4",
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
