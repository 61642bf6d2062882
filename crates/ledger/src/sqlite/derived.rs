//! The derived tables.

use sqlx::{AssertSqlSafe, QueryBuilder, Sqlite, SqliteConnection};

use crate::projection::{
    AboutRow, Counted, Derived, DueRow, Page, ROWS_OF_A_PAGE, Through, in_turn,
};

/// KiB of pages that are kept at hand while everything is derived: what is written in its order is then
/// read once and written once. Otherwise 2000 are, as SQLite has it.
const MUCH_CACHE: u32 = 16_384;

/// Numbers as one value, to be taken apart by `json_each`.
fn list<T: serde::Serialize>(values: &[T]) -> String {
    // Numbers and texts always have a form in JSON.
    serde_json::to_string(values).unwrap_or_default()
}

/// Has the rows of a question come as one page.
macro_rules! page {
    ($rows:literal) => {
        concat!(
            "SELECT count(*) AS entries, coalesce(max(position), 0) AS last, \
             coalesce(group_concat(position || ' ' || payload, char(10)), '') AS text FROM (",
            $rows,
            ")"
        )
    };
}

impl Derived for SqliteConnection {
    async fn through(&mut self) -> sqlx::Result<Option<Through>> {
        sqlx::query_as("SELECT position, derived FROM projected").fetch_optional(self).await
    }

    async fn last(&mut self) -> sqlx::Result<i64> {
        sqlx::query_scalar("SELECT coalesce(max(position), 0) FROM entries").fetch_one(self).await
    }

    async fn entries_after(&mut self, after: i64) -> sqlx::Result<Page> {
        let query = sqlx::query_as(page!(
            "SELECT position, payload FROM entries WHERE position > ? ORDER BY position LIMIT ?"
        ));
        query.bind(after).bind(ROWS_OF_A_PAGE).fetch_one(self).await
    }

    async fn entries_with_ids(&mut self, ids: &[&str]) -> sqlx::Result<Page> {
        let query = sqlx::query_as(page!(
            "SELECT position, payload FROM entries WHERE id IN (SELECT value FROM json_each(?))"
        ));
        query.bind(list(ids)).fetch_one(self).await
    }

    async fn entries_about(
        &mut self,
        things: &[i64],
        happened_after: i64,
        after: i64,
    ) -> sqlx::Result<Page> {
        let query = sqlx::query_as(page!(
            "SELECT position, payload FROM entries WHERE position IN ( \
                SELECT one.value FROM json_each(?) AS wanted \
                CROSS JOIN about ON about.thing = wanted.value AND about.latest > ? \
                CROSS JOIN json_each(about.positions) AS one WHERE one.value > ?) \
             ORDER BY position LIMIT ?"
        ));
        let query = query.bind(list(things)).bind(happened_after).bind(after).bind(ROWS_OF_A_PAGE);
        query.fetch_one(self).await
    }

    async fn known(&mut self, things: &[i64]) -> sqlx::Result<Vec<i64>> {
        sqlx::query_scalar(
            "SELECT value FROM json_each(?) AS wanted \
             WHERE EXISTS (SELECT 1 FROM about WHERE about.thing = wanted.value)",
        )
        .bind(list(things))
        .fetch_all(self)
        .await
    }

    async fn about_after(&mut self, (thing, first): (i64, i64)) -> sqlx::Result<Vec<AboutRow>> {
        sqlx::query_as(
            "SELECT thing, first, latest, positions FROM about WHERE (thing, first) > (?, ?) \
             ORDER BY thing, first LIMIT ?",
        )
        .bind(thing)
        .bind(first)
        .bind(ROWS_OF_A_PAGE)
        .fetch_all(self)
        .await
    }

    async fn due_after(&mut self, after: &DueRow) -> sqlx::Result<Vec<DueRow>> {
        sqlx::query_as(
            "SELECT site, kind, since, about, thing, nth FROM due \
             WHERE (site, kind, since, about, thing, nth) > (?, ?, ?, ?, ?, ?) \
             ORDER BY site, kind, since, about, thing, nth LIMIT ?",
        )
        .bind(&after.site)
        .bind(after.kind)
        .bind(after.since)
        .bind(after.about)
        .bind(&after.thing)
        .bind(after.nth)
        .bind(ROWS_OF_A_PAGE)
        .fetch_all(self)
        .await
    }

    async fn due_on(
        &mut self,
        (site, kind): (&str, i64),
        (first, last): (i64, i64),
        limit: i64,
    ) -> sqlx::Result<Vec<DueRow>> {
        sqlx::query_as(
            "SELECT site, kind, since, about, thing, nth FROM due \
             WHERE site = ? AND kind = ? AND since BETWEEN ? AND ? \
             ORDER BY since, about, thing, nth LIMIT ?",
        )
        .bind(site)
        .bind(kind)
        .bind(first)
        .bind(last)
        .bind(limit)
        .fetch_all(self)
        .await
    }

