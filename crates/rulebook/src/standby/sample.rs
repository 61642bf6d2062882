//! Facts in which every rule of this folder passes, to be changed one at a time.

use jiff::civil::date;

use super::{Contact, PostedFacts, PostingFacts, RescueTraining, Retrieval, StandbyFacts, Stands};
use crate::interval::Every;
use crate::{AirSource, Device, Facepiece, Finding};

/// A set for immediately dangerous air.
pub(super) static CARRIED: Device = Device {
    air_source: AirSource::SelfContainedPressureDemand,
    facepiece: Facepiece::FullFacepiece,
    filtering_facepiece: false,
    escape_only: false,
    auxiliary_self_contained: false,
    maker_shows_factor_1000: false,
    rated_minutes: Some(30),
};

fn posting() -> PostingFacts<'static> {
    PostingFacts {
        stands: Stands::ToTheEnd,
        outside: 2,
        other_role: 0,
        inside: 2,
        wearer_inside: true,
        wearer_outside: false,
        in_both: Vec::new(),
        contact: &[Contact::Voice],
        together: &[Contact::Sight],
        retrieval: Retrieval::Equipment("tripod and winch"),
        notify: "shift lead, radio 2",
        help: "site rescue team",
        entry: "e1",
    }
}

/// Changes one thing in a good posting for a fire and expects the rule `expected`, or nothing.
pub(super) fn check(
    change: impl FnOnce(&mut StandbyFacts<'static>),
    rule: fn(&StandbyFacts<'static>) -> Option<Finding>,
    expected: Option<&str>,
) {
    let mut facts = StandbyFacts {
        task: "tank entry",
        wearer: "Ada",
        fire: true,
        asked_outside: None,
        posting: Some(posting()),
    };
    assert_eq!(rule(&facts), None, "the good facts pass");
    change(&mut facts);
    told(rule(&facts), expected);
}

/// Changes one thing in the posting and expects the rule `expected`, or nothing.
pub(super) fn of_posting(
    change: impl FnOnce(&mut PostingFacts<'static>),
    rule: fn(&StandbyFacts<'static>) -> Option<Finding>,
    expected: Option<&str>,
) {
    check(|facts| change(facts.posting.as_mut().unwrap()), rule, expected);
}

/// Changes one thing in the facts about somebody who stands outside.
pub(super) fn of_posted(
    change: impl FnOnce(&mut PostedFacts<'static>),
    rule: fn(&PostedFacts<'static>) -> Option<Finding>,
    expected: Option<&str>,
) {
    let mut facts = PostedFacts {
        who: "Bo",
        day: date(2026, 5, 4),
        fire: true,
        set: Some("SC-9"),
        device: Some(&CARRIED),
        training: Some(RescueTraining { day: date(2026, 2, 2), understood: true, entry: "e2" }),
        training_counts: Every::Months(12),
        elsewhere: None,
        set_elsewhere: None,
        against: Vec::new(),
        entry: "e1",
    };
    assert_eq!(rule(&facts), None, "the good facts pass");
    change(&mut facts);
    told(rule(&facts), expected);
}

fn told(found: Option<Finding>, expected: Option<&str>) {
    assert_eq!(found.as_ref().map(|finding| finding.rule.id), expected);
    if let Some(finding) = found {
        let said = format!("{} / {}", finding.text(), finding.remedy());
        assert!(!said.contains(['{', '}']), "{said}");
    }
}
