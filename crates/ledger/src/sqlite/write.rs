//! One transaction that writes.

use program::SiteId;
use sqlx::{QueryBuilder, Sqlite, SqliteConnection, SqlitePool, Transaction};

use super::read;
use crate::store::{Head, KeptAttachment, NewRow, ReadError, Row, Writing, of_each_site};

/// Rows in one INSERT: eight values each stay far below the limit of 32766 on values.
const ROWS_AT_ONCE: usize = 500;

pub(crate) struct SqliteWriting(Transaction<'static, Sqlite>);

pub(super) async fn begin(pool: &SqlitePool) -> sqlx::Result<SqliteWriting> {
    // The write lock is taken at once: a transaction that began as a reader could find, when it
    // comes to write, that its view of the head is old.
    pool.begin_with("BEGIN IMMEDIATE").await.map(SqliteWriting)
}

impl Writing for SqliteWriting {
    type Connection = SqliteConnection;

    fn connection(&mut self) -> &mut SqliteConnection {
        &mut self.0
    }

    async fn head(&mut self, site: &SiteId) -> Result<Option<Head>, ReadError> {
        read::head(&mut self.0, site).await
    }

    async fn kept(&mut self, ids: &[&str]) -> sqlx::Result<Vec<Row>> {
        let mut found = Vec::new();
        for some in ids.chunks(ROWS_AT_ONCE) {
            found.extend(read::with_ids(&mut self.0, some).await?);
        }
        Ok(found)
    }

    async fn insert(&mut self, rows: &[NewRow]) -> sqlx::Result<()> {
        for some in rows.chunks(ROWS_AT_ONCE) {
            let mut query: QueryBuilder<Sqlite> = QueryBuilder::new(
                "INSERT INTO entries (site, seq, id, happened, entered, payload, previous, hash) ",
            );
            query.push_values(some, |mut tuple, row| {
                tuple
                    .push_bind(row.site.as_str())
                    .push_bind(row.signed_seq())
                    .push_bind(row.id.as_str())
                    .push_bind(row.happened_us)
                    .push_bind(row.entered_us)
                    .push_bind(row.payload.as_str())
                    .push_bind(row.previous.as_bytes().as_slice())
                    .push_bind(row.hash.as_bytes().as_slice());
            });
            query.build().execute(&mut *self.0).await?;
        }
        for (first, last) in of_each_site(rows) {
            self.end(first, last).await?;
        }
        Ok(())
    }

    async fn attach(&mut self, attachment: &KeptAttachment) -> sqlx::Result<bool> {
        let done = sqlx::query(
            "INSERT INTO attachments (hash, media_type, bytes) SELECT $1, $2, $3 \
             WHERE NOT EXISTS (SELECT 1 FROM attachments WHERE hash = $1)",
        )
        .bind(attachment.hash.as_slice())
        .bind(attachment.media_type.as_str())
        .bind(attachment.bytes.as_slice())
        .execute(&mut *self.0)
        .await?;
        Ok(done.rows_affected() == 1)
    }

    async fn commit(self) -> sqlx::Result<()> {
        self.0.commit().await
    }
}

impl SqliteWriting {
    /// Keeps where a chain ends now, unless what is kept of it is not the end that this goes on from.
    async fn end(&mut self, first: &NewRow, last: &NewRow) -> sqlx::Result<()> {
        sqlx::query(
            "INSERT INTO ends SELECT $1, $2, $3 WHERE NOT EXISTS (SELECT 1 FROM ends WHERE site = $1)",
        )
        .bind(last.site.as_str())
        .bind(last.signed_seq())
        .bind(last.hash.as_bytes().as_slice())
        .execute(&mut *self.0)
        .await?;
        sqlx::query(
            "UPDATE ends SET seq = $2, hash = $3 WHERE site = $1 AND seq = $4 - 1 AND hash = $5",
        )
        .bind(last.site.as_str())
        .bind(last.signed_seq())
        .bind(last.hash.as_bytes().as_slice())
        .bind(first.signed_seq())
        .bind(first.previous.as_bytes().as_slice())
        .execute(&mut *self.0)
        .await?;
        Ok(())
    }
}
