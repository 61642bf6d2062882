//! What is due, by the derived tables.

use std::collections::BTreeSet;

use jiff::Timestamp;
use program::due::{Days, Due, DueKind, Urgency, duties};
use program::{SiteId, State, Subject};
use rulebook::Finding;
use rulebook::ask::guarded;
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
    /// How many are left out before the first that is told.
    pub skip: usize,
    /// How many are told at most.
    pub limit: usize,
    /// Whether so many are left out and told of each kind, or of all kinds together.
    pub of_each_kind: bool,
}

/// What is due.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DueAnswer {
    /// Why none of it can be relied on, where guards of the database are missing.
    pub unguarded: Option<Finding>,
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
) -> Result<(DueAnswer, State), ReadError> {
    // Before a connection is held, so that nobody who holds one waits for another.
    let unguarded = guarded::check(&store.unguarded().await?);
    let mut reading = store.reading().await?;
    let connection = &mut *reading;
    let sites = match &question.site {
        Some(site) => vec![site.to_string()],
        None => connection.sites_with_duties().await?,
    };
    let state = load::of_site(connection, sites.iter().map(SiteId::new)).await?;
    let mut groups = Vec::new();
    for site in sites {
        let days = Days::at(&state, Some(&SiteId::new(&site)), now, question.days);
        for urgency in URGENCIES {
            let span = span(urgency, &days);
            for counted in connection.counts_on(&site, span).await? {
                groups.extend(Group::of(counted, urgency, span));
            }
        }
    }
    groups.retain(|group| question.kind.is_none_or(|kind| kind == group.kind));
    groups.sort_by_key(|group| (group.kind, group.urgency));
    let mut rows = Vec::new();
    if question.of_each_kind {
        for of_kind in groups.chunk_by(|a, b| a.kind == b.kind) {
            rows.extend(first(connection, of_kind, question).await?);
        }
    } else {
        rows = first(connection, &groups, question).await?;
    }
    let (first, told) = tell(connection, &rows, (now, question.days)).await?;
    Ok((DueAnswer { unguarded, counts: counts(&groups), first }, told))
}

/// The duties of one kind and urgency at one site.
struct Group {
    kind: DueKind,
    urgency: Urgency,
    site: String,
    span: (i64, i64),
    duties: u64,
}

impl Group {
    fn of(counted: Counted, urgency: Urgency, span: (i64, i64)) -> Option<Self> {
        let kind = *DueKind::ALL.get(usize::try_from(counted.kind).ok()?)?;
        let duties = u64::try_from(counted.duties).ok().filter(|duties| *duties > 0)?;
        Some(Self { kind, urgency, site: counted.site, span, duties })
    }

    fn is_of_one_with(&self, other: &Self) -> bool {
        (self.kind, self.urgency) == (other.kind, other.urgency)
    }
}

fn counts(groups: &[Group]) -> Vec<DueCount> {
    let count = |of_one: &[Group]| {
        let Group { kind, urgency, .. } = of_one.first()?;
        let duties = of_one.iter().map(|group| group.duties).sum();
        Some(DueCount { kind: *kind, urgency: *urgency, duties })
    };
    groups.chunk_by(Group::is_of_one_with).filter_map(count).collect()
}

/// The first duties after those left out, in the order of kind, urgency, day and thing.
async fn first<C: Derived>(
    connection: &mut C,
    groups: &[Group],
    question: &DueQuestion,
) -> Result<Vec<DueRow>, ReadError> {
    let limit = question.skip.saturating_add(question.limit);
    let mut first = Vec::new();
    for of_one in groups.chunk_by(Group::is_of_one_with) {
        let left = limit.saturating_sub(first.len());
        if left == 0 {
            break;
        }
        let mut rows = Vec::new();
        for group in of_one {
            let of = (group.site.as_str(), kind_number(group.kind));
            let at_most = i64::try_from(left).unwrap_or(i64::MAX);
            rows.extend(connection.due_on(of, group.span, at_most).await?);
        }
        rows.sort_by(|a, b| key(a).cmp(&key(b)));
        rows.truncate(left);
        first.append(&mut rows);
    }
    Ok(first.split_off(question.skip.min(first.len())))
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
) -> Result<(Vec<Due>, State), ReadError> {
    let thing = |row: &DueRow| Subject::of(u8::try_from(row.about).ok()?, &row.thing);
    let things: BTreeSet<Subject> = rows.iter().filter_map(thing).collect();
    let mut partial = Partial::default();
    partial.read(connection, things.clone()).await?;
    let things: Vec<Subject> = things.into_iter().collect();
    partial.add_for_due(connection, &things, &mut Judges::default()).await?;
    let one = |row: &DueRow| {
        let due = thing(row).and_then(|thing| told(&partial.state, &thing, row.nth, (now, days)));
        due.ok_or_else(|| ReadError::Underived { thing: row.thing.clone() })
    };
    let told = rows.iter().map(one).collect::<Result<_, _>>()?;
    Ok((told, partial.state))
}

fn told(state: &State, thing: &Subject, nth: i64, (now, days): (Timestamp, i64)) -> Option<Due> {
    let duty = duties(state, thing).into_iter().nth(usize::try_from(nth).ok()?)?;
    duty.at(&Days::at(state, duty.site.as_ref(), now, days))
}
