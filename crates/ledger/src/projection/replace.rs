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

    /// Whether it is found at once that `rows` and no others stand after this one, up to the last of them.
    async fn leads_to<C: Derived>(&self, rows: &[Self], connection: &mut C) -> sqlx::Result<bool>;

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
    /// Whether anything stood otherwise.
    changed: bool,
}

impl<R: TableRow> Standing<R> {
    pub(super) fn all() -> Self {
        Self { ahead: VecDeque::new(), last: Some(R::BEFORE_ALL), gone: Vec::new(), changed: false }
    }

    /// Has `rows`, which stand in the order of the table after those given before, be there, and
    /// none between them.
    pub(super) async fn put<C: Derived>(
        &mut self,
        connection: &mut C,
        rows: Vec<R>,
    ) -> sqlx::Result<()> {
        let Some(end) = rows.last().cloned() else { return Ok(()) };
        if let Some(last) = &self.last
            && last.leads_to(&rows, connection).await?
        {
            self.last = Some(end);
            return Ok(());
        }
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
        if let Some(last) = &mut self.last {
            // What stands behind these is compared as a whole again.
            self.ahead.clear();
            *last = end;
        }
        self.changed |= !new.is_empty();
        R::add(connection, &new).await
    }

    /// Removes all that still stand; tells whether the table changed.
    pub(super) async fn end<C: Derived>(mut self, connection: &mut C) -> sqlx::Result<bool> {
        while self.first(connection).await?.is_some() {
            self.gone.extend(self.ahead.drain(..));
        }
        self.remove(connection).await?;
        Ok(self.changed)
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
            self.changed = true;
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

    async fn leads_to<C: Derived>(&self, _: &[Self], _: &mut C) -> sqlx::Result<bool> {
        // They may be cut into other pieces.
        Ok(false)
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

    async fn leads_to<C: Derived>(&self, rows: &[Self], connection: &mut C) -> sqlx::Result<bool> {
        let Some(end) = rows.last() else { return Ok(true) };
        let line =
            |row: &Self| json(&(&row.site, row.kind, row.since, row.about, &row.thing, row.nth));
        tells(connection.duties_between(self, end), rows, line).await
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

    async fn leads_to<C: Derived>(&self, rows: &[Self], connection: &mut C) -> sqlx::Result<bool> {
        let Some(end) = rows.last() else { return Ok(true) };
        let line = |row: &Self| json(&(row.key(), &row.name, &row.words, &row.worn));
        tells(connection.things_between(self, end), rows, line).await
    }

    async fn remove<C: Derived>(connection: &mut C, rows: &[Self]) -> sqlx::Result<()> {
        connection.remove_listed(rows).await
    }

    async fn add<C: Derived>(connection: &mut C, rows: &[Self]) -> sqlx::Result<()> {
        connection.add_things(rows).await
    }
}

/// Whether a text that is asked for has exactly the lines of these rows: one long text is read faster than
/// a row for each.
async fn tells<R>(
    asked: impl Future<Output = sqlx::Result<String>>,
    rows: &[R],
    line: impl Fn(&R) -> String,
) -> sqlx::Result<bool> {
    let expected = async { rows.iter().map(line).collect::<Vec<String>>().join("\n") };
    let (told, expected) = tokio::join!(biased; asked, expected);
    Ok(told? == expected)
}

/// A row as a list in JSON.
fn json(row: &impl serde::Serialize) -> String {
    // Numbers and texts always have a form in JSON.
    serde_json::to_string(row).unwrap_or_default()
}

/// What a connection to a database must be able to do for that.
pub(crate) trait Replace {
    /// A page of the things after one.
    async fn things_after(&mut self, after: &ThingRow) -> sqlx::Result<Vec<ThingRow>>;
    /// The things after one up to another as lines of JSON: what stands in the key of their table, as a
    /// list of its own, and all else.
    async fn things_between(&mut self, after: &ThingRow, end: &ThingRow) -> sqlx::Result<String>;
    /// The duties after one up to another as lines of JSON, in the order of the columns.
    async fn duties_between(&mut self, after: &DueRow, end: &DueRow) -> sqlx::Result<String>;
    /// Takes these pieces away.
    async fn remove_pieces(&mut self, rows: &[AboutRow]) -> sqlx::Result<()>;
    /// Takes these duties away.
    async fn remove_duties(&mut self, rows: &[DueRow]) -> sqlx::Result<()>;
    /// Takes these things out of their lists.
    async fn remove_listed(&mut self, rows: &[ThingRow]) -> sqlx::Result<()>;
}

macro_rules! replace {
    ($connection:ty, $database:ty, $joined:literal, $text:literal) => {
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

            async fn things_between(
                &mut self,
                after: &ThingRow,
                end: &ThingRow,
            ) -> sqlx::Result<String> {
                let mut query = sqlx::query_scalar(concat!(
                    "SELECT coalesce(", $joined, "(line, '\n'), '') FROM (SELECT \
                        concat('[[', kind, ',', ", $text, "(site), ',', gone, ',', ",
                        $text, "(sorted), ',', ", $text, "(id), '],', ", $text, "(name), ',', ",
                        $text, "(words), ',', ", $text, "(worn), ']') AS line FROM things \
                        WHERE (kind, site, gone, sorted, id) > ($1, $2, $3, $4, $5) \
                        AND (kind, site, gone, sorted, id) <= ($6, $7, $8, $9, $10) \
                        ORDER BY kind, site, gone, sorted, id) AS lines",
                ));
                for (kind, site, gone, sorted, id) in [after.key(), end.key()] {
                    query = query.bind(kind).bind(site).bind(gone).bind(sorted).bind(id);
                }
                query.fetch_one(self).await
            }

            async fn duties_between(
                &mut self,
                after: &DueRow,
                end: &DueRow,
            ) -> sqlx::Result<String> {
                let mut query = sqlx::query_scalar(concat!(
                    "SELECT coalesce(", $joined, "(line, '\n'), '') FROM (SELECT \
                        concat('[', ", $text, "(site), ',', kind, ',', since, ',', about, ',', ",
                        $text, "(thing), ',', nth, ']') AS line FROM due \
                        WHERE (site, kind, since, about, thing, nth) > ($1, $2, $3, $4, $5, $6) \
                        AND (site, kind, since, about, thing, nth) <= ($7, $8, $9, $10, $11, $12) \
                        ORDER BY site, kind, since, about, thing, nth) AS lines",
                ));
                for row in [after, end] {
                    query = query.bind(row.site.as_str()).bind(row.kind).bind(row.since);
                    query = query.bind(row.about).bind(row.thing.as_str()).bind(row.nth);
                }
                query.fetch_one(self).await
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

replace!(SqliteConnection, Sqlite, "group_concat", "json_quote");
replace!(PgConnection, Postgres, "string_agg", "to_json");
