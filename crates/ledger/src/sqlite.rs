//! The store in one SQLite file.

mod derived;
mod open;
mod read;
mod write;

use std::path::Path;

use program::{EntryId, SiteId};
use sqlx::{Sqlite, SqliteConnection, SqlitePool, Transaction};

use crate::hash::Hash;
use crate::open::OpenError;
use crate::store::{Evidence, Head, IS_DERIVED, KeptAttachment, ReadError, Row, Store};

/// A ledger in one SQLite file.
#[derive(Debug, Clone)]
pub(crate) struct SqliteStore {
    pool: SqlitePool,
}

impl SqliteStore {
    pub(crate) async fn open(path: &Path) -> Result<Self, OpenError> {
        open::open(path).await.map(|pool| Self { pool })
    }

    pub(crate) async fn open_to_read(path: &Path) -> Result<Self, OpenError> {
        open::open_to_read(path).await.map(|pool| Self { pool })
    }

    pub(crate) async fn close(self) {
        self.pool.close().await;
    }
}

impl Store for SqliteStore {
    type Connection = SqliteConnection;
    type Reading = Transaction<'static, Sqlite>;
    type Writing = write::SqliteWriting;

    async fn begin(&self) -> sqlx::Result<Self::Writing> {
        write::begin(&self.pool).await
    }

    async fn reading(&self) -> sqlx::Result<Self::Reading> {
        self.pool.begin().await
    }

    async fn is_derived(&self, by: &str) -> sqlx::Result<bool> {
        sqlx::query_scalar(IS_DERIVED).bind(by).fetch_one(&self.pool).await
    }

    async fn tidy(&self) {
        // Pages that are free are used again, and no plan depends on what was counted.
    }

    async fn page(&self, site: Option<&SiteId>, after: u64) -> Result<Vec<Row>, ReadError> {
        read::page(&self.pool, site, after).await
    }

    async fn find(&self, id: &EntryId) -> Result<Option<Row>, ReadError> {
        read::find(&self.pool, id).await
    }

    async fn head(&self, site: &SiteId) -> Result<Option<Head>, ReadError> {
        let mut connection = self.pool.acquire().await?;
        read::head(&mut connection, site).await
    }

    async fn sites(&self) -> Result<Vec<SiteId>, ReadError> {
        read::sites(&self.pool).await
    }

    async fn attachment(&self, hash: &Hash) -> Result<Option<KeptAttachment>, ReadError> {
        read::attachment(&self.pool, hash).await
    }

    async fn attachments(&self, after: &[u8]) -> Result<Vec<KeptAttachment>, ReadError> {
        read::attachments(&self.pool, after).await
    }

    async fn unguarded(&self) -> Result<Vec<String>, ReadError> {
        Ok(read::unguarded(&self.pool, open::newest()).await?)
    }

    async fn evidence(&self) -> Result<Evidence, ReadError> {
        Ok(read::evidence(&self.pool).await?)
    }
}
