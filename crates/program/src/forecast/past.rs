//! What a site used up, week by week, and who wore what for which task.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};

use crate::entry::{Entry, Fact, StockItem};
use crate::ids::{ModelId, PersonId, SiteId, StockId, TaskId, UnitId};
use crate::state::{State, Unit};

/// The most weeks that are looked back on: half a year shows what the plant uses now.
pub(super) const WEEKS_BACK: usize = 26;

/// The weeks whose wear stands for the roster to come.
pub(super) const ROSTER_WEEKS: usize = 13;

/// Whole weeks that ended yesterday, the latest first.
pub(super) type Weekly = Vec<f64>;

/// One way of wearing that uses something up.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Wearing {
    pub(super) task: TaskId,
    pub(super) model: ModelId,
    pub(super) item: StockItem,
}

/// What happened at a site.
#[derive(Debug, Clone, Default)]
pub(super) struct Past {
    /// How many weeks are known, at most [`WEEKS_BACK`].
    pub(super) weeks: usize,
    /// Sets, facepieces or supplies used.
    pub(super) used: BTreeMap<StockItem, Weekly>,
    /// Shifts worn.
    pub(super) shifts: BTreeMap<Wearing, Weekly>,
    /// Cylinders filled.
    pub(super) filled: Weekly,
}

/// What one day brought.
struct Event {
    ago: i32,
    what: What,
    much: f64,
}

enum What {
    Used(StockItem),
    Shift(Wearing),
    Filled,
}

impl Past {
    pub(super) fn of(state: &State, site: &SiteId, zone: &TimeZone, now: Timestamp) -> Self {
        let look = Look::at(state, zone, now);
        let mut events = Vec::new();
        for (id, unit) in state.units().filter(|(_, unit)| unit.site == *site) {
            look.unit(id, unit, &mut events);
        }
        for (id, _) in state.cylinders().filter(|(_, cylinder)| cylinder.site == *site) {
            for entry in look.recent(state.history_of_cylinder(id)) {
                if matches!(entry.fact, Fact::CylinderFilled { .. }) {
                    events.push(Event { ago: look.ago(entry), what: What::Filled, much: 1.0 });
                }
            }
        }
        look.boxes(site, &mut events);
        Self::sorted(events)
    }

    /// Events by their weeks. The weeks begin with the first of all events, so that a ledger that
    /// was opened a month ago is not taken for a plant that used nothing before.
    fn sorted(events: Vec<Event>) -> Self {
        let mut past = Self::default();
        let first = events.iter().map(|event| event.ago).max().unwrap_or(0);
        past.weeks = usize::try_from((first + 6) / 7).unwrap_or(0).min(WEEKS_BACK);
        past.filled = vec![0.0; past.weeks];
        let weeks = past.weeks;
        for event in events {
            let Some(week) = usize::try_from(event.ago - 1).ok().map(|days| days / 7) else {
                continue;
            };
            let weekly = match event.what {
                What::Used(item) => past.used.entry(item).or_insert_with(|| vec![0.0; weeks]),
                What::Shift(wearing) => {
                    past.shifts.entry(wearing).or_insert_with(|| vec![0.0; weeks])
                }
                What::Filled => &mut past.filled,
            };
            if let Some(week) = weekly.get_mut(week) {
                *week += event.much;
            }
        }
        past
    }
}

/// A look back from a day.
struct Look<'a> {
    state: &'a State,
    zone: &'a TimeZone,
    today: Date,
    since: Timestamp,
}

impl<'a> Look<'a> {
    fn at(state: &'a State, zone: &'a TimeZone, now: Timestamp) -> Self {
        let days = i64::try_from(WEEKS_BACK * 7 + 1).unwrap_or(i64::MAX);
        let since = now.saturating_sub(SignedDuration::from_hours(days * 24)).unwrap_or(now);
        Self { state, zone, today: zone.to_datetime(now).date(), since }
    }

    fn counts(&self, entry: &Entry) -> bool {
        self.state.counted_instead_of(&entry.id).is_none()
    }

