//! Having a table hold the rows that were derived and no others. What stands there already is left
//! alone: where a table was not emptied most does, and a server reads a row for less than it writes
//! one.

use std::collections::VecDeque;

use sqlx::{PgConnection, Postgres, QueryBuilder, Sqlite, SqliteConnection};

use super::listed::ThingRow;
use super::{AboutRow, Derived, DueRow, ROWS_OF_A_PAGE};

/// Rows in one statement: six values each stay below the limit of 32766 on values.
const ROWS_AT_ONCE: usize = 5000;

/// A row of a derived table.
pub(super) trait TableRow: Clone + Eq {
    /// Stands before every row.
    const BEFORE_ALL: Self;

    /// By what its table is in order.
    type Key<'r>: Ord
    where
        Self: 'r;

    fn key(&self) -> Self::Key<'_>;

    /// A page of the rows after this one.
    async fn next<C: Derived>(&self, connection: &mut C) -> sqlx::Result<Vec<Self>>;

    async fn remove<C: Derived>(connection: &mut C, rows: &[Self]) -> sqlx::Result<()>;

    async fn add<C: Derived>(connection: &mut C, rows: &[Self]) -> sqlx::Result<()>;
}

/// The rows that stand in a table and were not compared yet.
pub(super) struct Standing<R> {
    ahead: VecDeque<R>,
    /// The last that was read of the table; none after the end.
    last: Option<R>,
    /// Those that are no more.
    gone: Vec<R>,
}

impl<R: TableRow> Standing<R> {
    pub(super) fn all() -> Self {
        Self { ahead: VecDeque::new(), last: Some(R::BEFORE_ALL), gone: Vec::new() }
    }

    /// Has `rows`, which stand in the order of the table after those given before, be there, and
    /// none between them.
    pub(super) async fn put<C: Derived>(
        &mut self,
        connection: &mut C,
        rows: Vec<R>,
    ) -> sqlx::Result<()> {
        let mut new = Vec::new();
        for row in rows {
            while self.first(connection).await?.is_some_and(|first| first.key() < row.key()) {
                self.gone.extend(self.ahead.pop_front());
            }
            if let Some(same) = self.ahead.pop_front_if(|first| first.key() == row.key()) {
                if same == row {
                    continue;
                }
                self.gone.push(same);
            }
            new.push(row);
        }
        self.remove(connection).await?;
        R::add(connection, &new).await
    }

    /// Removes all that still stand.
    pub(super) async fn end<C: Derived>(mut self, connection: &mut C) -> sqlx::Result<()> {
        while self.first(connection).await?.is_some() {
            self.gone.extend(self.ahead.drain(..));
        }
        self.remove(connection).await
    }

    async fn first<C: Derived>(&mut self, connection: &mut C) -> sqlx::Result<Option<&R>> {
        if self.ahead.is_empty()
            && let Some(last) = self.last.take()
        {
            // No more than a page of them is held.
            self.remove(connection).await?;
            let page = last.next(connection).await?;
            self.last = page.last().cloned();
            self.ahead = page.into();
        }
        Ok(self.ahead.front())
    }

    async fn remove<C: Derived>(&mut self, connection: &mut C) -> sqlx::Result<()> {
        if !self.gone.is_empty() {
            R::remove(connection, &self.gone).await?;
            self.gone.clear();
        }
        Ok(())
    }
}

/// Looks at every row of a table in its order.
pub(super) async fn each<R: TableRow, C: Derived>(
    connection: &mut C,
    mut look: impl FnMut(&R),
) -> sqlx::Result<()> {
    let mut last = R::BEFORE_ALL;
    loop {
        let page = last.next(connection).await?;
        page.iter().for_each(&mut look);
        let Some(row) = page.into_iter().last() else { return Ok(()) };
        last = row;
    }
}

impl TableRow for AboutRow {
    const BEFORE_ALL: Self =
        Self { thing: i64::MIN, first: i64::MIN, latest: i64::MIN, positions: String::new() };

    type Key<'r> = (i64, i64);

    fn key(&self) -> (i64, i64) {
        (self.thing, self.first)
    }

    async fn next<C: Derived>(&self, connection: &mut C) -> sqlx::Result<Vec<Self>> {
        connection.about_after(self.key()).await
    }

    async fn remove<C: Derived>(connection: &mut C, rows: &[Self]) -> sqlx::Result<()> {
        connection.remove_pieces(rows).await
    }

    async fn add<C: Derived>(connection: &mut C, rows: &[Self]) -> sqlx::Result<()> {
        connection.add_about(rows).await
    }
}

impl TableRow for DueRow {
    const BEFORE_ALL: Self = Self {
        site: String::new(),
        kind: i64::MIN,
        since: i64::MIN,
        about: i64::MIN,
        thing: String::new(),
        nth: i64::MIN,
    };

    type Key<'r> = &'r Self;

    fn key(&self) -> &Self {
        self
    }

