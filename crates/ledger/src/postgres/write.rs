//! One transaction that writes.

use program::SiteId;
use sqlx::{PgConnection, PgPool, Postgres, Transaction};

use super::read;
use crate::store::{Head, KeptAttachment, NewRow, ReadError, Row, Writing, of_each_site};

/// Rows in one INSERT, so that no message to the server grows without limit.
const ROWS_AT_ONCE: usize = 5000;

pub(crate) struct PostgresWriting(Transaction<'static, Postgres>);

pub(super) async fn begin(pool: &PgPool) -> sqlx::Result<PostgresWriting> {
    // The lock is a statement of its own: what is read after it sees all that was committed before
    // it was given. The same lock is taken by the guard of the table; see the invariant there.
    pool.begin_with("BEGIN; SELECT pg_advisory_xact_lock(1113017415)").await.map(PostgresWriting)
}

impl Writing for PostgresWriting {
    type Connection = PgConnection;

    fn connection(&mut self) -> &mut PgConnection {
        &mut self.0
    }

    async fn head(&mut self, site: &SiteId) -> Result<Option<Head>, ReadError> {
        read::head(&mut self.0, site).await
    }

    async fn kept(&mut self, ids: &[&str]) -> sqlx::Result<Vec<Row>> {
        read::with_ids(&mut self.0, ids).await
    }

    async fn insert(&mut self, rows: &[NewRow]) -> sqlx::Result<()> {
        for some in rows.chunks(ROWS_AT_ONCE) {
            let texts = |of: fn(&NewRow) -> &str| some.iter().map(of).collect::<Vec<&str>>();
            let numbers = |of: fn(&NewRow) -> i64| some.iter().map(of).collect::<Vec<i64>>();
            let hashes = |of: fn(&NewRow) -> &[u8]| some.iter().map(of).collect::<Vec<&[u8]>>();
            sqlx::query(
                "INSERT INTO entries (site, seq, id, happened, entered, payload, previous, hash) \
                 SELECT * FROM unnest($1::text[], $2::bigint[], $3::text[], $4::bigint[], \
                 $5::bigint[], $6::text[], $7::bytea[], $8::bytea[])",
            )
            .bind(texts(|row| row.site.as_str()))
            .bind(numbers(NewRow::signed_seq))
            .bind(texts(|row| row.id.as_str()))
            .bind(numbers(|row| row.happened_us))
            .bind(numbers(|row| row.entered_us))
            .bind(texts(|row| row.payload.as_str()))
            .bind(hashes(|row| row.previous.as_bytes()))
            .bind(hashes(|row| row.hash.as_bytes()))
            .execute(&mut *self.0)
            .await?;
        }
        for (first, last) in of_each_site(rows) {
            // An end goes on only from the one that is kept.
            sqlx::query(
                "INSERT INTO ends (site, seq, hash) VALUES ($1, $2, $3) ON CONFLICT (site) \
                 DO UPDATE SET seq = excluded.seq, hash = excluded.hash \
                 WHERE ends.seq = $4 - 1 AND ends.hash = $5",
            )
            .bind(last.site.as_str())
            .bind(last.signed_seq())
            .bind(last.hash.as_bytes().as_slice())
            .bind(first.signed_seq())
            .bind(first.previous.as_bytes().as_slice())
            .execute(&mut *self.0)
            .await?;
        }
        Ok(())
    }

    async fn attach(&mut self, attachment: &KeptAttachment) -> sqlx::Result<bool> {
        let done = sqlx::query(
            "INSERT INTO attachments (hash, media_type, bytes) VALUES ($1, $2, $3) \
             ON CONFLICT (hash) DO NOTHING",
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
