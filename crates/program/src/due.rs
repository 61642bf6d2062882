//! What needs a person: today, or within thirty days.
//!
//! The questions are those of the rules that a verdict asks, put to every set, wearer and task on
//! its own: what would stop a wear is due before someone stands at the door with it. Each duty is
//! told with the day from which it stands in the way, and does not depend on when it is asked for.

mod air;
mod days;
mod instrument;
mod site;
mod stock;
mod task;
mod unit;
mod wearer;

use std::collections::BTreeSet;

use jiff::Timestamp;
use jiff::civil::Date;
use rulebook::Finding;
use rulebook::ask::records_agree;
use serde::{Deserialize, Serialize};

use crate::corrected::Before;
use crate::ids::{CylinderId, InstrumentId, PersonId, SiteId, StockId, SupplyId, TaskId, UnitId};
use crate::needs;
use crate::state::{State, Subject};

use days::Calendar;
pub use days::{Days, Since};
pub use stock::words as stock_words;
pub(crate) use unit::against_disinfection;
pub use wearer::against_fit_test;

/// How many days ahead are looked at where nobody says otherwise.
pub const DAYS_AHEAD: i64 = 30;

/// Grows whenever other duties, other days of them or another place in a list come of the same entries,
/// so that whoever keeps them knows that they must be found anew.
pub const DERIVATION: u32 = 15;

/// One duty of one thing, with its days.
#[derive(Debug, Clone, PartialEq)]
pub struct Duty {
    /// Which kind of thing is to be done.
    pub kind: DueKind,
    /// What it is about.
    pub about: About,
    /// The site.
    pub site: Option<SiteId>,
    /// From when on it stands in the way.
    pub since: Since,
    /// What is found from which day on, the earliest first; never empty.
    found: Vec<Finding>,
}

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
    /// The first day on which it stands in the way; none where it does on any day.
    pub since: Option<Date>,
    /// What was found, with its rule, citation, remedy and entries. Where it is due soon, the words
    /// are those of the last day looked ahead to.
    pub finding: Finding,
}

/// The groups in which things are due, in the order in which they should be dealt with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DueKind {
    /// Something was smelled, tasted or felt inside a set.
    Sensed,
    /// A set is held back.
    Held,
    /// The latest inspection of a set failed, or its monthly round is due.
    Inspection,
    /// A cylinder is to be filled, read, listed, let down or taken off.
    Cylinder,
    /// Elements are past their shelf life.
    ShelfLife,
    /// A medical clearance is missing or ends.
    Clearance,
    /// A fit test ends, hair was seen where a mask seals, or an instrument for fit tests is not in order.
    FitTest,
    /// Training is missing or ends.
    Training,
    /// A task was not measured.
    Reading,
    /// A task has no change schedule.
    Schedule,
    /// A supply of air is to be tested, checked or given new beds; or the air of a set is to be tested.
    Air,
    /// A set was repaired, washed, put away or left in hands otherwise than the rules ask, or is not fit
    /// for the next wear.
    Care,
    /// The program itself: its writing, its evaluation, what is to be put right.
    Program,
    /// Entries contradict each other, or were corrected by somebody who lifts nothing by it.
    Contradiction,
    /// A duty that leaves no other trace is to be shown.
    ToShow,
}

