//! Opening a file: is it ours, may we write it, is it of an age we know.

use std::path::Path;
use std::sync::LazyLock;
use std::time::Duration;

use sqlx::migrate::Migrator;
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqlitePoolOptions, SqliteSynchronous};
use sqlx::{ConnectOptions, Connection, SqliteConnection, SqlitePool};

use crate::open::{self, OpenError};

/// The files of `migrations/sqlite`, each once.
const FILES: [(i64, &str, &str); 6] = [
    (1, "entries", include_str!("../../migrations/sqlite/0001_entries.sql")),
    (2, "projections", include_str!("../../migrations/sqlite/0002_projections.sql")),
    (3, "attachments", include_str!("../../migrations/sqlite/0003_attachments.sql")),
    (4, "about in pieces", include_str!("../../migrations/sqlite/0004_about_in_pieces.sql")),
    (5, "things", include_str!("../../migrations/sqlite/0005_things.sql")),
    (6, "ends", include_str!("../../migrations/sqlite/0006_ends.sql")),
];

static MIGRATIONS: LazyLock<Migrator> = LazyLock::new(|| open::migrator(&FILES));

/// Marks a SQLite file as a ledger in its header: the letters `BWLG`, set by the first migration.
const APPLICATION_ID: i32 = 0x4257_4c47;

/// How long a writer waits for another one.
const WAIT: Duration = Duration::from_secs(10);

/// Connections for readers beside the one writer that SQLite allows at a time.
const CONNECTIONS: u32 = 4;

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
        // A file does not hang up.
        .test_before_acquire(false)
        .connect_with(options)
        .await
        .map_err(|error| OpenError::explain(&path.into(), error))?;
    let migrated = MIGRATIONS.run(&pool).await;
    migrated.map_err(|error| OpenError::explain_migration(&path.into(), error))?;
    Ok(pool)
}

/// Opens a file that is there and writes nothing to it.
pub(super) async fn open_to_read(path: &Path) -> Result<SqlitePool, OpenError> {
    let explained = |error| OpenError::explain(&path.into(), error);
    let options = SqliteConnectOptions::new().filename(path).read_only(true).busy_timeout(WAIT);
    // A file in the mode of a ledger wants files beside it even to be read. Where the file or its folder
    // may not be written and nothing was left beside, nobody writes, and the file is all there is.
    let shut = std::fs::metadata(path).is_ok_and(|found| found.permissions().readonly());
    let alone = !left_beside(path) && (shut || Seen::look(path, true).await.is_err());
    let options = options.immutable(alone);
    let pool = SqlitePoolOptions::new().max_connections(1).test_before_acquire(false);
    let pool = pool.connect_with(options).await.map_err(explained)?;
    let mut connection = pool.acquire().await.map_err(explained)?;
    let seen = Seen::ask(&mut connection).await.map_err(explained)?;
    seen.is_read(path)?;
    Ok(pool)
}

/// Whether entries may still stand in the write-ahead file of a ledger.
fn left_beside(path: &Path) -> bool {
    let mut beside = path.as_os_str().to_owned();
    beside.push("-wal");
    std::fs::metadata(beside).is_ok_and(|found| 0 < found.len())
}

/// The newest schema.
pub(super) fn newest() -> i64 {
    open::newest(&MIGRATIONS)
}

/// The guards that a ledger of this schema has, by name with the text that made them.
pub(super) fn guards(schema: i64) -> impl Iterator<Item = (&'static str, &'static str)> {
    let texts = FILES.iter().filter(move |(version, ..)| *version <= schema).map(|(.., sql)| *sql);
    let made =
        texts.flat_map(|sql| sql.match_indices("CREATE TRIGGER ").map(move |(at, _)| (sql, at)));
    made.filter_map(|(sql, at)| {
        let from = sql.get(at..)?;
        let text = from.get(..from.find(GUARD_ENDS)? + GUARD_ENDS.len() - 1)?;
        Some((text.split_whitespace().nth(2)?, text))
    })
}

/// How the text of a guard ends in a file; the database keeps it without the last sign.
const GUARD_ENDS: &str = "\nEND;";

/// Looks at a file that exists before anything is written, so that the file of another program is
/// left as it is.
async fn probe(path: &Path) -> Result<(), OpenError> {
    let Ok(metadata) = std::fs::metadata(path) else { return Ok(()) };
    if metadata.permissions().readonly() {
        return Err(OpenError::ReadOnly { target: path.into() });
    }
    if metadata.is_file() && metadata.len() == 0 {
        return Ok(());
    }
    let seen = match Seen::look(path, true).await {
        // A process that was killed left something to be undone or caught up, which takes leave to
        // write.
        Err(error) if is_cut_short(&error) => Seen::look(path, false).await,
        seen => seen,
    };
    let seen = seen.map_err(|error| OpenError::explain(&path.into(), error))?;
    let known = open::newest(&MIGRATIONS);
    match seen {
        Seen { application: APPLICATION_ID, schema, .. } if schema > known => {
            Err(OpenError::NewerSchema { target: path.into(), found: schema, known })
        }
        Seen { application: APPLICATION_ID, .. } | Seen { application: 0, tables: 0, .. } => Ok(()),
        _ => Err(OpenError::NotALedger { target: path.into() }),
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

/// Whether a database could not be read for want of writing: SQLITE_READONLY_ROLLBACK,
/// SQLITE_READONLY_RECOVERY and SQLITE_READONLY_CANTINIT.
///
/// Source: the extended result codes of SQLite.
fn is_cut_short(error: &sqlx::Error) -> bool {
    let code = error.as_database_error().and_then(|database| database.code());
    matches!(code.as_deref(), Some("776" | "264" | "1288"))
}

impl Seen {
    /// Refuses what is not a ledger, or one of an age that is not read as it stands.
    fn is_read(&self, path: &Path) -> Result<(), OpenError> {
        let (found, known, oldest) = (self.schema, open::newest(&MIGRATIONS), open::OLDEST_READ);
        let target = path.into();
        match self.application {
            APPLICATION_ID if known < found => Err(OpenError::NewerSchema { target, found, known }),
            APPLICATION_ID if found < oldest => {
                Err(OpenError::OlderSchema { target, found, oldest })
            }
            APPLICATION_ID => Ok(()),
            _ => Err(OpenError::NotALedger { target }),
        }
    }

    async fn look(path: &Path, read_only: bool) -> sqlx::Result<Self> {
        let options = SqliteConnectOptions::new().filename(path).busy_timeout(WAIT);
        let mut connection = options.read_only(read_only).connect().await?;
        let seen = Self::ask(&mut connection).await?;
        // A failure to close a connection that only read loses nothing.
        let _ = connection.close().await;
        Ok(seen)
    }

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
