//! The store in a database of a PostgreSQL server.

mod open;
mod read;
mod write;

use program::{EntryId, SiteId};
use sqlx::PgPool;

use crate::open::OpenError;
use crate::store::{Head, ReadError, Row, Store};

/// A ledger in a database of a PostgreSQL server.
#[derive(Debug, Clone)]
pub(crate) struct PostgresStore {
    pool: PgPool,
}

impl PostgresStore {
    pub(crate) async fn open(url: &str) -> Result<Self, OpenError> {
        open::open(url).await.map(|pool| Self { pool })
    }

    pub(crate) async fn close(self) {
        self.pool.close().await;
    }
}

impl Store for PostgresStore {
    type Writing = write::PostgresWriting;

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
