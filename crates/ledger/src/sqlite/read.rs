//! Asking for what is kept.

use program::{EntryId, SiteId};
use sqlx::sqlite::SqliteRow;
use sqlx::{FromRow, QueryBuilder, Row as _, Sqlite, SqliteConnection, SqlitePool};

use super::open;
use crate::hash::Hash;
use crate::store::{ATTACHMENTS, Evidence, Head, KeptAttachment, PAGE, ReadError, Row};

impl FromRow<'_, SqliteRow> for Row {
    fn from_row(row: &SqliteRow) -> sqlx::Result<Self> {
        Ok(Self {
            position: unsigned(row, "position")?,
            site: SiteId::new(row.try_get::<&str, _>("site")?),
            seq: unsigned(row, "seq")?,
            id: EntryId::new(row.try_get::<&str, _>("id")?),
            happened_us: row.try_get("happened")?,
            entered_us: row.try_get("entered")?,
            payload: row.try_get("payload")?,
            previous: row.try_get("previous")?,
            hash: row.try_get("hash")?,
        })
    }
}

impl FromRow<'_, SqliteRow> for KeptAttachment {
    fn from_row(row: &SqliteRow) -> sqlx::Result<Self> {
        Ok(Self {
            hash: row.try_get("hash")?,
            media_type: row.try_get("media_type")?,
            bytes: row.try_get("bytes")?,
        })
    }
}

fn unsigned(row: &SqliteRow, column: &'static str) -> sqlx::Result<u64> {
    let number: i64 = row.try_get(column)?;
    u64::try_from(number)
        .map_err(|error| sqlx::Error::ColumnDecode { index: column.into(), source: error.into() })
}

const COLUMNS: &str =
    "SELECT position, site, seq, id, happened, entered, payload, previous, hash FROM entries";

pub(super) async fn page(
    pool: &SqlitePool,
    site: Option<&SiteId>,
    after: u64,
) -> Result<Vec<Row>, ReadError> {
    let mut query: QueryBuilder<Sqlite> = QueryBuilder::new(COLUMNS);
    query.push(" WHERE position > ").push_bind(i64::try_from(after).unwrap_or(i64::MAX));
    if let Some(site) = site {
        query.push(" AND site = ").push_bind(site.as_str());
    }
    query.push(" ORDER BY position LIMIT ").push_bind(i64::from(PAGE));
    Ok(query.build_query_as().fetch_all(pool).await?)
}

pub(super) async fn find(pool: &SqlitePool, id: &EntryId) -> Result<Option<Row>, ReadError> {
    let mut connection = pool.acquire().await?;
    Ok(with_ids(&mut connection, &[id.as_str()]).await?.pop())
}

/// The rows with these ids; `ids` must not be empty.
pub(super) async fn with_ids(
    connection: &mut SqliteConnection,
    ids: &[&str],
) -> sqlx::Result<Vec<Row>> {
    let mut query: QueryBuilder<Sqlite> = QueryBuilder::new(COLUMNS);
    query.push(" WHERE id IN (");
    let mut list = query.separated(", ");
    for id in ids {
        list.push_bind(*id);
    }
    query.push(")");
    query.build_query_as().fetch_all(connection).await
}

pub(super) async fn head(
    connection: &mut SqliteConnection,
    site: &SiteId,
) -> Result<Option<Head>, ReadError> {
    let mut query: QueryBuilder<Sqlite> = QueryBuilder::new(COLUMNS);
    query.push(" WHERE site = ").push_bind(site.as_str()).push(" ORDER BY seq DESC LIMIT 1");
    let last: Option<Row> = query.build_query_as().fetch_optional(connection).await?;
    last.map(|row| row.head()).transpose()
}

pub(super) async fn sites(pool: &SqlitePool) -> Result<Vec<SiteId>, ReadError> {
    // The first entry of each chain has place 1, which the index on (site, seq) and the rows in
    // order of position give without reading the rest.
    let names: Vec<String> =
        sqlx::query_scalar("SELECT site FROM entries WHERE seq = 1 ORDER BY position")
            .fetch_all(pool)
            .await?;
    Ok(names.into_iter().map(SiteId::new).collect())
}

pub(super) async fn attachment(
    pool: &SqlitePool,
    hash: &Hash,
) -> Result<Option<KeptAttachment>, ReadError> {
    let query = "SELECT hash, media_type, bytes FROM attachments WHERE hash = $1";
    let query = sqlx::query_as(query).bind(hash.as_bytes().as_slice());
    Ok(query.fetch_optional(pool).await?)
}

pub(super) async fn attachments(
    pool: &SqlitePool,
    after: &[u8],
) -> Result<Vec<KeptAttachment>, ReadError> {
    let query =
        "SELECT hash, media_type, bytes FROM attachments WHERE hash > $1 ORDER BY hash LIMIT $2";
    let query = sqlx::query_as(query).bind(after).bind(i64::from(ATTACHMENTS));
    Ok(query.fetch_all(pool).await?)
}

pub(super) async fn evidence(pool: &SqlitePool) -> sqlx::Result<Evidence> {
    let schema: i64 = sqlx::query_scalar("SELECT coalesce(max(version), 0) FROM _sqlx_migrations")
        .fetch_one(pool)
        .await?;
    let (kept, known): (bool, i64) = sqlx::query_as(
        "SELECT EXISTS (SELECT 1 FROM sqlite_schema WHERE name = 'ends'), \
         coalesce((SELECT seq FROM sqlite_sequence WHERE name = 'entries'), 0)",
    )
    .fetch_one(pool)
    .await?;
    let derived: i64 = sqlx::query_scalar("SELECT coalesce(max(position), 0) FROM projected")
        .fetch_one(pool)
        .await?;
    let ends = if kept {
        let rows = sqlx::query_as("SELECT site, seq, hash FROM ends ORDER BY site");
        Evidence::of_ends(rows.fetch_all(pool).await?)
    } else {
        Vec::new()
    };
    let unguarded = unguarded(pool, schema).await?;
    Ok(Evidence { ends, highest: u64::try_from(known.max(derived)).unwrap_or(0), unguarded })
}

/// The guards of a schema that are not there, or another than this program made.
pub(super) async fn unguarded(pool: &SqlitePool, schema: i64) -> sqlx::Result<Vec<String>> {
    let query = "SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'";
    let found: Vec<(String, String)> = sqlx::query_as(query).fetch_all(pool).await?;
    let stands = |guard: (&str, &str)| {
        found.iter().any(|(name, sql)| (name.as_str(), sql.as_str()) == guard)
    };
    let missing = open::guards(schema).filter(|guard| !stands(*guard));
    Ok(missing.map(|(name, _)| name.to_owned()).collect())
}
