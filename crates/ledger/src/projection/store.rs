use program::Entry;
use sqlx::{ColumnIndex, Database, Decode, FromRow, Row, Type};

use super::listed::{Listing, ThingRow};
use crate::hashed_form;
use crate::store::ReadError;

/// Rows in one page of a long answer.
pub(crate) const ROWS_OF_A_PAGE: u32 = 20_000;

/// What a connection to a database must be able to do for the derived tables.
pub(crate) trait Derived: Listing {
    /// How far the tables are derived; none where they never were.
    async fn through(&mut self) -> sqlx::Result<Option<Through>>;
    /// The position of the last entry, 0 where there is none.
    async fn last(&mut self) -> sqlx::Result<i64>;
    /// A page of the entries after a position, in order.
    async fn entries_after(&mut self, after: i64) -> sqlx::Result<Vec<Kept>>;
    /// The entries with these ids.
    async fn entries_with_ids(&mut self, ids: &[&str]) -> sqlx::Result<Vec<Kept>>;
    /// A page of the entries about these things that happened after an instant and stand after a
    /// position, in order.
    async fn entries_about(
        &mut self,
        things: &[i64],
        happened_after: i64,
        after: i64,
    ) -> sqlx::Result<Vec<Kept>>;
    /// Those of these things on which any entry bears.
    async fn known(&mut self, things: &[i64]) -> sqlx::Result<Vec<i64>>;
    /// A page of the rows after a row.
    async fn about_after(&mut self, after: AboutRow) -> sqlx::Result<Vec<AboutRow>>;
    /// A page of the duties after a duty.
    async fn due_after(&mut self, after: &DueRow) -> sqlx::Result<Vec<DueRow>>;
    /// Duties of a site and kind that begin on these days, both included, in the order of their
    /// days and things; at most so many.
    async fn due_on(
        &mut self,
        of: (&str, i64),
        days: (i64, i64),
        limit: i64,
    ) -> sqlx::Result<Vec<DueRow>>;
    /// How many duties begin on which day.
    async fn counts(&mut self) -> sqlx::Result<Vec<Counted>>;
    /// The sites that have duties.
    async fn sites_with_duties(&mut self) -> sqlx::Result<Vec<String>>;
    /// How many duties of each kind a site has that begin on these days, both included; `since` is
    /// then the first day.
    async fn counts_on(&mut self, site: &str, days: (i64, i64)) -> sqlx::Result<Vec<Counted>>;

    /// Empties the derived tables.
    async fn clear(&mut self) -> sqlx::Result<()>;
    /// Adds rows that are not there yet.
    async fn add_about(&mut self, rows: &[AboutRow]) -> sqlx::Result<()>;
    /// Takes the duties of these things away and gives them.
    async fn remove_due(&mut self, things: &[(i64, &str)]) -> sqlx::Result<Vec<DueRow>>;
    /// Adds duties.
    async fn add_due(&mut self, rows: &[DueRow]) -> sqlx::Result<()>;
    /// Changes how many duties begin on which day.
    async fn count(&mut self, changes: &[Counted]) -> sqlx::Result<()>;
    /// Notes how far the tables are derived.
    async fn set_through(&mut self, through: &Through) -> sqlx::Result<()>;
}

/// How far the tables are derived, and by which rules of deriving.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Through {
    pub(crate) position: i64,
    pub(crate) derived: String,
}

/// An entry as its database keeps it.
#[derive(Debug, Clone)]
pub(crate) struct Kept {
    pub(crate) position: i64,
    pub(crate) payload: String,
}

impl Kept {
    /// The entry, and its place in the chain of its site.
    pub(crate) fn read(&self) -> Result<(u64, Entry), ReadError> {
        let unreadable = |why: String| ReadError::Unreadable { position: self.position, why };
        let form = hashed_form::read(&self.payload).map_err(unreadable)?;
        let seq = form.seq;
        let entry = form.into_entry();
        let entry =
            entry.ok_or_else(|| unreadable("it holds a time outside the calendar".into()))?;
        Ok((seq, entry))
    }
}

/// One row of `about`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct AboutRow {
    pub(crate) thing: i64,
    pub(crate) happened: i64,
    pub(crate) position: i64,
}

/// One row of `due`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct DueRow {
    pub(crate) site: String,
    pub(crate) kind: i64,
    pub(crate) since: i64,
    pub(crate) about: i64,
    pub(crate) thing: String,
    pub(crate) nth: i64,
}

impl DueRow {
    /// Stands before every row.
    pub(crate) const BEFORE_ALL: Self = Self {
        site: String::new(),
        kind: i64::MIN,
        since: i64::MIN,
        about: i64::MIN,
        thing: String::new(),
        nth: i64::MIN,
    };
}

/// One row of `due_count`, or a change to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Counted {
    pub(crate) site: String,
    pub(crate) kind: i64,
    pub(crate) since: i64,
    pub(crate) duties: i64,
}

/// Reads a row of either database by the names of its columns.
macro_rules! read_by_name {
    ($($row:ident { $($column:ident),+ })+) => { $(
        impl<'r, R: Row> FromRow<'r, R> for $row
        where
            &'static str: ColumnIndex<R>,
            i64: Decode<'r, R::Database> + Type<R::Database>,
            String: Decode<'r, R::Database> + Type<R::Database>,
            R::Database: Database,
        {
            fn from_row(row: &'r R) -> sqlx::Result<Self> {
                Ok(Self { $($column: row.try_get(stringify!($column))?),+ })
            }
        }
    )+ };
}

read_by_name! {
    Through { position, derived }
    Kept { position, payload }
    AboutRow { thing, happened, position }
    DueRow { site, kind, since, about, thing, nth }
    Counted { site, kind, since, duties }
    ThingRow { gone, sorted, id, site, kind, name, words, worn }
}
