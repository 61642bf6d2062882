//! Facts in which every rule of this folder passes, to be changed one at a time.

use jiff::civil::date;

use super::{
    Administrator, Consultation, Evaluation, OpenAction, ProgramFacts, Section, Topic,
    WrittenProgram,
};
use crate::Finding;
use crate::interval::Every;

/// Changes one thing in the good facts and expects the rule `expected`, or nothing.
pub(super) fn check(
    change: impl FnOnce(&mut ProgramFacts<'static>),
    rule: fn(&ProgramFacts<'static>) -> Option<Finding>,
    expected: Option<&str>,
) {
    let mut facts = ProgramFacts {
        day: date(2026, 5, 4),
        written: Some(WrittenProgram {
            day: date(2026, 1, 2),
            sections: Section::ALL.to_vec(),
            entry: "e1",
        }),
        administrator: Some(Administrator {
            name: "Cem",
            shown: "course of forty hours",
            until: None,
            entry: "e2",
        }),
        evaluated: Some(Evaluation { day: date(2026, 2, 1), entry: "e3" }),
        evaluation_counts: Every::Months(12),
        consulted: vec![Consultation {
            day: date(2026, 2, 1),
            topics: Topic::ALL.to_vec(),
            entry: "e4",
        }],
        consultation_counts: Every::Months(12),
        open_actions: vec![OpenAction { what: "new straps", until: date(2026, 5, 5), entry: "e5" }],
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
