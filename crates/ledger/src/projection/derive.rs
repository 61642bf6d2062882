//! The duties of things, with their days.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::{Date, date};
use program::due::{DueKind, Duty, Since, duties};
use program::{State, Subject};

use super::load::{Judges, Partial};
use super::{Counted, Derived, DueRow, listed};
use crate::store::ReadError;

/// So many things are looked at together.
pub(super) const THINGS_TOGETHER: usize = 500;

/// The day before every day, for what stands in the way on any day.
pub(super) const ALWAYS: i64 = -10_000_000;
/// The day after every day, for what is over.
pub(super) const OVER: i64 = 10_000_000;

/// Days are counted from this one on.
const FIRST_DAY: Date = date(1970, 1, 1);

/// The number of a day.
pub(super) fn day_number(day: Date) -> i64 {
    i64::from((day - FIRST_DAY).get_days())
}

/// The number of a kind: its place among all.
pub(super) fn kind_number(kind: DueKind) -> i64 {
    let place = DueKind::ALL.iter().position(|one| *one == kind).unwrap_or(DueKind::ALL.len());
    i64::try_from(place).unwrap_or(i64::MAX)
}

/// Finds the duties of `things` and how they stand in their lists, and writes them in the place of
/// those written before.
pub(super) async fn derive<C: Derived>(
    connection: &mut C,
    things: &BTreeSet<Subject>,
) -> Result<(), ReadError> {
    let things: Vec<Subject> = things.iter().cloned().collect();
    let mut judges = Judges::default();
    let mut changes = Changes::default();
    for some in things.chunks(THINGS_TOGETHER) {
        let mut partial = Partial::default();
        partial.read(connection, some.iter().cloned().collect()).await?;
        // A thing that looks like one of these is another one since.
        let twins = some.iter().flat_map(|thing| partial.state.twins(thing)).cloned();
        let some: Vec<Subject> =
            some.iter().cloned().chain(twins.filter(|twin| !things.contains(twin))).collect();
        let some = some.as_slice();
        partial.add_for_due(connection, some, &mut judges).await?;
        let numbered: Vec<(i64, &str)> =
            some.iter().map(|thing| (i64::from(thing.kind()), thing.id())).collect();
        changes.add(&connection.remove_due(&numbered).await?, -1);
        let mut rows: Vec<DueRow> = rows(&partial.state, some).collect();
        rows.sort_unstable();
        connection.add_due(&rows).await?;
        changes.add(&rows, 1);
        connection.remove_things(&numbered).await?;
        connection.add_things(&listed::rows(&partial.state, some)).await?;
    }
    Ok(connection.count(&changes.counted()).await?)
}

/// The duties of some things.
pub(super) fn rows<'s>(
    state: &'s State,
    things: &'s [Subject],
) -> impl Iterator<Item = DueRow> + 's {
    things.iter().flat_map(move |thing| {
        duties(state, thing).into_iter().enumerate().map(move |(nth, duty)| row(thing, nth, &duty))
    })
}

fn row(thing: &Subject, place: usize, duty: &Duty) -> DueRow {
    DueRow {
        site: duty.site.as_ref().map_or_else(String::new, ToString::to_string),
        kind: kind_number(duty.kind),
        since: match duty.since {
            Since::Always => ALWAYS,
            Since::Day(day) => day_number(day),
            Since::Over => OVER,
        },
        about: i64::from(thing.kind()),
        thing: thing.id().to_owned(),
        nth: i64::try_from(place).unwrap_or(i64::MAX),
    }
}

/// How many duties more or less begin on which day.
#[derive(Default)]
pub(super) struct Changes(BTreeMap<(String, i64, i64), i64>);

impl Changes {
    pub(super) fn add(&mut self, rows: &[DueRow], change: i64) {
        for row in rows {
            *self.0.entry((row.site.clone(), row.kind, row.since)).or_default() += change;
        }
    }

    pub(super) fn absorb(&mut self, other: Self) {
        for (place, change) in other.0 {
            *self.0.entry(place).or_default() += change;
        }
    }

    /// Takes off what was counted already.
    pub(super) fn take_off(&mut self, counted: Counted) {
        let Counted { site, kind, since, duties } = counted;
        *self.0.entry((site, kind, since)).or_default() -= duties;
    }

    /// What changed at all.
    pub(super) fn counted(self) -> Vec<Counted> {
        let changed = self.0.into_iter().filter(|(_, duties)| *duties != 0);
        changed.map(|((site, kind, since), duties)| Counted { site, kind, since, duties }).collect()
    }
}
