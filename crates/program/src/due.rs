//! What needs a person: today, or within thirty days.
//!
//! The questions are those of the rules that a verdict asks, put to every set, wearer and task on
//! its own: what would stop a wear is due before someone stands at the door with it.

mod task;
mod unit;
mod wearer;

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use rulebook::Finding;
use rulebook::ask::records_agree;
use serde::Serialize;

use crate::ids::{PersonId, SiteId, TaskId, UnitId};
use crate::state::State;

/// How many days ahead are looked at.
pub const DAYS_AHEAD: i64 = 30;

/// One thing that needs a person.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Due {
    /// Which kind of thing it is.
    pub kind: DueKind,
    /// What it is about.
    pub about: About,
    /// The site.
    pub site: Option<SiteId>,
    /// Now, or soon.
    pub urgency: Urgency,
    /// What was found, with its rule, citation, remedy and entries. Where it is due soon, the words
    /// are those of the day after the last on which it still holds.
    pub finding: Finding,
}

/// The groups in which things are due, in the order in which they should be dealt with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum DueKind {
    /// Something was smelled, tasted or felt inside a set.
    Sensed,
    /// A set is held back.
    Held,
    /// The latest inspection of a set failed, or its monthly round is due.
    Inspection,
    /// A cylinder is to be filled or read.
    Cylinder,
    /// Elements are past their shelf life.
    ShelfLife,
    /// A medical clearance is missing or ends.
    Clearance,
    /// A fit test ends.
    FitTest,
    /// Training is missing or ends.
    Training,
    /// A task was not measured.
    Reading,
    /// A task has no change schedule.
    Schedule,
    /// Entries contradict each other.
    Contradiction,
}

impl DueKind {
    /// Every kind, in order.
    pub const ALL: [Self; 11] = [
        Self::Sensed,
        Self::Held,
        Self::Inspection,
        Self::Cylinder,
        Self::ShelfLife,
        Self::Clearance,
        Self::FitTest,
        Self::Training,
        Self::Reading,
        Self::Schedule,
        Self::Contradiction,
    ];
}

/// What a duty is about.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum About {
    /// A respirator.
    Unit(UnitId),
    /// A wearer.
    Wearer(PersonId),
    /// A task.
    Task(TaskId),
    /// The records themselves.
    Records,
}

/// When a duty is to be done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Urgency {
    /// It stands in the way now.
    Now,
    /// It will, within [`DAYS_AHEAD`] days.
    Soon,
    /// It is over, and shown so that nobody overlooks it.
    Over,
}

/// Everything that needs a person at the instant `now`, in the order of its kind, urgency and
/// thing.
#[must_use]
pub fn due(state: &State, now: Timestamp) -> Vec<Due> {
    let mut all = Vec::new();
    for (id, unit) in state.units().filter(|(_, unit)| unit.retired.is_none()) {
        unit::due(state, (id, unit), &Days::at(state, &unit.site, now), &mut all);
    }
    for (id, wearer) in state.wearers().filter(|(_, wearer)| wearer.left.is_none()) {
        wearer::due(state, (id, wearer), &Days::at(state, &wearer.site, now), &mut all);
    }
    for (id, task) in state.tasks() {
        task::due((id, task), &mut all);
    }
    contradictions(state, &mut all);
    all.sort_by(|a, b| (a.kind, a.urgency, &a.about).cmp(&(b.kind, b.urgency, &b.about)));
    all
}

/// The days of a question: today, and the last day looked ahead to, at the site.
#[derive(Clone)]
struct Days {
    zone: TimeZone,
    today: Date,
    ahead: Date,
}

impl Days {
    fn at(state: &State, site: &SiteId, now: Timestamp) -> Self {
        let zone = state.site(site).and_then(|site| site.time_zone.clone());
        let zone = zone.unwrap_or(TimeZone::UTC);
        let today = zone.to_datetime(now).date();
        let span = jiff::Span::new().try_days(DAYS_AHEAD).unwrap_or_default();
        Self { today, ahead: today.checked_add(span).unwrap_or(today), zone }
    }

    /// The day of an instant at the site.
    fn day(&self, when: Timestamp) -> Date {
        self.zone.to_datetime(when).date()
    }

    /// What `ask` finds today; and if nothing, what it will find at the end of the days ahead.
    fn found(&self, ask: impl Fn(Date) -> Option<Finding>) -> Option<(Urgency, Finding)> {
        let now = ask(self.today).map(|finding| (Urgency::Now, finding));
        now.or_else(|| ask(self.ahead).map(|finding| (Urgency::Soon, finding)))
    }
}

