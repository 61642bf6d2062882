use sqlx::{
    ColumnIndex, Database, Decode, Executor, FromRow, IntoArguments, QueryBuilder, Row, Type,
};

use super::listed::{Listing, ThingRow};
use super::page::Page;
use super::replace::Replace;

/// Rows in one page of a long answer.
pub(crate) const ROWS_OF_A_PAGE: u32 = 5000;

/// Rows in one statement of many.
const ROWS_IN_TURN: usize = 1000;

/// Has the database do what `statement` says of some rows after the others; the next statement is made
/// while the database is at the one before.
pub(crate) async fn in_turn<DB: Database, R>(
    connection: &mut DB::Connection,
    rows: &[R],
    statement: fn(&[R]) -> QueryBuilder<DB>,
) -> sqlx::Result<()>
where
    DB::Arguments: IntoArguments<DB>,
    for<'c> &'c mut DB::Connection: Executor<'c, Database = DB>,
{
    let mut statements = rows.chunks(ROWS_IN_TURN).map(statement);
    let mut next = statements.next();
    while let Some(mut one) = next {
        let work = one.build().execute(&mut *connection);
        let (done, made) = tokio::join!(biased; work, async { statements.next() });
        done?;
        next = made;
    }
    Ok(())
}

/// What a connection to a database must be able to do for the derived tables.
pub(crate) trait Derived: Listing + Replace {
    /// How far the tables are derived; none where they never were.
    async fn through(&mut self) -> sqlx::Result<Option<Through>>;
    /// The position of the last entry, 0 where there is none.
    async fn last(&mut self) -> sqlx::Result<i64>;
    /// A page of the entries after a position: no entry between them is left out.
    async fn entries_after(&mut self, after: i64) -> sqlx::Result<Page>;
    /// The entries with these ids.
    async fn entries_with_ids(&mut self, ids: &[&str]) -> sqlx::Result<Page>;
    /// A page of the entries about these things that stand after a position. Those that happened at
    /// `happened_after` or before may be left out.
    async fn entries_about(
        &mut self,
        things: &[i64],
        happened_after: i64,
        after: i64,
    ) -> sqlx::Result<Page>;
    /// Those of these things on which any entry bears.
    async fn known(&mut self, things: &[i64]) -> sqlx::Result<Vec<i64>>;
    /// A page of the pieces after a thing and the first position of a piece of it.
    async fn about_after(&mut self, after: (i64, i64)) -> sqlx::Result<Vec<AboutRow>>;
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

    /// Empties those of the derived tables of which it is faster than to find what differs, where most of
    /// what they hold `stands` or not; a thing and its duties are found fast again after
    /// [`Self::index`].
    async fn clear(&mut self, stands: bool) -> sqlx::Result<()>;
    /// Has a thing and its duties found fast.
    async fn index(&mut self) -> sqlx::Result<()>;
    /// Adds the pieces whose first position is not that of one already there.
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

/// One row of `about`: a piece of the entries that bear on a thing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct AboutRow {
    pub(crate) thing: i64,
    pub(crate) first: i64,
    pub(crate) latest: i64,
    /// The positions as a list in JSON.
    pub(crate) positions: String,
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
    Page { entries, last, text }
    Through { position, derived }
    AboutRow { thing, first, latest, positions }
    DueRow { site, kind, since, about, thing, nth }
    Counted { site, kind, since, duties }
    ThingRow { gone, sorted, id, site, kind, name, words, worn }
}
