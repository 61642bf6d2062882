//! What a site will use up in the weeks to come, and what to buy until when.
//!
//! Two figures are worked out for each item: what was used in the past weeks, and what the change
//! schedules ask for on the roster. The larger one counts: a store that runs empty makes people wear
//! what should have been changed. The roster is a plan of shifts where one is given, and otherwise
//! who wore what in the last weeks.

mod interval;
mod past;
mod plan;
mod stock;

use std::collections::{BTreeMap, BTreeSet};

use jiff::Timestamp;
use jiff::civil::Date;
use serde::Serialize;
use thiserror::Error;

use crate::entry::StockItem;
use crate::ids::{SiteId, TaskId};
use crate::state::State;

use interval::Range;
use past::{Past, ROSTER_WEEKS, Weekly};
use plan::PerShift;
use stock::Shelf;

/// The most weeks that are looked ahead to.
pub const MOST_WEEKS: u32 = 104;

/// What is asked.
#[derive(Debug, Clone, Copy)]
pub struct Ask<'a> {
    /// The site.
    pub site: &'a SiteId,
    /// How many weeks ahead, 1 to [`MOST_WEEKS`].
    pub weeks: u32,
    /// Shifts of wear a week planned for a task, all wearers together; the past stands for a task
    /// that is not named.
    pub plan: &'a BTreeMap<TaskId, f64>,
    /// The instant.
    pub now: Timestamp,
}

/// Why there is no forecast.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ForecastError {
    /// No such site.
    #[error("there is no site `{asked}` in this ledger\n  its sites are: {known}")]
    UnknownSite {
        /// What was asked.
        asked: String,
        /// The sites there are.
        known: String,
    },
    /// Too many weeks, or none.
    #[error("{0} weeks cannot be looked ahead to\n  ask for 1 to {MOST_WEEKS}")]
    Weeks(u32),
    /// A plan for a task that is not there.
    #[error("there is no task `{0}` at this site\n  look at its name in the list of tasks")]
    UnknownTask(TaskId),
    /// A plan that is no number of shifts.
    #[error("{shifts} shifts a week for `{task}` is no plan\n  write a number from 0 to 100000")]
    Plan {
        /// The task.
        task: TaskId,
        /// What was planned.
        shifts: String,
    },
}

/// What a site will use up.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Forecast {
    /// The site.
    pub site: SiteId,
    /// The first day.
    pub from: Date,
    /// How many weeks.
    pub weeks: u32,
    /// How many past weeks it rests on.
    pub history_weeks: usize,
    /// What of the plan should give pause.
    pub cautions: Vec<String>,
    /// Each item.
    pub needs: Vec<Need>,
    /// How it was worked out.
    pub method: &'static str,
}

/// How it was worked out, in words.
const METHOD: &str = "the larger of what past weeks used and what change schedules ask for on the \
roster; the range holds nine of ten cases: counts of past weeks taken as Poisson at an unknown rate \
(negative binomial, prior of Jeffreys), widened where weeks scatter more; a planned roster as Poisson. \
The method is a general one, from memory, checked against SciPy 1.17.1";

/// What is used up.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Item {
    /// Cartridges, filters, filtering facepieces, cleaner and the like, in pieces.
    Stock(StockItem),
    /// Fillings of cylinders.
    CylinderFillings,
}

/// On which figure a need rests.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Basis {
    /// What past weeks used.
    History,
    /// What schedules ask for.
    Schedule,
}

/// What will be used of one item.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Need {
    /// The item.
    pub item: Item,
    /// Its name.
    pub name: String,
    /// Whether a use or a schedule is on record; without either the figures below are nought and say
    /// nothing of what will be needed.
    pub known: bool,
    /// What is expected, pieces.
    pub expected: f64,
    /// The lower end of the range, whole pieces.
    pub low: f64,
    /// The upper end.
    pub high: f64,
    /// What counts.
    pub basis: Basis,
    /// What past weeks used, pieces a week; none where nothing is known of them.
    pub history_per_week: Option<f64>,
    /// What the schedules ask for, pieces a week; none where they give no figure.
    pub schedule_per_week: Option<f64>,
    /// On what it rests, and what is not known.
    pub notes: Vec<String>,
    /// What is left in stock and not past its shelf life today; none where no stock is kept.
    pub in_stock: Option<f64>,
    /// What will be missing at the upper end of the range, with what ends meanwhile left out.
    pub buy: Option<f64>,
    /// The first day of the week in which it will be missing.
    pub buy_by: Option<Date>,
}

