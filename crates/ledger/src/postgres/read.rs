//! Asking for what is kept.

use program::{EntryId, SiteId};
use sqlx::postgres::PgRow;
use sqlx::{FromRow, PgConnection, PgPool, Row as _};

use super::open;
use crate::hash::Hash;
use crate::store::{ATTACHMENTS, Evidence, Head, KeptAttachment, PAGE, ReadError, Row};

impl FromRow<'_, PgRow> for Row {
    fn from_row(row: &PgRow) -> sqlx::Result<Self> {
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

impl FromRow<'_, PgRow> for KeptAttachment {
    fn from_row(row: &PgRow) -> sqlx::Result<Self> {
        Ok(Self {
            hash: row.try_get("hash")?,
            media_type: row.try_get("media_type")?,
            bytes: row.try_get("bytes")?,
        })
    }
}

fn unsigned(row: &PgRow, column: &'static str) -> sqlx::Result<u64> {
    let number: i64 = row.try_get(column)?;
    u64::try_from(number)
        .map_err(|error| sqlx::Error::ColumnDecode { index: column.into(), source: error.into() })
}

pub(super) async fn page(
    pool: &PgPool,
    site: Option<&SiteId>,
    after: u64,
) -> Result<Vec<Row>, ReadError> {
    let query = match site {
        None => {
            sqlx::query_as("SELECT * FROM entries WHERE position > $1 ORDER BY position LIMIT $2")
        }
        Some(_) => sqlx::query_as(
            "SELECT * FROM entries WHERE position > $1 AND site = $3 ORDER BY position LIMIT $2",
        ),
    };
    let query = query.bind(i64::try_from(after).unwrap_or(i64::MAX)).bind(i64::from(PAGE));
    let query = match site {
        None => query,
        Some(site) => query.bind(site.as_str()),
    };
    Ok(query.fetch_all(pool).await?)
}

pub(super) async fn find(pool: &PgPool, id: &EntryId) -> Result<Option<Row>, ReadError> {
    let mut connection = pool.acquire().await?;
    Ok(with_ids(&mut connection, &[id.as_str()]).await?.pop())
}

/// The rows with these ids.
pub(super) async fn with_ids(
    connection: &mut PgConnection,
    ids: &[&str],
) -> sqlx::Result<Vec<Row>> {
    sqlx::query_as("SELECT * FROM entries WHERE id = ANY($1)").bind(ids).fetch_all(connection).await
}

pub(super) async fn head(
    connection: &mut PgConnection,
    site: &SiteId,
) -> Result<Option<Head>, ReadError> {
    let last: Option<Row> =
        sqlx::query_as("SELECT * FROM entries WHERE site = $1 ORDER BY seq DESC LIMIT 1")
            .bind(site.as_str())
            .fetch_optional(connection)
            .await?;
    last.map(|row| row.head()).transpose()
}

pub(super) async fn sites(pool: &PgPool) -> Result<Vec<SiteId>, ReadError> {
    let names: Vec<String> =
        sqlx::query_scalar("SELECT site FROM entries WHERE seq = 1 ORDER BY position")
            .fetch_all(pool)
            .await?;
    Ok(names.into_iter().map(SiteId::new).collect())
}

pub(super) async fn attachment(
    pool: &PgPool,
    hash: &Hash,
) -> Result<Option<KeptAttachment>, ReadError> {
    let query = "SELECT hash, media_type, bytes FROM attachments WHERE hash = $1";
    let query = sqlx::query_as(query).bind(hash.as_bytes().as_slice());
    Ok(query.fetch_optional(pool).await?)
}

pub(super) async fn attachments(
    pool: &PgPool,
    after: &[u8],
) -> Result<Vec<KeptAttachment>, ReadError> {
    let query =
        "SELECT hash, media_type, bytes FROM attachments WHERE hash > $1 ORDER BY hash LIMIT $2";
    let query = sqlx::query_as(query).bind(after).bind(i64::from(ATTACHMENTS));
    Ok(query.fetch_all(pool).await?)
}

pub(super) async fn evidence(pool: &PgPool) -> sqlx::Result<Evidence> {
    let (schema, kept): (i64, bool) = sqlx::query_as(
        "SELECT coalesce(max(version), 0), to_regclass('ends') IS NOT NULL FROM _sqlx_migrations",
    )
    .fetch_one(pool)
    .await?;
    // The sequence of positions goes on after a refusal too, so that it tells nothing.
    let derived: i64 = sqlx::query_scalar("SELECT coalesce(max(position), 0) FROM projected")
        .fetch_one(pool)
        .await?;
    let ends = if kept {
        let rows = sqlx::query_as("SELECT site, seq, hash FROM ends ORDER BY site");
        Evidence::of_ends(rows.fetch_all(pool).await?)
    } else {
        Vec::new()
    };
    Ok(Evidence {
        ends,
        highest: u64::try_from(derived).unwrap_or(0),
        unguarded: unguarded(pool, schema).await?,
    })
}

/// The guards of a schema that are not there, asleep, or another than this program made.
pub(super) async fn unguarded(pool: &PgPool, schema: i64) -> sqlx::Result<Vec<String>> {
    // A guard counts where it is always awake and does what it was made to do.
    let awake: Vec<(String, String)> = sqlx::query_as(
        "SELECT tgname::text, prosrc FROM pg_trigger JOIN pg_proc ON pg_proc.oid = tgfoid \
         WHERE tgenabled = 'A' AND tgqual IS NULL AND tgrelid = ANY \
         (ARRAY[to_regclass('entries'), to_regclass('attachments'), to_regclass('ends')])",
    )
    .fetch_all(pool)
    .await?;
    let (guards, texts) = open::guards(schema);
    let stands = |guard: &str| {
        awake.iter().any(|(name, does)| name == guard && texts.contains(does.as_str()))
    };
    Ok(guards.into_iter().filter(|guard| !stands(guard)).map(str::to_owned).collect())
}
