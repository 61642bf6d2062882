//! The derived tables.

use sqlx::PgConnection;

use crate::projection::{AboutRow, Counted, Derived, DueRow, Page, ROWS_OF_A_PAGE, Through};

/// Rows in one message to the server.
const ROWS_AT_ONCE: usize = 50_000;

/// Has the rows of a question come as one page.
macro_rules! page {
    ($rows:literal) => {
        concat!(
            "SELECT count(*) AS entries, coalesce(max(position), 0) AS last, \
             coalesce(string_agg(position || ' ' || payload, chr(10)), '') AS text FROM (",
            $rows,
            ") AS rows"
        )
    };
}

impl Derived for PgConnection {
    async fn through(&mut self) -> sqlx::Result<Option<Through>> {
        sqlx::query_as("SELECT position, derived FROM projected").fetch_optional(self).await
    }

    async fn last(&mut self) -> sqlx::Result<i64> {
        sqlx::query_scalar("SELECT coalesce(max(position), 0) FROM entries").fetch_one(self).await
    }

    async fn entries_after(&mut self, after: i64) -> sqlx::Result<Page> {
        let query = sqlx::query_as(page!(
            "SELECT position, payload FROM entries WHERE position > $1 ORDER BY position LIMIT $2"
        ));
        query.bind(after).bind(i64::from(ROWS_OF_A_PAGE)).fetch_one(self).await
    }

    async fn entries_with_ids(&mut self, ids: &[&str]) -> sqlx::Result<Page> {
        let query =
            sqlx::query_as(page!("SELECT position, payload FROM entries WHERE id = ANY($1)"));
        query.bind(ids).fetch_one(self).await
    }

    async fn entries_about(
        &mut self,
        things: &[i64],
        happened_after: i64,
        after: i64,
    ) -> sqlx::Result<Page> {
        let query = sqlx::query_as(page!(
            "SELECT position, payload FROM entries WHERE position = ANY(ARRAY( \
                SELECT one FROM about CROSS JOIN unnest(about.positions) AS one \
                WHERE about.thing = ANY($1) AND about.latest > $2 AND one > $3)) \
             ORDER BY position LIMIT $4"
        ));
        let query = query.bind(things).bind(happened_after).bind(after);
        query.bind(i64::from(ROWS_OF_A_PAGE)).fetch_one(self).await
    }

    async fn known(&mut self, things: &[i64]) -> sqlx::Result<Vec<i64>> {
        sqlx::query_scalar("SELECT DISTINCT thing FROM about WHERE thing = ANY($1)")
            .bind(things)
            .fetch_all(self)
            .await
    }

    async fn about_after(&mut self, (thing, first): (i64, i64)) -> sqlx::Result<Vec<AboutRow>> {
        sqlx::query_as(
            "SELECT thing, first, latest, array_to_json(positions)::text AS positions FROM about \
             WHERE (thing, first) > ($1, $2) ORDER BY thing, first LIMIT $3",
        )
        .bind(thing)
        .bind(first)
        .bind(i64::from(ROWS_OF_A_PAGE))
        .fetch_all(self)
        .await
    }

