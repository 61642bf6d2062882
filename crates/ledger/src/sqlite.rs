//! The store in one SQLite file.

mod open;
mod read;
mod write;

use std::path::Path;

use program::{EntryId, SiteId};
use sqlx::SqlitePool;

use crate::open::OpenError;
use crate::store::{Head, ReadError, Row, Store};

/// A ledger in one SQLite file.
#[derive(Debug, Clone)]
pub(crate) struct SqliteStore {
    pool: SqlitePool,
}

impl SqliteStore {
    pub(crate) async fn open(path: &Path) -> Result<Self, OpenError> {
        open::open(path).await.map(|pool| Self { pool })
    }

    pub(crate) async fn close(self) {
        self.pool.close().await;
    }
}

impl Store for SqliteStore {
    type Writing = write::SqliteWriting;

    async fn begin(&self) -> sqlx::Result<Self::Writing> {
        write::begin(&self.pool).await
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
}
