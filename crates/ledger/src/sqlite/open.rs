//! Opening a file: is it ours, may we write it, is it of an age we know.

use std::path::{Path, PathBuf};
use std::sync::LazyLock;
use std::time::Duration;

use sqlx::migrate::{MigrateError, Migration, MigrationType, Migrator};
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqlitePoolOptions, SqliteSynchronous};
use sqlx::{ConnectOptions, Connection, SqlSafeStr, SqliteConnection, SqlitePool};
use thiserror::Error;

/// The files of `migrations/sqlite`, each once. Listed by hand and not by the macro of the driver,
/// which would build the driver and SQLite a second time for the compiler's own use.
static MIGRATIONS: LazyLock<Migrator> = LazyLock::new(|| {
    let files = [(1, "entries", include_str!("../../migrations/sqlite/0001_entries.sql"))];
    let migration = |(version, name, sql): (i64, &'static str, &'static str)| {
        let kind = MigrationType::Simple;
        Migration::new(version, name.into(), kind, sql.into_sql_str(), false)
    };
    Migrator::with_migrations(files.into_iter().map(migration).collect())
});

/// Marks a SQLite file as a ledger in its header: the letters `BWLG`, set by the first migration.
const APPLICATION_ID: i32 = 0x4257_4c47;

/// How long a writer waits for another one.
const WAIT: Duration = Duration::from_secs(10);

/// Connections for readers beside the one writer that SQLite allows at a time.
const CONNECTIONS: u32 = 4;

/// Why a ledger could not be opened.
#[derive(Debug, Error)]
pub enum OpenError {
    /// The file or its folder may not be written.
    #[error("the ledger `{}` may not be written\n  allow writing to the file and to its folder", .path.display())]
    ReadOnly {
        /// The file.
        path: PathBuf,
    },
    /// The file belongs to another program.
    #[error("`{}` is not a ledger of this program\n  name another file, or one that does not exist yet", .path.display())]
    NotALedger {
        /// The file.
        path: PathBuf,
    },
    /// A newer version of this program wrote the file.
    #[error("the ledger `{}` was written by a newer version (schema {found}, this version knows {known})\n  update this program; nothing was changed", .path.display())]
    NewerSchema {
        /// The file.
        path: PathBuf,
        /// The schema in it.
        found: i64,
        /// The newest schema known here.
        known: i64,
    },
    /// The file cannot be made or opened at all.
    #[error("the ledger `{}` cannot be opened: {source}\n  check that the folder exists and is not a file", .path.display())]
    Unreachable {
        /// The file.
        path: PathBuf,
        /// What the database said.
        source: sqlx::Error,
    },
    /// The schema could not be brought up to date.
    #[error("the ledger `{}` could not be brought up to date: {source}", .path.display())]
    Migration {
        /// The file.
        path: PathBuf,
        /// What the database said.
        source: MigrateError,
    },
}

pub(super) async fn open(path: &Path) -> Result<SqlitePool, OpenError> {
    probe(path).await?;
    let options = SqliteConnectOptions::new()
        .filename(path)
        .create_if_missing(true)
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(SqliteSynchronous::Full)
        .foreign_keys(true)
        .busy_timeout(WAIT);
    let pool = SqlitePoolOptions::new()
        .max_connections(CONNECTIONS)
        .connect_with(options)
        .await
        .map_err(|error| explain(path, error))?;
    let migrated = MIGRATIONS.run(&pool).await;
    match migrated {
        Ok(()) => Ok(pool),
        Err(MigrateError::Execute(error)) => Err(explain(path, error)),
        Err(source) => Err(OpenError::Migration { path: path.to_owned(), source }),
    }
}

/// Looks at a file that exists before anything is written, so that the file of another program is
/// left as it is.
async fn probe(path: &Path) -> Result<(), OpenError> {
    let Ok(metadata) = std::fs::metadata(path) else { return Ok(()) };
    if metadata.permissions().readonly() {
        return Err(OpenError::ReadOnly { path: path.to_owned() });
    }
    if metadata.is_file() && metadata.len() == 0 {
        return Ok(());
    }
    let options = SqliteConnectOptions::new().filename(path).read_only(true).busy_timeout(WAIT);
    let mut connection = options.connect().await.map_err(|error| explain(path, error))?;
    let seen = Seen::ask(&mut connection).await.map_err(|error| explain(path, error))?;
    // A failure to close a connection that only read loses nothing.
    let _ = connection.close().await;
    let known = MIGRATIONS.iter().map(|migration| migration.version).max().unwrap_or_default();
    match seen {
        Seen { application: APPLICATION_ID, schema, .. } if schema > known => {
            Err(OpenError::NewerSchema { path: path.to_owned(), found: schema, known })
        }
        Seen { application: APPLICATION_ID, .. } | Seen { application: 0, tables: 0, .. } => Ok(()),
        _ => Err(OpenError::NotALedger { path: path.to_owned() }),
    }
}

/// What a file says of itself.
struct Seen {
    application: i32,
    /// Tables beside the list of migrations: none in a ledger whose making was cut short.
    tables: i64,
    /// The newest migration, 0 where there is none.
    schema: i64,
}

impl Seen {
    async fn ask(connection: &mut SqliteConnection) -> sqlx::Result<Self> {
        let application =
            sqlx::query_scalar("PRAGMA application_id").fetch_one(&mut *connection).await?;
        let (tables, lists): (i64, i64) = sqlx::query_as(
            "SELECT count(*) FILTER (WHERE name <> '_sqlx_migrations'), \
             count(*) FILTER (WHERE name = '_sqlx_migrations') \
             FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite%'",
        )
        .fetch_one(&mut *connection)
        .await?;
        let schema = if lists == 0 {
            0
        } else {
            sqlx::query_scalar("SELECT coalesce(max(version), 0) FROM _sqlx_migrations")
                .fetch_one(connection)
                .await?
        };
        Ok(Self { application, tables, schema })
    }
}

/// Tells the usual refusals of SQLite apart by its result codes
/// (SQLITE_PERM 3, SQLITE_READONLY 8, SQLITE_NOTADB 26; the low byte is the primary code).
fn explain(path: &Path, error: sqlx::Error) -> OpenError {
    let code = error
        .as_database_error()
        .and_then(|database| database.code())
        .and_then(|code| code.parse::<i32>().ok())
        .map(|code| code & 0xff);
    let path = path.to_owned();
    match code {
        Some(3 | 8) => OpenError::ReadOnly { path },
        Some(26) => OpenError::NotALedger { path },
        _ => OpenError::Unreachable { path, source: error },
    }
}
