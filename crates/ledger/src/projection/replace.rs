//! Having a table hold the rows that were derived and no others. They come some at a time, and where these
//! stand there already they are left alone: a server reads a row for less than it writes one.

use sqlx::{PgConnection, SqliteConnection};

use super::listed::ThingRow;
use super::{AboutRow, Derived, DueRow, ROWS_OF_A_PAGE};

/// A row of a derived table.
pub(super) trait TableRow: Clone {
    /// Stands before every row.
    const BEFORE_ALL: Self;

    /// A page of the rows after this one.
    async fn next<C: Derived>(&self, connection: &mut C) -> sqlx::Result<Vec<Self>>;

    /// Whether `rows` and no others stand after this one, up to the last of them.
    async fn leads_to<C: Derived>(&self, rows: &[Self], connection: &mut C) -> sqlx::Result<bool>;

    /// Takes away what stands after this one, up to `end`.
    async fn clear_to<C: Derived>(&self, end: &Self, connection: &mut C) -> sqlx::Result<()>;

    async fn add<C: Derived>(connection: &mut C, rows: &[Self]) -> sqlx::Result<()>;
}

/// A table whose rows are gone through.
pub(super) struct Standing<R> {
    /// Up to this row it is as it shall be.
    last: R,
    /// Whether nothing stands after it.
    ended: bool,
    /// Whether anything stood otherwise.
    changed: bool,
}

impl<R: TableRow> Standing<R> {
    pub(super) const fn all() -> Self {
        Self { last: R::BEFORE_ALL, ended: false, changed: false }
    }

    /// Has `rows`, which stand in the order of the table after those given before, be there, and
    /// none between them.
    pub(super) async fn put<C: Derived>(
        &mut self,
        connection: &mut C,
        rows: &[R],
    ) -> sqlx::Result<()> {
        let Some(end) = rows.last() else { return Ok(()) };
        if self.ended || !self.last.leads_to(rows, connection).await? {
            if !self.ended {
                self.last.clear_to(end, connection).await?;
                self.ended = end.next(connection).await?.is_empty();
            }
            R::add(connection, rows).await?;
            self.changed = true;
        }
        self.last = end.clone();
        Ok(())
    }

