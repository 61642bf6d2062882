//! Entries and an empty ledger of its own on either database, for every test of this crate.

use std::path::{Path, PathBuf};

use jiff::Timestamp;
use ledger::{Ledger, Target};
use program::{Entry, EntryId, Fact, PersonId, SiteId, UnitId};
use sqlx::postgres::{PgConnectOptions, PgConnection};
use sqlx::sqlite::{SqliteConnectOptions, SqliteConnection};
use sqlx::{AssertSqlSafe, ConnectOptions, Connection, Executor};
use tempfile::TempDir;

use crate::cluster::Cluster;

/// Where a test runs.
#[derive(Clone, Copy, PartialEq)]
pub enum Database {
    Sqlite,
    Postgres,
}

pub struct Sample {
    pub ledger: Ledger,
    pub target: Target,
    pub database: Database,
    folder: TempDir,
}

impl Sample {
    pub async fn new(database: Database) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let target = match database {
            Database::Sqlite => Target::File(folder.path().join("plant.db")),
            Database::Postgres => Target::Server(Cluster::shared().database()),
        };
        Self { ledger: Ledger::open(&target).await.unwrap(), target, database, folder }
    }

    /// Closes the ledger and opens it again.
    pub async fn reopened(self) -> Self {
        self.ledger.close().await;
        Self { ledger: Ledger::open(&self.target).await.unwrap(), ..self }
    }

    /// Speaks SQL to the database behind the back of the ledger; 32 zero bytes are written as in
    /// SQLite.
    pub async fn behind_its_back(&self, sql: &'static str) -> sqlx::Result<()> {
        match &self.target {
            Target::File(path) => raw(path).await.execute(sql).await.map(|_| ()),
            Target::Server(url) => {
                let sql = sql.replace("zeroblob(32)", "decode(repeat('00', 32), 'hex')");
                raw_server(url).await.execute(AssertSqlSafe(sql)).await.map(|_| ())
            }
        }
    }

    /// Asks the database itself for one column of text.
    pub async fn ask(&self, sql: &'static str) -> Vec<String> {
        let query = match &self.target {
            Target::File(path) => sqlx::query_scalar(sql).fetch_all(&mut raw(path).await).await,
            Target::Server(url) => {
                sqlx::query_scalar(sql).fetch_all(&mut raw_server(url).await).await
            }
        };
        query.unwrap()
    }

    /// Takes the guards of the tables away.
    pub async fn disarmed(&self) {
        let sql = match self.database {
            Database::Sqlite => {
                "DROP TRIGGER entries_are_never_changed; DROP TRIGGER entries_are_never_deleted; \
                 DROP TRIGGER entries_only_join_the_end"
            }
            Database::Postgres => "ALTER TABLE entries DISABLE TRIGGER ALL",
        };
        self.behind_its_back(sql).await.unwrap();
    }

    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// The file of a ledger in a file.
    pub fn path(&self) -> PathBuf {
        match &self.target {
            Target::File(path) => path.clone(),
            Target::Server(url) => panic!("{url} is no file"),
        }
    }
}

pub async fn raw(path: &Path) -> SqliteConnection {
    SqliteConnectOptions::new().filename(path).connect().await.unwrap()
}

pub async fn raw_server(url: &str) -> PgConnection {
    let options: PgConnectOptions = url.parse().unwrap();
    PgConnection::connect_with(&options).await.unwrap()
}

/// The tests that must hold on both databases, each once on either.
macro_rules! on_both {
    ($($name:ident)+) => {
        mod sqlite { $(
            #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn $name() {
                super::$name($crate::sample::Sample::new($crate::sample::Database::Sqlite).await).await;
            }
        )+ }
        mod postgres { $(
            #[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn $name() {
                super::$name($crate::sample::Sample::new($crate::sample::Database::Postgres).await).await;
            }
        )+ }
    };
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