/// What `ask.site` will use up in the weeks after `ask.now`, by what is known then.
pub fn forecast(state: &State, ask: &Ask<'_>) -> Result<Forecast, ForecastError> {
    let site = state.site(ask.site).ok_or_else(|| ForecastError::UnknownSite {
        asked: ask.site.to_string(),
        known: state.sites().map(|(id, _)| id.as_str()).collect::<Vec<_>>().join(", "),
    })?;
    check(state, ask)?;
    let zone = site.time_zone.clone().unwrap_or(jiff::tz::TimeZone::UTC);
    let today = zone.to_datetime(ask.now).date();
    let past = Past::of(state, ask.site, &zone, ask.now);
    let shelves = stock::shelves(state, ask.site);
    let asked = Asked::of(state, ask, &past);
    let mut items: BTreeSet<&StockItem> = past.used.keys().chain(asked.0.keys()).collect();
    items.extend(shelves.keys());
    let one = |item: &StockItem| {
        let pieces = pieces(state, item);
        let history = past.used.get(item).map(|weekly| History { weekly, pieces });
        let item_shelves = shelves.get(item).map(Vec::as_slice);
        let outlook = Outlook { history, asked: asked.0.get(item), pieces, ask, today };
        outlook.need(Item::Stock(item.clone()), name(state, item), item_shelves)
    };
    let mut needs: Vec<Need> = items.into_iter().map(one).collect();
    if past.filled.iter().any(|week| *week > 0.0) {
        let history = Some(History { weekly: &past.filled, pieces: 1.0 });
        let outlook = Outlook { history, asked: None, pieces: 1.0, ask, today };
        needs.push(outlook.need(Item::CylinderFillings, "Fillings of cylinders".to_owned(), None));
    }
    let (site, from, weeks, history_weeks) = (ask.site.clone(), today, ask.weeks, past.weeks);
    let cautions = beyond_the_wearers(state, ask);
    Ok(Forecast { site, from, weeks, history_weeks, cautions, needs, method: METHOD })
}

/// The most shifts that one person wears a respirator in a week. Common practice, no source: three
/// shifts on each day are more than anybody works.
const MOST_SHIFTS_A_WEEK: f64 = 21.0;

/// Plans that ask for more wear than all wearers of the site could do.
fn beyond_the_wearers(state: &State, ask: &Ask<'_>) -> Vec<String> {
    let here = state.wearers().filter(|(_, one)| one.site == *ask.site && one.left.is_none());
    let wearers = here.count();
    let most = MOST_SHIFTS_A_WEEK * u32::try_from(wearers).map_or(f64::MAX, f64::from);
    let beyond = ask.plan.iter().filter(|(_, shifts)| most < **shifts);
    let words = |(task, shifts): (&TaskId, &f64)| {
        format!(
            "{shifts} shifts a week are planned for `{task}`, more than the {wearers} wearers of this site could wear: look at the plan"
        )
    };
    beyond.map(words).collect()
}

fn check(state: &State, ask: &Ask<'_>) -> Result<(), ForecastError> {
    if !(1..=MOST_WEEKS).contains(&ask.weeks) {
        return Err(ForecastError::Weeks(ask.weeks));
    }
    for (task, shifts) in ask.plan {
        if state.task(task).is_none_or(|known| known.site != *ask.site) {
            return Err(ForecastError::UnknownTask(task.clone()));
        }
        if !(0.0..=100_000.0).contains(shifts) {
            let shifts = shifts.to_string();
            return Err(ForecastError::Plan { task: task.clone(), shifts });
        }
    }
    Ok(())
}

