//! The lists of things in either database: only how a text is looked for in another, and how a list of
//! positions is taken apart, differs.

use sqlx::{PgConnection, Postgres, QueryBuilder, Sqlite, SqliteConnection};

use super::in_turn;
use super::listed::{Listing, Sought, ThingRow};

/// Rows in one statement: two values each stay below the limit of 32766 on values.
const ROWS_AT_ONCE: usize = 4000;

const COLUMNS: &str = "SELECT kind, site, gone, sorted, id, name, words, worn FROM things";

macro_rules! listing {
    ($connection:ty, $database:ty, $place_of:literal, $each_position:literal) => {
        impl Listing for $connection {
            async fn remove_things(&mut self, things: &[(i64, &str)]) -> sqlx::Result<()> {
                for some in things.chunks(ROWS_AT_ONCE) {
                    let mut query: QueryBuilder<$database> =
                        QueryBuilder::new("DELETE FROM things WHERE (kind, id) IN (");
                    query.push_values(some, |mut tuple, (kind, id)| {
                        tuple.push_bind(*kind).push_bind(*id);
                    });
                    query.push(")").build().execute(&mut *self).await?;
                }
                Ok(())
            }

            async fn add_things(&mut self, rows: &[ThingRow]) -> sqlx::Result<()> {
                in_turn::<$database, _>(self, rows, |some| {
                    let mut query = QueryBuilder::new(
                        "INSERT INTO things (kind, site, gone, sorted, id, name, words, worn) ",
                    );
                    query.push_values(some, |mut tuple, row| {
                        tuple.push_bind(row.kind).push_bind(row.site.as_str());
                        tuple.push_bind(row.gone).push_bind(row.sorted.as_str());
                        tuple.push_bind(row.id.as_str()).push_bind(row.name.as_str());
                        tuple.push_bind(row.words.as_str()).push_bind(row.worn.as_str());
                    });
                    query
                })
                .await
            }

            async fn sites_of_kind(&mut self, kind: i64) -> sqlx::Result<Vec<String>> {
                // One step into the index for each site, and no look at the rest.
                sqlx::query_scalar(
                    "WITH RECURSIVE found(site) AS ( \
                        SELECT min(site) FROM things WHERE kind = $1 UNION ALL \
                        SELECT (SELECT min(site) FROM things WHERE kind = $1 AND site > found.site) \
                        FROM found WHERE found.site IS NOT NULL) \
                     SELECT site FROM found WHERE site IS NOT NULL ORDER BY site",
                )
                .bind(kind)
                .fetch_all(self)
                .await
            }

            async fn list(&mut self, sought: &Sought<'_>) -> sqlx::Result<Vec<ThingRow>> {
                let (gone, sorted, id) = sought.after;
                let mut query: QueryBuilder<$database> = QueryBuilder::new(COLUMNS);
                query.push(" WHERE kind = ").push_bind(sought.kind);
                query.push(" AND site = ").push_bind(sought.site);
                query.push(" AND (gone, sorted, id) > (").push_bind(gone);
                query.push(", ").push_bind(sorted).push(", ").push_bind(id).push(")");
                for word in sought.words {
                    query.push(concat!(" AND ", $place_of, "(words, ")).push_bind(word.as_str());
                    query.push(") > 0");
                }
                query.push(" ORDER BY gone, sorted, id LIMIT ").push_bind(sought.limit);
                query.build_query_as().fetch_all(self).await
            }

            async fn with_ids(
                &mut self,
                kind: i64,
                (first, last): (&str, &str),
                limit: i64,
            ) -> sqlx::Result<Vec<ThingRow>> {
                let mut query: QueryBuilder<$database> = QueryBuilder::new(COLUMNS);
                query.push(" WHERE kind = ").push_bind(kind).push(" AND id BETWEEN ");
                query.push_bind(first).push(" AND ").push_bind(last);
                query.push(" ORDER BY id LIMIT ").push_bind(limit);
                query.build_query_as().fetch_all(self).await
            }

            async fn worn_at(&mut self, kind: i64, site: &str) -> sqlx::Result<Vec<(String, i64)>> {
                sqlx::query_as(
                    "SELECT worn, count(*) FROM things \
                     WHERE kind = $1 AND site = $2 AND gone = 0 AND worn <> '' GROUP BY worn ORDER BY worn",
                )
                .bind(kind)
                .bind(site)
                .fetch_all(self)
                .await
            }

            async fn last_about(&mut self, thing: i64, limit: i64) -> sqlx::Result<Vec<(i64, String)>> {
                // The last so many stand in the so many pieces that reach the latest.
                sqlx::query_as(concat!(
                    "SELECT position, payload FROM entries WHERE position IN (SELECT one.value FROM \
                        (SELECT positions FROM about WHERE thing = $1 \
                         ORDER BY latest DESC LIMIT $2) AS pieces CROSS JOIN ",
                    $each_position,
                    ") ORDER BY position"
                ))
                .bind(thing)
                .bind(limit)
                .fetch_all(self)
                .await
            }
        }
    };
}

listing!(SqliteConnection, Sqlite, "instr", "json_each(pieces.positions) AS one");
listing!(PgConnection, Postgres, "strpos", "unnest(pieces.positions) AS one(value)");