    /// The entries of the weeks looked back on that count, the latest first.
    fn recent<'e>(
        &self,
        history: impl DoubleEndedIterator<Item = &'e Entry>,
    ) -> impl Iterator<Item = &'e Entry> {
        let since = self.since;
        history
            .rev()
            .take_while(move |entry| since <= entry.happened)
            .filter(|entry| self.counts(entry))
    }

    fn ago(&self, entry: &Entry) -> i32 {
        let day = self.zone.to_datetime(entry.happened).date();
        self.today.since(day).map_or(0, |span| span.get_days())
    }

    fn unit(&self, id: &UnitId, unit: &Unit, events: &mut Vec<Event>) {
        // What is fitted when the weeks begin was fitted before them.
        let mut entries: Vec<&Entry> = Vec::new();
        for entry in self.state.history_of_unit(id).rev().filter(|entry| self.counts(entry)) {
            let fitting = matches!(entry.fact, Fact::ElementsFitted { .. });
            if self.since <= entry.happened || fitting {
                entries.push(entry);
            }
            if fitting && entry.happened < self.since {
                break;
            }
        }
        let filtering = self.state.model(&unit.model).is_some_and(|m| m.device.filtering_facepiece);
        let (model, size) = (unit.model.clone(), unit.size.clone());
        let mut item = filtering.then_some(StockItem::Facepieces { model, size });
        let mut fitted = None;
        let mut shifts: BTreeSet<(i32, PersonId, Wearing)> = BTreeSet::new();
        for entry in entries.into_iter().rev() {
            let ago = self.ago(entry);
            match &entry.fact {
                Fact::ElementsFitted { element_type, lot, opened, .. } => {
                    let kind = StockItem::Elements(element_type.clone());
                    let pieces = Some((element_type, lot, opened));
                    if fitted != pieces && self.since <= entry.happened {
                        events.push(Event { ago, what: What::Used(kind.clone()), much: 1.0 });
                    }
                    fitted = pieces;
                    item = Some(kind);
                }
                Fact::Worn { wearer, task, .. } => {
                    if let Some(item) = item.clone() {
                        let (task, model) = (task.clone(), unit.model.clone());
                        shifts.insert((ago, wearer.clone(), Wearing { task, model, item }));
                    }
                }
                _ => {}
            }
        }
        let shift = |(ago, _, wearing)| Event { ago, what: What::Shift(wearing), much: 1.0 };
        events.extend(shifts.into_iter().map(shift));
    }

    /// What was taken from a box: facepieces one by one; supplies by what was missing between two
    /// counts, spread evenly over the days between them. Elements are seen where they are fitted.
    fn boxes(&self, site: &SiteId, events: &mut Vec<Event>) {
        for (id, stock) in self.state.stocks().filter(|(_, stock)| stock.site == *site) {
            match &stock.item {
                StockItem::Elements(_) => {}
                StockItem::Facepieces { .. } => {
                    let recent = self.recent(self.state.history_of_stock(id));
                    let taken =
                        recent.filter(|entry| matches!(entry.fact, Fact::FacepieceTaken { .. }));
                    events.extend(taken.map(|entry| {
                        let what = What::Used(stock.item.clone());
                        Event { ago: self.ago(entry), what, much: 1.0 }
                    }));
                }
                StockItem::Supplies(_) => self.supplies(id, &stock.item, events),
            }
        }
    }

    fn supplies(&self, id: &StockId, item: &StockItem, events: &mut Vec<Event>) {
        let mut before: Option<(i32, u32)> = None;
        let history = self.state.history_of_stock(id);
        for entry in history.filter(|entry| self.counts(entry)) {
            let (Fact::StockReceived { count, .. } | Fact::StockCounted { count, .. }) =
                &entry.fact
            else {
                continue;
            };
            let ago = self.ago(entry);
            if let Some((then, had)) = before {
                let days = (then - ago).max(1);
                let much = f64::from(had.saturating_sub(*count)) / f64::from(days);
                let spread = (ago..ago + days).filter(|_| much > 0.0);
                let back = |ago: &i32| usize::try_from(*ago).is_ok_and(|d| d <= WEEKS_BACK * 7);
                events.extend(spread.filter(back).map(|ago| Event {
                    ago: ago.max(1),
                    what: What::Used(item.clone()),
                    much,
                }));
            }
            before = Some((ago, *count));
        }
    }
}