/// Pieces of one set.
fn pieces(state: &State, item: &StockItem) -> f64 {
    match item {
        StockItem::Elements(kind) => {
            state.element_type(kind).map_or(1.0, |kind| f64::from(kind.count))
        }
        StockItem::Facepieces { .. } | StockItem::Supplies(_) => 1.0,
    }
}

fn name(state: &State, item: &StockItem) -> String {
    match item {
        StockItem::Elements(id) => {
            state.element_type(id).map_or_else(|| id.to_string(), |kind| kind.name.clone())
        }
        StockItem::Facepieces { model, size } => {
            let name = state.model(model).map_or_else(|| model.to_string(), |m| m.name.clone());
            format!("{name}, size {size}")
        }
        StockItem::Supplies(name) => name.clone(),
    }
}

/// What schedules ask for of each item.
struct Asked(BTreeMap<StockItem, Scheduled>);

/// Sets asked for by schedules.
#[derive(Default)]
struct Scheduled {
    /// Sets of each past week, by the schedule and the shifts worn then.
    weekly: Vec<f64>,
    /// Sets a week by a plan.
    planned: f64,
    /// Whether any schedule gave a figure.
    known: bool,
    notes: Vec<String>,
}

impl Asked {
    fn of(state: &State, ask: &Ask<'_>, past: &Past) -> Self {
        let mut asked = Self(BTreeMap::new());
        let weeks = past.weeks.min(ROSTER_WEEKS);
        // Shares of what was worn for a planned task, so that its plan is parted the same way.
        let total = |task: &TaskId| -> f64 {
            let own = past.shifts.iter().filter(|(wearing, _)| wearing.task == *task);
            own.map(|(_, weekly)| recent(weekly, weeks)).sum()
        };
        for (wearing, weekly) in &past.shifts {
            let shifts = recent(weekly, weeks);
            if shifts <= 0.0 {
                continue;
            }
            let per_shift = plan::per_shift(state, wearing, ask.now);
            let scheduled = asked.0.entry(wearing.item.clone()).or_default();
            match ask.plan.get(&wearing.task) {
                Some(planned) => {
                    let share = planned * shifts / total(&wearing.task);
                    scheduled.plan(&wearing.task, share, &per_shift);
                }
                None => {
                    let worn = weekly.get(..weeks).unwrap_or(weekly);
                    scheduled.roster(&wearing.task, worn, &per_shift);
                }
            }
        }
        for (task, planned) in ask.plan {
            if total(task) > 0.0 {
                continue;
            }
            for (kind, per_shift) in plan::adopted(state, task) {
                let scheduled = asked.0.entry(StockItem::Elements(kind)).or_default();
                scheduled.plan(task, *planned, &per_shift);
            }
        }
        asked
    }
}

fn recent(weekly: &Weekly, weeks: usize) -> f64 {
    weekly.iter().take(weeks).sum()
}

impl Scheduled {
    fn plan(&mut self, task: &TaskId, shifts: f64, per_shift: &PerShift) {
        self.note(task, shifts, "planned", per_shift);
        self.planned += shifts * per_shift.sets.unwrap_or(0.0);
    }

    fn roster(&mut self, task: &TaskId, weekly: &[f64], per_shift: &PerShift) {
        let weeks = u32::try_from(weekly.len()).map_or(1.0, f64::from).max(1.0);
        self.note(task, weekly.iter().sum::<f64>() / weeks, "worn", per_shift);
        self.weekly.resize(weekly.len().max(self.weekly.len()), 0.0);
        for (sum, shifts) in self.weekly.iter_mut().zip(weekly) {
            *sum += shifts * per_shift.sets.unwrap_or(0.0);
        }
    }

    fn note(&mut self, task: &TaskId, shifts: f64, how: &str, per_shift: &PerShift) {
        self.known |= per_shift.sets.is_some();
        let words = &per_shift.words;
        self.notes.push(format!("{task}: {shifts:.1} shifts a week {how}; {words}"));
    }
}

/// What past weeks used, in sets.
struct History<'a> {
    weekly: &'a [f64],
    pieces: f64,
}

/// Everything known of one item.
struct Outlook<'a> {
    history: Option<History<'a>>,
    asked: Option<&'a Scheduled>,
    pieces: f64,
    ask: &'a Ask<'a>,
    today: Date,
}