    async fn counts(&mut self) -> sqlx::Result<Vec<Counted>> {
        sqlx::query_as("SELECT site, kind, since, duties FROM due_count ORDER BY site, kind, since")
            .fetch_all(self)
            .await
    }

    async fn sites_with_duties(&mut self) -> sqlx::Result<Vec<String>> {
        sqlx::query_scalar("SELECT DISTINCT site FROM due_count ORDER BY site")
            .fetch_all(self)
            .await
    }

    async fn counts_on(
        &mut self,
        site: &str,
        (first, last): (i64, i64),
    ) -> sqlx::Result<Vec<Counted>> {
        sqlx::query_as(
            "SELECT site, kind, min(since) AS since, sum(duties) AS duties FROM due_count \
             WHERE site = ? AND since BETWEEN ? AND ? \
             GROUP BY site, kind ORDER BY kind",
        )
        .bind(site)
        .bind(first)
        .bind(last)
        .fetch_all(self)
        .await
    }

    async fn clear(&mut self, stands: bool) -> sqlx::Result<()> {
        let mut all = format!("PRAGMA cache_size = -{MUCH_CACHE};");
        if !stands {
            all += "DELETE FROM about; DELETE FROM due; DELETE FROM due_count; DELETE FROM things; \
                 DROP INDEX IF EXISTS due_of_thing; DROP INDEX IF EXISTS thing_by_id;";
        }
        sqlx::raw_sql(AssertSqlSafe(all)).execute(self).await.map(|_| ())
    }

    async fn index(&mut self) -> sqlx::Result<()> {
        sqlx::raw_sql(
            "CREATE INDEX IF NOT EXISTS due_of_thing ON due (about, thing); \
             CREATE INDEX IF NOT EXISTS thing_by_id ON things (kind, id); \
             PRAGMA cache_size = -2000",
        )
        .execute(self)
        .await
        .map(|_| ())
    }

    async fn add_about(&mut self, rows: &[AboutRow]) -> sqlx::Result<()> {
        in_turn::<Sqlite, _>(self, rows, |some| {
            let mut query =
                QueryBuilder::new("INSERT OR IGNORE INTO about (thing, first, latest, positions) ");
            query.push_values(some, |mut tuple, row| {
                tuple
                    .push_bind(row.thing)
                    .push_bind(row.first)
                    .push_bind(row.latest)
                    .push_bind(row.positions.as_str());
            });
            query
        })
        .await
    }

    async fn remove_due(&mut self, things: &[(i64, &str)]) -> sqlx::Result<Vec<DueRow>> {
        sqlx::query_as(
            "DELETE FROM due WHERE (about, thing) IN \
                (SELECT value ->> 0, value ->> 1 FROM json_each(?)) \
             RETURNING site, kind, since, about, thing, nth",
        )
        .bind(list(things))
        .fetch_all(self)
        .await
    }

    async fn add_due(&mut self, rows: &[DueRow]) -> sqlx::Result<()> {
        in_turn::<Sqlite, _>(self, rows, |some| {
            let mut query =
                QueryBuilder::new("INSERT INTO due (site, kind, since, about, thing, nth) ");
            query.push_values(some, |mut tuple, row| {
                tuple
                    .push_bind(row.site.as_str())
                    .push_bind(row.kind)
                    .push_bind(row.since)
                    .push_bind(row.about)
                    .push_bind(row.thing.as_str())
                    .push_bind(row.nth);
            });
            query
        })
        .await
    }

    async fn count(&mut self, changes: &[Counted]) -> sqlx::Result<()> {
        in_turn::<Sqlite, _>(self, changes, |some| {
            let mut query = QueryBuilder::new("INSERT INTO due_count (site, kind, since, duties) ");
            query.push_values(some, |mut tuple, row| {
                tuple
                    .push_bind(row.site.as_str())
                    .push_bind(row.kind)
                    .push_bind(row.since)
                    .push_bind(row.duties);
            });
            query.push(
                " ON CONFLICT (site, kind, since) DO UPDATE SET duties = duties + excluded.duties",
            );
            query
        })
        .await?;
        sqlx::query("DELETE FROM due_count WHERE duties = 0").execute(self).await.map(|_| ())
    }

    async fn set_through(&mut self, through: &Through) -> sqlx::Result<()> {
        sqlx::query(
            "INSERT INTO projected (one, position, derived) VALUES (1, ?, ?) \
             ON CONFLICT (one) DO UPDATE SET position = excluded.position, derived = excluded.derived",
        )
        .bind(through.position)
        .bind(&through.derived)
        .execute(self)
        .await
        .map(|_| ())
    }
}