fn contradictions(state: &State, all: &mut Vec<Due>) {
    for one in state.contradictions() {
        let site = one.entries.first().and_then(|id| state.entry(id)).map(|e| e.site.clone());
        let finding = Finding::stop(&records_agree::RULE).with("what", &one.words);
        let finding = one.entries.iter().fold(finding, Finding::resting_on);
        let urgency = if one.unsettled { Urgency::Now } else { Urgency::Over };
        let (kind, about) = (DueKind::Contradiction, About::Records);
        all.push(Due { kind, about, site, urgency, finding });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::entry::{Clearance, Entry, Fact, TrainingTopic};
    use crate::ids::EntryId;

    /// Facts at 12:00 UTC of their days, in a state; what is due at noon of `today`.
    fn due_on(today: &str, facts: Vec<(&str, Fact)>) -> Vec<(DueKind, Urgency, &'static str)> {
        let noon = |day: &str| format!("{day}T12:00:00Z").parse::<Timestamp>().unwrap();
        let entries: Vec<Entry> = facts
            .into_iter()
            .enumerate()
            .map(|(number, (day, fact))| Entry {
                id: EntryId::new(format!("e{number}")),
                site: SiteId::new("north"),
                happened: noon(day),
                entered: noon(day),
                by: PersonId::new("p"),
                device: "bench".to_owned(),
                corrects: None,
                fact,
            })
            .collect();
        let all = due(&State::from_entries(&entries), noon(today));
        all.into_iter().map(|due| (due.kind, due.urgency, due.finding.rule.id)).collect()
    }

    fn wearer() -> PersonId {
        PersonId::new("w")
    }

    fn unit() -> UnitId {
        UnitId::new("u")
    }

    fn enrolled() -> (&'static str, Fact) {
        ("2025-01-01", Fact::WearerEnrolled { wearer: wearer(), name: "Wren".to_owned() })
    }

    fn cleared(until: Option<&str>) -> (&'static str, Fact) {
        let until = until.map(|day| day.parse().unwrap());
        let clearance = Clearance::Cleared;
        ("2025-01-02", Fact::ClearanceGiven { wearer: wearer(), clearance, until })
    }

    fn trained(day: &'static str) -> (&'static str, Fact) {
        (day, Fact::Trained { wearer: wearer(), topic: TrainingTopic::Wear, understood: true })
    }

    fn received() -> (&'static str, Fact) {
        let fact = Fact::UnitReceived {
            unit: unit(),
            model: crate::ids::ModelId::new("half"),
            size: "M".to_owned(),
            serial: "1".to_owned(),
            shared: false,
            emergency: false,
        };
        ("2025-01-03", fact)
    }

    #[test]
    fn a_clearance_is_due_soon_thirty_days_ahead_and_now_on_the_day_after_its_last() {
        for (today, expected) in [
            ("2026-03-01", None),
            ("2026-03-02", Some(Urgency::Soon)),
            ("2026-03-31", Some(Urgency::Soon)),
            ("2026-04-01", Some(Urgency::Now)),
        ] {
            let facts = vec![enrolled(), cleared(Some("2026-03-31")), trained("2026-02-01")];
            let found = due_on(today, facts);
            let expected = expected.map(|urgency| (DueKind::Clearance, urgency, "medical.in-date"));
            assert_eq!(found, expected.into_iter().collect::<Vec<_>>(), "{today}");
        }
    }

    #[test]
    fn a_newcomer_needs_clearance_and_training() {
        let found = due_on("2026-01-01", vec![enrolled()]);
        assert_eq!(
            found,
            [
                (DueKind::Clearance, Urgency::Now, "medical.given"),
                (DueKind::Training, Urgency::Now, "training.given"),
            ]
        );
        assert_eq!(
            due_on("2026-01-01", vec![enrolled(), cleared(None), trained("2025-12-01")]),
            []
        );
    }

    #[test]
    fn a_held_set_is_due_until_it_is_released_or_retired() {
        let held = ("2026-01-01", Fact::Held { unit: unit(), why: "torn".to_owned() });
        let of =
            |facts| due_on("2026-01-05", facts).into_iter().filter(|due| due.0 == DueKind::Held);
        // The model was never listed, which is a contradiction of its own.
        assert_eq!(of(vec![received(), held.clone()]).count(), 1);
        let released = ("2026-01-02", Fact::Released { unit: unit(), done: "strap".to_owned() });
        assert_eq!(of(vec![received(), held.clone(), released]).count(), 0);
        let retired = ("2026-01-02", Fact::Retired { unit: unit(), why: "torn".to_owned() });
        assert_eq!(of(vec![received(), held, retired]).count(), 0);
    }

    #[test]
    fn what_is_due_comes_in_the_order_of_its_kind() {
        let held = ("2026-01-01", Fact::Held { unit: unit(), why: "torn".to_owned() });
        let found = due_on("2026-01-05", vec![enrolled(), received(), held]);
        assert!(found.is_sorted(), "{found:?}");
        assert_eq!(found.first().map(|due| due.0), Some(DueKind::Held));
    }
}