    async fn next<C: Derived>(&self, connection: &mut C) -> sqlx::Result<Vec<Self>> {
        connection.due_after(self).await
    }

    async fn remove<C: Derived>(connection: &mut C, rows: &[Self]) -> sqlx::Result<()> {
        connection.remove_duties(rows).await
    }

    async fn add<C: Derived>(connection: &mut C, rows: &[Self]) -> sqlx::Result<()> {
        connection.add_due(rows).await
    }
}

impl TableRow for ThingRow {
    const BEFORE_ALL: Self = Self {
        gone: i64::MIN,
        sorted: String::new(),
        id: String::new(),
        site: String::new(),
        kind: i64::MIN,
        name: String::new(),
        words: String::new(),
        worn: String::new(),
    };

    type Key<'r> = (i64, &'r str, i64, &'r str, &'r str);

    fn key(&self) -> Self::Key<'_> {
        (self.kind, &self.site, self.gone, &self.sorted, &self.id)
    }

    async fn next<C: Derived>(&self, connection: &mut C) -> sqlx::Result<Vec<Self>> {
        connection.things_after(self).await
    }

    async fn remove<C: Derived>(connection: &mut C, rows: &[Self]) -> sqlx::Result<()> {
        connection.remove_listed(rows).await
    }

    async fn add<C: Derived>(connection: &mut C, rows: &[Self]) -> sqlx::Result<()> {
        connection.add_things(rows).await
    }
}

/// What a connection to a database must be able to do for that.
pub(crate) trait Replace {
    /// A page of the things after one.
    async fn things_after(&mut self, after: &ThingRow) -> sqlx::Result<Vec<ThingRow>>;
    /// Takes these pieces away.
    async fn remove_pieces(&mut self, rows: &[AboutRow]) -> sqlx::Result<()>;
    /// Takes these duties away.
    async fn remove_duties(&mut self, rows: &[DueRow]) -> sqlx::Result<()>;
    /// Takes these things out of their lists.
    async fn remove_listed(&mut self, rows: &[ThingRow]) -> sqlx::Result<()>;
}

macro_rules! replace {
    ($connection:ty, $database:ty) => {
        impl Replace for $connection {
            async fn things_after(&mut self, after: &ThingRow) -> sqlx::Result<Vec<ThingRow>> {
                let (kind, site, gone, sorted, id) = after.key();
                sqlx::query_as(
                    "SELECT kind, site, gone, sorted, id, name, words, worn FROM things \
                     WHERE (kind, site, gone, sorted, id) > ($1, $2, $3, $4, $5) \
                     ORDER BY kind, site, gone, sorted, id LIMIT $6",
                )
                .bind(kind)
                .bind(site)
                .bind(gone)
                .bind(sorted)
                .bind(id)
                .bind(i64::from(ROWS_OF_A_PAGE))
                .fetch_all(self)
                .await
            }

            async fn remove_pieces(&mut self, rows: &[AboutRow]) -> sqlx::Result<()> {
                for some in rows.chunks(ROWS_AT_ONCE) {
                    let mut query: QueryBuilder<$database> =
                        QueryBuilder::new("DELETE FROM about WHERE (thing, first) IN (");
                    query.push_values(some, |mut tuple, row| {
                        tuple.push_bind(row.thing).push_bind(row.first);
                    });
                    query.push(")").build().execute(&mut *self).await?;
                }
                Ok(())
            }

            async fn remove_duties(&mut self, rows: &[DueRow]) -> sqlx::Result<()> {
                for some in rows.chunks(ROWS_AT_ONCE) {
                    let mut query: QueryBuilder<$database> = QueryBuilder::new(
                        "DELETE FROM due WHERE (site, kind, since, about, thing, nth) IN (",
                    );
                    query.push_values(some, |mut tuple, row| {
                        tuple.push_bind(row.site.as_str()).push_bind(row.kind);
                        tuple.push_bind(row.since).push_bind(row.about);
                        tuple.push_bind(row.thing.as_str()).push_bind(row.nth);
                    });
                    query.push(")").build().execute(&mut *self).await?;
                }
                Ok(())
            }

            async fn remove_listed(&mut self, rows: &[ThingRow]) -> sqlx::Result<()> {
                for some in rows.chunks(ROWS_AT_ONCE) {
                    let mut query: QueryBuilder<$database> = QueryBuilder::new(
                        "DELETE FROM things WHERE (kind, site, gone, sorted, id) IN (",
                    );
                    query.push_values(some, |mut tuple, row| {
                        tuple.push_bind(row.kind).push_bind(row.site.as_str());
                        tuple.push_bind(row.gone).push_bind(row.sorted.as_str());
                        tuple.push_bind(row.id.as_str());
                    });
                    query.push(")").build().execute(&mut *self).await?;
                }
                Ok(())
            }
        }
    };
}

replace!(SqliteConnection, Sqlite);
replace!(PgConnection, Postgres);
