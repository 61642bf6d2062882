//! What is due, by the derived tables.

use std::collections::{BTreeMap, BTreeSet};

use jiff::Timestamp;
use program::due::{Days, Due, DueKind, Urgency, duties};
use program::{Part, SiteId, State, Subject};
use serde::Serialize;

use super::derive::{ALWAYS, OVER, day_number, kind_number};
use super::load::{self, Judges, Partial};
use super::{Counted, Derived, DueRow};
use crate::store::{ReadError, Store};

/// What is asked of the duties.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DueQuestion {
    /// One site, or all.
    pub site: Option<SiteId>,
    /// One kind, or all.
    pub kind: Option<DueKind>,
    /// How many days ahead.
    pub days: i64,
    /// How many are told at most.
    pub limit: usize,
}

/// What is due.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DueAnswer {
    /// How many there are in all, in the order of kind and urgency; none is left out that is above
    /// zero.
    pub counts: Vec<DueCount>,
    /// The first of them, in the order of kind, urgency, day and thing.
    pub first: Vec<Due>,
}

/// How many duties of a kind there are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct DueCount {
    /// The kind.
    pub kind: DueKind,
    /// Now, soon or over.
    pub urgency: Urgency,
    /// How many.
    pub duties: u64,
}

/// The order in which urgencies are told.
const URGENCIES: [Urgency; 3] = [Urgency::Now, Urgency::Soon, Urgency::Over];

pub(crate) async fn due<S: Store>(
    store: &S,
    question: &DueQuestion,
    now: Timestamp,
) -> Result<DueAnswer, ReadError> {
    let mut reading = store.reading().await?;
    let connection = &mut *reading;
    let mut counted = connection.counts().await?;
    counted.retain(|row| question.site.as_ref().is_none_or(|site| site.as_str() == row.site));
    let kind = question.kind.map(kind_number);
    counted.retain(|row| kind.is_none_or(|kind| kind == row.kind));
    let sites: BTreeSet<&str> = counted.iter().map(|row| row.site.as_str()).collect();
    let sites: Vec<SiteId> = sites.into_iter().map(SiteId::new).collect();
    let state = load::of_site(connection, sites.iter().cloned()).await?;
    let days = sites.into_iter().map(|site| {
        let days = Days::at(&state, Some(&site), now, question.days);
        (site.to_string(), days)
    });
    let found = Found { days: days.collect(), counted };
    let rows = found.first(connection, question.limit).await?;
    let first = tell(connection, &rows, (now, question.days)).await?;
    Ok(DueAnswer { counts: found.counts(), first })
}

/// The numbers of the duties, and the days of each site.
struct Found {
    days: BTreeMap<String, Days>,
    counted: Vec<Counted>,
}

impl Found {
    /// Of which urgency what begins on a day of a site is; none where it is too far ahead.
    fn urgency(&self, row: &Counted) -> Option<Urgency> {
        let days = self.days.get(&row.site)?;
        URGENCIES.into_iter().find(|urgency| {
            let (first, last) = span(*urgency, days);
            first <= row.since && row.since <= last
        })
    }

    fn counts(&self) -> Vec<DueCount> {
        let mut sums: BTreeMap<(DueKind, Urgency), i64> = BTreeMap::new();
        for row in &self.counted {
            let kind = usize::try_from(row.kind).ok().and_then(|place| DueKind::ALL.get(place));
            if let Some(of) = kind.copied().zip(self.urgency(row)) {
                *sums.entry(of).or_default() += row.duties;
            }
        }
        let count = |((kind, urgency), duties)| DueCount {
            kind,
            urgency,
            duties: u64::try_from(duties).unwrap_or_default(),
        };
        sums.into_iter().map(count).collect()
    }

    /// The first duties in the order of kind, urgency, day and thing.
    async fn first<C: Derived>(
        &self,
        connection: &mut C,
        limit: usize,
    ) -> Result<Vec<DueRow>, ReadError> {
        let mut first = Vec::new();
        let mut groups: BTreeMap<(i64, Urgency), BTreeSet<&str>> = BTreeMap::new();
        for row in &self.counted {
            if let Some(urgency) = self.urgency(row) {
                groups.entry((row.kind, urgency)).or_default().insert(&row.site);
            }
        }
        for ((kind, urgency), sites) in groups {
            let left = limit.saturating_sub(first.len());
            if left == 0 {
                break;
            }
            let mut group = Vec::new();
            for site in sites {
                let Some(days) = self.days.get(site) else { continue };
                let left = i64::try_from(left).unwrap_or(i64::MAX);
                group.extend(connection.due_on((site, kind), span(urgency, days), left).await?);
            }
            group.sort_by(|a, b| key(a).cmp(&key(b)));
            group.truncate(left);
            first.append(&mut group);
        }
        Ok(first)
    }
}

/// The order within a kind and urgency.
fn key(row: &DueRow) -> (i64, i64, &str, i64) {
    (row.since, row.about, &row.thing, row.nth)
}

/// The numbers of the days on which what is of an urgency begins.
fn span(urgency: Urgency, days: &Days) -> (i64, i64) {
    let (today, ahead) = (day_number(days.today), day_number(days.ahead));
    match urgency {
        Urgency::Now => (ALWAYS, today),
        Urgency::Soon => (today + 1, ahead),
        Urgency::Over => (OVER, OVER),
    }
}

/// Has the things of `rows` tell their duties.
async fn tell<C: Derived>(
    connection: &mut C,
    rows: &[DueRow],
    (now, days): (Timestamp, i64),
) -> Result<Vec<Due>, ReadError> {
    let thing = |row: &DueRow| Subject::of(u8::try_from(row.about).ok()?, &row.thing);
    let things: BTreeSet<Subject> = rows.iter().filter_map(thing).collect();
    let things: Vec<Subject> = things.into_iter().collect();
    let mut partial = Partial::default();
    partial.add(connection, Part::Folded, &things, i64::MIN).await?;
    partial.add_for_due(connection, &things, &mut Judges::default()).await?;
    let one = |row: &DueRow| {
        let due = thing(row).and_then(|thing| told(&partial.state, &thing, row.nth, (now, days)));
        due.ok_or_else(|| ReadError::Underived { thing: row.thing.clone() })
    };
    rows.iter().map(one).collect()
}

fn told(state: &State, thing: &Subject, nth: i64, (now, days): (Timestamp, i64)) -> Option<Due> {
    let duty = duties(state, thing).into_iter().nth(usize::try_from(nth).ok()?)?;
    duty.at(&Days::at(state, duty.site.as_ref(), now, days))
}