    async fn due_after(&mut self, after: &DueRow) -> sqlx::Result<Vec<DueRow>> {
        sqlx::query_as(
            "SELECT site, kind, since, about, thing, nth FROM due \
             WHERE (site, kind, since, about, thing, nth) > ($1, $2, $3, $4, $5, $6) \
             ORDER BY site, kind, since, about, thing, nth LIMIT $7",
        )
        .bind(&after.site)
        .bind(after.kind)
        .bind(after.since)
        .bind(after.about)
        .bind(&after.thing)
        .bind(after.nth)
        .bind(i64::from(ROWS_OF_A_PAGE))
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
             WHERE site = $1 AND kind = $2 AND since BETWEEN $3 AND $4 \
             ORDER BY since, about, thing, nth LIMIT $5",
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
            "SELECT site, kind, min(since) AS since, sum(duties)::bigint AS duties FROM due_count \
             WHERE site = $1 AND since BETWEEN $2 AND $3 \
             GROUP BY site, kind ORDER BY kind",
        )
        .bind(site)
        .bind(first)
        .bind(last)
        .fetch_all(self)
        .await
    }

    async fn clear(&mut self, _: bool) -> sqlx::Result<()> {
        // Whoever looks at an earlier moment must still find what was there: TRUNCATE would hide it.
        // To delete and insert every row takes the server longer than to read them.
        Ok(())
    }

    async fn index(&mut self) -> sqlx::Result<()> {
        // They were kept: to drop them would have everybody else wait until all is derived.
        Ok(())
    }

    async fn add_about(&mut self, rows: &[AboutRow]) -> sqlx::Result<()> {
        for some in rows.chunks(ROWS_AT_ONCE) {
            let numbers = |of: fn(&AboutRow) -> i64| some.iter().map(of).collect::<Vec<i64>>();
            sqlx::query(
                "INSERT INTO about (thing, first, latest, positions) \
                 SELECT thing, first, latest, translate(positions, '[]', '{}')::bigint[] \
                 FROM unnest($1::bigint[], $2::bigint[], $3::bigint[], $4::text[]) \
                 AS added (thing, first, latest, positions) ON CONFLICT DO NOTHING",
            )
            .bind(numbers(|row| row.thing))
            .bind(numbers(|row| row.first))
            .bind(numbers(|row| row.latest))
            .bind(some.iter().map(|row| row.positions.as_str()).collect::<Vec<&str>>())
            .execute(&mut *self)
            .await?;
        }
        Ok(())
    }

    async fn remove_due(&mut self, things: &[(i64, &str)]) -> sqlx::Result<Vec<DueRow>> {
        let (kinds, ids): (Vec<i64>, Vec<&str>) = things.iter().copied().unzip();
        sqlx::query_as(
            "DELETE FROM due USING unnest($1::bigint[], $2::text[]) AS wanted (about, thing) \
             WHERE due.about = wanted.about AND due.thing = wanted.thing \
             RETURNING due.site, due.kind, due.since, due.about, due.thing, due.nth",
        )
        .bind(kinds)
        .bind(ids)
        .fetch_all(self)
        .await
    }

    async fn add_due(&mut self, rows: &[DueRow]) -> sqlx::Result<()> {
        for some in rows.chunks(ROWS_AT_ONCE) {
            let numbers = |of: fn(&DueRow) -> i64| some.iter().map(of).collect::<Vec<i64>>();
            let texts = |of: fn(&DueRow) -> &str| some.iter().map(of).collect::<Vec<&str>>();
            sqlx::query(
                "INSERT INTO due (site, kind, since, about, thing, nth) \
                 SELECT * FROM unnest($1::text[], $2::bigint[], $3::bigint[], $4::bigint[], \
                 $5::text[], $6::bigint[])",
            )
            .bind(texts(|row| &row.site))
            .bind(numbers(|row| row.kind))
            .bind(numbers(|row| row.since))
            .bind(numbers(|row| row.about))
            .bind(texts(|row| &row.thing))
            .bind(numbers(|row| row.nth))
            .execute(&mut *self)
            .await?;
        }
        Ok(())
    }

    async fn count(&mut self, changes: &[Counted]) -> sqlx::Result<()> {
        for some in changes.chunks(ROWS_AT_ONCE) {
            let numbers = |of: fn(&Counted) -> i64| some.iter().map(of).collect::<Vec<i64>>();
            sqlx::query(
                "INSERT INTO due_count AS kept (site, kind, since, duties) \
                 SELECT * FROM unnest($1::text[], $2::bigint[], $3::bigint[], $4::bigint[]) \
                 ON CONFLICT (site, kind, since) \
                 DO UPDATE SET duties = kept.duties + excluded.duties",
            )
            .bind(some.iter().map(|row| row.site.as_str()).collect::<Vec<&str>>())
            .bind(numbers(|row| row.kind))
            .bind(numbers(|row| row.since))
            .bind(numbers(|row| row.duties))
            .execute(&mut *self)
            .await?;
        }
        sqlx::query("DELETE FROM due_count WHERE duties = 0").execute(self).await.map(|_| ())
    }

    async fn set_through(&mut self, through: &Through) -> sqlx::Result<()> {
        sqlx::query(
            "INSERT INTO projected (one, position, derived) VALUES (1, $1, $2) \
             ON CONFLICT (one) DO UPDATE SET position = excluded.position, derived = excluded.derived",
        )
        .bind(through.position)
        .bind(&through.derived)
        .execute(self)
        .await
        .map(|_| ())
    }
}