impl DueKind {
    /// Every kind, in order.
    pub const ALL: [Self; 15] = [
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
        Self::Air,
        Self::Care,
        Self::Program,
        Self::Contradiction,
        Self::ToShow,
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
    /// A cylinder.
    Cylinder(CylinderId),
    /// A supply of air.
    Supply(SupplyId),
    /// What lies in a box.
    Stock(StockId),
    /// An instrument for fit tests.
    Instrument(InstrumentId),
    /// A site.
    Site(SiteId),
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

/// Everything that needs a person at the instant `now` or within [`DAYS_AHEAD`] days, in the order of
/// its kind, urgency, day and thing.
#[must_use]
pub fn due(state: &State, now: Timestamp) -> Vec<Due> {
    due_within(state, now, DAYS_AHEAD)
}

/// The same, with another number of days looked ahead.
#[must_use]
pub fn due_within(state: &State, now: Timestamp, days: i64) -> Vec<Due> {
    due_of(state, state.subjects(), (now, days))
}

/// What is due of some things alone. All entries about them must be in `state`, and what they are
/// judged by.
#[must_use]
pub fn due_of(
    state: &State,
    things: impl IntoIterator<Item = Subject>,
    (now, days): (Timestamp, i64),
) -> Vec<Due> {
    let mut all = Vec::new();
    for thing in things {
        for (place, duty) in duties(state, &thing).into_iter().enumerate() {
            let days = Days::at(state, duty.site.as_ref(), now, days);
            if let Some(due) = duty.at(&days) {
                all.push(((due.kind, due.urgency, duty.since, thing.clone(), place), due));
            }
        }
    }
    all.sort_by(|(a, _), (b, _)| a.cmp(b));
    all.into_iter().map(|(_, due)| due).collect()
}

/// The duties of one thing, whenever they fall, always in the same order. All entries about it must
/// be in `state`, and what it is judged by.
#[must_use]
pub fn duties(state: &State, thing: &Subject) -> Vec<Duty> {
    let earlier = before(state, thing);
    let readings = earlier.iter().map(|before| &before.state).chain([state]);
    let kept_for = match thing {
        Subject::Unit(id) => unit::kept_for(readings.filter_map(|state| state.unit(id))),
        _ => String::new(),
    };
    let back = match thing {
        Subject::Cylinder(id) => state.cylinder(id).is_some_and(|one| one.withdrawn.is_none()),
        _ => false,
    };
    let mut all = as_recorded(state, thing, (&kept_for, false));
    contradictions(state, thing, &mut all);
    for before in &earlier {
        let duties = as_recorded(&before.state, thing, (&kept_for, back));
        keep(&mut all, duties, before);
    }
    all
}

/// The records by which a thing has its duties, as they stood before each correction that lifts nothing.
fn before(state: &State, thing: &Subject) -> Vec<Before> {
    let more = |part: &State| {
        let mut needed = needs::for_due(part.entries());
        needed.append(&mut needs::for_due_as_it_stands(part, [thing]));
        needed
    };
    if !needs::is_corrected(state, thing) {
        return Vec::new();
    }
    crate::corrected::before(state, BTreeSet::from([thing.clone()]), more)
}

/// Keeps the duties that a correction does not lift, and tells of the correction.
fn keep(all: &mut Vec<Duty>, earlier: Vec<Duty>, before: &Before) {
    let is_new = |duty: &Duty| {
        let own = all.iter().filter(|own| own.about == duty.about && own.since <= duty.since);
        let told: Vec<&Finding> = own.flat_map(|own| &own.found).collect();
        duty.found.iter().any(|finding| before.stays(finding, &told))
    };
    let kept: Vec<Duty> = earlier.into_iter().filter(is_new).collect();
    let first = kept.iter().min_by_key(|duty| duty.since);
    let found: Vec<Finding> = kept.iter().filter_map(|duty| duty.found.last().cloned()).collect();
    let told = first.zip(before.told(&found)).map(|(first, told)| Duty {
        kind: DueKind::Contradiction,
        about: About::Records,
        site: first.site.clone(),
        since: first.since,
        found: vec![Finding { since: first.found.first().and_then(|one| one.since), ..told }],
    });
    let resting = |mut duty: Duty| {
        duty.found = duty.found.into_iter().map(|found| before.resting_on(found)).collect();
        duty
    };
    let kept: Vec<Duty> = kept.into_iter().map(resting).collect();
    all.extend(told.into_iter().chain(kept));
}

/// The duties of the records as they are, of a set that is `kept_for` somebody, or of a cylinder that is back in
/// service.
fn as_recorded(state: &State, thing: &Subject, (kept_for, back): (&str, bool)) -> Vec<Duty> {
    let mut all = Vec::new();
    match thing {
        Subject::Unit(id) => {
            if let Some(unit) = state.unit(id).filter(|unit| unit.retired.is_none()) {
                let calendar = Calendar::of(state, &unit.site);
                unit::duties(state, (id, unit, kept_for), &calendar, &mut all);
            }
        }
        Subject::Wearer(id) => {
            if let Some(wearer) = state.wearer(id).filter(|wearer| wearer.left.is_none()) {
                wearer::duties(state, (id, wearer), &Calendar::of(state, &wearer.site), &mut all);
            }
        }
        Subject::Task(id) => {
            if let Some(task) = state.task(id) {
                task::duties(state, (id, task), &Calendar::of(state, &task.site), &mut all);
            }
        }
        Subject::Site(id) => {
            if let Some(site) = state.site(id) {
                site::duties(state, (id, site), &Calendar::of(state, id), &mut all);
            }
        }
        Subject::Cylinder(id) => {
            if let Some(cylinder) = state.cylinder(id) {
                let calendar = Calendar::of(state, &cylinder.site);
                air::of_cylinder(state, (id, cylinder, back), &calendar, &mut all);
            }
        }
        Subject::Supply(id) => {
            if let Some(supply) = state.supply(id) {
                let calendar = Calendar::of(state, &supply.site);
                air::of_supply(state, (id, supply), &calendar, &mut all);
            }
        }
        Subject::Stock(id) => {
            if let Some(stock) = state.stock(id) {
                stock::duties(state, (id, stock), &mut all);
            }
        }
        Subject::Instrument(id) => {
            if let Some(known) = state.instrument(id) {
                instrument::duties((id, known), &Calendar::of(state, &known.site), &mut all);
            }
        }
        Subject::Model(_)
        | Subject::ElementType(_)
        | Subject::Person(_)
        | Subject::Place(_)
        | Subject::Group(_)
        | Subject::Lot(_)
        | Subject::Watch(_)
        | Subject::Correction(_) => {}
    }
    all
}

impl Duty {
    /// A duty found as `found` says, the earliest first; none where nothing is found.
    fn of(
        (kind, about): (DueKind, About),
        site: Option<SiteId>,
        found: Vec<Finding>,
    ) -> Option<Self> {
        let since = found.first()?.since.map_or(Since::Always, Since::Day);
        Some(Self { kind, about, site, since, found })
    }

    /// What is due of it on the days of a question.
    #[must_use]
    pub fn at(&self, days: &Days) -> Option<Due> {
        let (urgency, day) = match self.since {
            Since::Over => (Urgency::Over, days.today),
            Since::Always => (Urgency::Now, days.today),
            Since::Day(since) if since <= days.today => (Urgency::Now, days.today),
            Since::Day(_) => (Urgency::Soon, days.ahead),
        };
        let holds = |finding: &&Finding| finding.since.is_none_or(|since| since <= day);
        let finding = self.found.iter().rev().find(holds)?.clone();
        let since = match self.since {
            Since::Day(since) => Some(since),
            Since::Always | Since::Over => None,
        };
        let (about, site) = (self.about.clone(), self.site.clone());
        Some(Due { kind: self.kind, about, site, urgency, since, finding })
    }
}

fn contradictions(state: &State, thing: &Subject, all: &mut Vec<Duty>) {
    for one in state.contradictions_of(thing) {
        let site = one.entries.first().and_then(|id| state.entry(id)).map(|e| e.site.clone());
        let finding = Finding::stop(&records_agree::RULE).with("what", &one.words);
        let finding = one.entries.iter().fold(finding, Finding::resting_on);
        let since = if one.unsettled { Since::Always } else { Since::Over };
        let (kind, about) = (DueKind::Contradiction, About::Records);
        all.push(Duty { kind, about, site, since, found: vec![finding] });
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

    fn informed() -> (&'static str, Fact) {
        let told = crate::entry::ProfessionalTold {
            air_sources: rulebook::AirSource::ALL.to_vec(),
            respirators: "half mask, 0.4 kg".to_owned(),
            wear: "2 h a day".to_owned(),
            effort: "moderate".to_owned(),
            worn_beside: "none".to_owned(),
            climate: "5 to 35 degC".to_owned(),
            program_copy: true,
            standard_copy: true,
        };
        let professional = "Dr Quince".to_owned();
        ("2025-01-01", Fact::MedicalInformationGiven { wearer: wearer(), professional, told })
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
            let facts =
                vec![enrolled(), informed(), cleared(Some("2026-03-31")), trained("2026-02-01")];
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
            due_on(
                "2026-01-01",
                vec![enrolled(), informed(), cleared(None), trained("2025-12-01")]
            ),
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
        // Nobody showed that who released it can repair.
        assert_eq!(of(vec![received(), held.clone(), released.clone()]).count(), 1);
        let topic = TrainingTopic::Repair;
        let trained = Fact::Trained { wearer: PersonId::new("p"), topic, understood: true };
        let role = Fact::RoleGiven {
            person: PersonId::new("p"),
            name: "Pine".to_owned(),
            role: crate::entry::Role::Repairer,
            shown: "course".to_owned(),
            until: None,
        };
        let facts = vec![received(), held.clone(), ("2025-12-01", trained), ("2025-11-01", role)];
        assert_eq!(of(facts.into_iter().chain([released]).collect()).count(), 0);
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
