//! Entries and a ledger in a folder of its own, for every test of this crate.

use std::path::{Path, PathBuf};

use jiff::Timestamp;
use ledger::Ledger;
use program::{Entry, EntryId, Fact, PersonId, SiteId, UnitId};
use sqlx::SqliteConnection;
use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{ConnectOptions, Executor};
use tempfile::TempDir;

pub struct Sample {
    pub ledger: Ledger,
    pub path: PathBuf,
    folder: TempDir,
}

impl Sample {
    pub async fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("plant.db");
        Self { ledger: Ledger::open(&path).await.unwrap(), path, folder }
    }

    /// Closes the ledger and opens it again.
    pub async fn reopened(self) -> Self {
        self.ledger.close().await;
        Self { ledger: Ledger::open(&self.path).await.unwrap(), ..self }
    }

    /// Speaks SQL to the file behind the back of the ledger.
    pub async fn behind_its_back(&self, sql: &'static str) -> sqlx::Result<u64> {
        let mut connection = raw(&self.path).await;
        connection.execute(sql).await.map(|done| done.rows_affected())
    }

    pub fn folder(&self) -> &Path {
        self.folder.path()
    }
}

pub async fn raw(path: &Path) -> SqliteConnection {
    SqliteConnectOptions::new().filename(path).connect().await.unwrap()
}

pub fn site(name: &str) -> SiteId {
    SiteId::new(name)
}

/// A unit held at `site`, told under `id`.
pub fn held(at: &str, id: &str) -> Entry {
    let minute = Timestamp::from_microsecond(1_760_000_000_000_000).unwrap();
    Entry {
        id: EntryId::new(id),
        site: site(at),
        happened: minute,
        entered: minute,
        by: PersonId::new("p-1"),
        device: "bench".to_owned(),
        corrects: None,
        fact: Fact::Held { unit: UnitId::new("HM-001"), why: format!("reason of {id}") },
    }
}

pub fn batch(at: &str, ids: impl IntoIterator<Item = u32>) -> Vec<Entry> {
    ids.into_iter().map(|n| held(at, &format!("{at}-{n}"))).collect()
}