impl Outlook<'_> {
    fn need(&self, item: Item, name: String, shelves: Option<&[Shelf]>) -> Need {
        let history = |weeks| self.of_history(weeks);
        let schedule = |weeks| self.of_schedule(weeks);
        let mut notes = self.asked.map(|asked| asked.notes.clone()).unwrap_or_default();
        let (past, plan) = (history(self.ask.weeks), schedule(self.ask.weeks));
        // No schedule is worked out for a facepiece: one a shift is the most, and what was taken is
        // closer to what will be.
        let binding = !matches!(item, Item::Stock(StockItem::Facepieces { .. }));
        let more = |plan: &Range| past.is_none_or(|past| binding && past.expected < plan.expected);
        let basis = if plan.as_ref().is_some_and(more) { Basis::Schedule } else { Basis::History };
        match (past, plan) {
            (None, Some(_)) => {
                notes.push("no change is on record: the figure is that of the schedule".to_owned());
            }
            (None, None) => notes.push(
                "neither a use nor a schedule is on record: what will be needed is not known"
                    .to_owned(),
            ),
            _ => {}
        }
        let known = past.is_some() || plan.is_some();
        let ahead = |weeks: u32| match basis {
            Basis::History => history(weeks),
            Basis::Schedule => schedule(weeks),
        };
        let range = ahead(self.ask.weeks).unwrap_or(Range { expected: 0.0, low: 0.0, high: 0.0 });
        let weeks = f64::from(self.ask.weeks);
        let mut need = Need {
            item,
            name,
            known,
            expected: range.expected,
            low: range.low,
            high: range.high.ceil(),
            basis,
            history_per_week: past.map(|past| past.expected / weeks),
            schedule_per_week: plan.map(|plan| plan.expected / weeks),
            notes,
            in_stock: None,
            buy: None,
            buy_by: None,
        };
        if let Some(shelves) = shelves {
            let upper = |weeks| ahead(weeks).map_or(0.0, |range| range.high);
            need.hold_against(shelves, self.today, &increments(self.ask.weeks, upper));
        }
        need
    }

    /// By past weeks, in pieces; none where nothing was ever used.
    fn of_history(&self, weeks: u32) -> Option<Range> {
        let history = self.history.as_ref()?;
        Some(interval::from_weeks(history.weekly, weeks).times(history.pieces))
    }

    /// By schedules, in pieces; none where they give no figure.
    fn of_schedule(&self, weeks: u32) -> Option<Range> {
        let asked = self.asked.filter(|asked| asked.known)?;
        let roster = interval::from_weeks(&asked.weekly, weeks);
        let planned = interval::from_mean(asked.planned * f64::from(weeks));
        // Each range holds nine of ten cases, and so their sum holds at least as many.
        Some(roster.plus(planned).times(self.pieces))
    }
}

impl Need {
    fn hold_against(&mut self, shelves: &[Shelf], today: Date, needs: &[f64]) {
        let usable = shelves.iter().filter(|shelf| shelf.until.is_none_or(|day| today <= day));
        self.in_stock = Some(usable.map(|shelf| shelf.left).sum());
        if !self.known {
            return;
        }
        let (missing, first) = stock::missing(shelves, needs, today);
        self.buy = Some(missing.ceil());
        self.buy_by = first.map(|week| stock::after_weeks(today, week));
    }
}

/// What each week adds to what `upper` says of all weeks up to it.
fn increments(weeks: u32, upper: impl Fn(u32) -> f64) -> Vec<f64> {
    let mut before = 0.0;
    let each = (1..=weeks).map(|week| {
        let all = upper(week).max(before);
        let own = all - before;
        before = all;
        own
    });
    each.collect()
}

impl Range {
    fn times(self, pieces: f64) -> Self {
        let Self { expected, low, high } = self;
        Self { expected: expected * pieces, low: low * pieces, high: high * pieces }
    }

    fn plus(self, other: Self) -> Self {
        Self {
            expected: self.expected + other.expected,
            low: self.low + other.low,
            high: self.high + other.high,
        }
    }
}