    /// Takes away all that still stands; tells whether the table changed.
    pub(super) async fn end<C: Derived>(mut self, connection: &mut C) -> sqlx::Result<bool> {
        while !self.ended
            && let Some(end) = self.last.next(connection).await?.pop()
        {
            self.last.clear_to(&end, connection).await?;
            self.last = end;
            self.changed = true;
        }
        Ok(self.changed)
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

    async fn next<C: Derived>(&self, connection: &mut C) -> sqlx::Result<Vec<Self>> {
        connection.about_after((self.thing, self.first)).await
    }

    async fn leads_to<C: Derived>(&self, rows: &[Self], connection: &mut C) -> sqlx::Result<bool> {
        let Some(end) = rows.last() else { return Ok(true) };
        let write = |row: &Self, to: &mut Vec<u8>| {
            for number in [row.thing, row.first, row.latest] {
                json(&number, to);
                to.push(b' ');
            }
            to.extend_from_slice(row.positions.as_bytes());
        };
        tells(connection.pieces_between(self, end), rows, write).await
    }

    async fn clear_to<C: Derived>(&self, end: &Self, connection: &mut C) -> sqlx::Result<()> {
        connection.clear_pieces(self, end).await
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

    async fn next<C: Derived>(&self, connection: &mut C) -> sqlx::Result<Vec<Self>> {
        connection.due_after(self).await
    }

    async fn leads_to<C: Derived>(&self, rows: &[Self], connection: &mut C) -> sqlx::Result<bool> {
        let Some(end) = rows.last() else { return Ok(true) };
        let write = |row: &Self, to: &mut Vec<u8>| {
            json(&(&row.site, row.kind, row.since, row.about, &row.thing, row.nth), to);
        };
        tells(connection.duties_between(self, end), rows, write).await
    }

    async fn clear_to<C: Derived>(&self, end: &Self, connection: &mut C) -> sqlx::Result<()> {
        connection.clear_duties(self, end).await
    }

    async fn add<C: Derived>(connection: &mut C, rows: &[Self]) -> sqlx::Result<()> {
        connection.add_due(rows).await
    }
}

impl ThingRow {
    /// By what its table is in order.
    fn key(&self) -> (i64, &str, i64, &str, &str) {
        (self.kind, &self.site, self.gone, &self.sorted, &self.id)
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

    async fn next<C: Derived>(&self, connection: &mut C) -> sqlx::Result<Vec<Self>> {
        connection.things_after(self).await
    }

    async fn leads_to<C: Derived>(&self, rows: &[Self], connection: &mut C) -> sqlx::Result<bool> {
        let Some(end) = rows.last() else { return Ok(true) };
        let write = |row: &Self, to: &mut Vec<u8>| {
            json(&(row.key(), &row.name, &row.words, &row.worn), to);
        };
        tells(connection.things_between(self, end), rows, write).await
    }

    async fn clear_to<C: Derived>(&self, end: &Self, connection: &mut C) -> sqlx::Result<()> {
        connection.clear_things(self, end).await
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
    write: impl Fn(&R, &mut Vec<u8>),
) -> sqlx::Result<bool> {
    let expected = async {
        let mut lines = Vec::new();
        for row in rows {
            write(row, &mut lines);
            lines.push(b'\n');
        }
        lines.pop();
        lines
    };
    let (told, expected) = tokio::join!(biased; asked, expected);
    Ok(told?.as_bytes() == expected)
}

/// Appends a row as a list in JSON.
fn json(row: &impl serde::Serialize, to: &mut Vec<u8>) {
    // Numbers and texts always have a form in JSON, and a vector takes all that is written to it.
    serde_json::to_writer(to, row).unwrap_or_default();
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
    /// The pieces after one up to another as lines: their columns, with a space between them.
    async fn pieces_between(&mut self, after: &AboutRow, end: &AboutRow) -> sqlx::Result<String>;
    /// Takes the things after one up to another out of their lists.
    async fn clear_things(&mut self, after: &ThingRow, end: &ThingRow) -> sqlx::Result<()>;
    /// Takes the duties after one up to another away.
    async fn clear_duties(&mut self, after: &DueRow, end: &DueRow) -> sqlx::Result<()>;
    /// Takes the pieces after one up to another away.
    async fn clear_pieces(&mut self, after: &AboutRow, end: &AboutRow) -> sqlx::Result<()>;
}

/// Which rows of a table stand between two others, the second among them.
macro_rules! between {
    (things) => {
        "(kind, site, gone, sorted, id) > ($1, $2, $3, $4, $5) \
         AND (kind, site, gone, sorted, id) <= ($6, $7, $8, $9, $10)"
    };
    (due) => {
        "(site, kind, since, about, thing, nth) > ($1, $2, $3, $4, $5, $6) \
         AND (site, kind, since, about, thing, nth) <= ($7, $8, $9, $10, $11, $12)"
    };
    (about) => {
        "(thing, first) > ($1, $2) AND (thing, first) <= ($3, $4)"
    };
}

/// Names two rows of a table in a query.
macro_rules! name {
    ($query:expr, things, $rows:expr) => {
        $rows.iter().map(|row| row.key()).fold($query, |query, (kind, site, gone, sorted, id)| {
            query.bind(kind).bind(site).bind(gone).bind(sorted).bind(id)
        })
    };
    ($query:expr, due, $rows:expr) => {
        $rows.iter().fold($query, |query, row| {
            let query = query.bind(row.site.as_str()).bind(row.kind).bind(row.since);
            query.bind(row.about).bind(row.thing.as_str()).bind(row.nth)
        })
    };
    ($query:expr, about, $rows:expr) => {
        $rows.iter().fold($query, |query, row| query.bind(row.thing).bind(row.first))
    };
}

macro_rules! replace {
    ($connection:ty, $joined:literal, $text:literal, $positions:literal) => {
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
                let query = sqlx::query_scalar(concat!(
                    "SELECT coalesce(",
                    $joined,
                    "(line, '\n'), '') FROM (SELECT \
                        concat('[[', kind, ',', ",
                    $text,
                    "(site), ',', gone, ',', ",
                    $text,
                    "(sorted), ',', ",
                    $text,
                    "(id), '],', ",
                    $text,
                    "(name), ',', ",
                    $text,
                    "(words), ',', ",
                    $text,
                    "(worn), ']') AS line FROM things WHERE ",
                    between!(things),
                    " ORDER BY kind, site, gone, sorted, id) AS lines",
                ));
                name!(query, things, [after, end]).fetch_one(self).await
            }

            async fn duties_between(
                &mut self,
                after: &DueRow,
                end: &DueRow,
            ) -> sqlx::Result<String> {
                let query = sqlx::query_scalar(concat!(
                    "SELECT coalesce(",
                    $joined,
                    "(line, '\n'), '') FROM (SELECT \
                        concat('[', ",
                    $text,
                    "(site), ',', kind, ',', since, ',', about, ',', ",
                    $text,
                    "(thing), ',', nth, ']') AS line FROM due WHERE ",
                    between!(due),
                    " ORDER BY site, kind, since, about, thing, nth) AS lines",
                ));
                name!(query, due, [after, end]).fetch_one(self).await
            }

            async fn pieces_between(
                &mut self,
                after: &AboutRow,
                end: &AboutRow,
            ) -> sqlx::Result<String> {
                let query = sqlx::query_scalar(concat!(
                    "SELECT coalesce(",
                    $joined,
                    "(line, '\n'), '') FROM (SELECT \
                        concat(thing, ' ', first, ' ', latest, ' ', ",
                    $positions,
                    ") AS line \
                        FROM about WHERE ",
                    between!(about),
                    " ORDER BY thing, first) AS lines",
                ));
                name!(query, about, [after, end]).fetch_one(self).await
            }

            async fn clear_things(&mut self, after: &ThingRow, end: &ThingRow) -> sqlx::Result<()> {
                let query = sqlx::query(concat!("DELETE FROM things WHERE ", between!(things)));
                name!(query, things, [after, end]).execute(self).await.map(|_| ())
            }

            async fn clear_duties(&mut self, after: &DueRow, end: &DueRow) -> sqlx::Result<()> {
                let query = sqlx::query(concat!("DELETE FROM due WHERE ", between!(due)));
                name!(query, due, [after, end]).execute(self).await.map(|_| ())
            }

            async fn clear_pieces(&mut self, after: &AboutRow, end: &AboutRow) -> sqlx::Result<()> {
                let query = sqlx::query(concat!("DELETE FROM about WHERE ", between!(about)));
                name!(query, about, [after, end]).execute(self).await.map(|_| ())
            }
        }
    };
}

replace!(SqliteConnection, "group_concat", "json_quote", "positions");
replace!(PgConnection, "string_agg", "to_json", "translate(positions::text, '{}', '[]')");
