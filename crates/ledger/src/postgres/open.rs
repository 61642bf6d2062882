//! Opening a database: is it ours, may we write it, does it keep what it says it kept.

use std::sync::LazyLock;
use std::time::Duration;

use sqlx::migrate::Migrator;
use sqlx::postgres::{PgConnectOptions, PgPoolOptions};
use sqlx::{ConnectOptions, Connection, PgConnection, PgPool};

use crate::open::{self, OpenError};
use crate::target::Target;

/// The files of `migrations/postgres`, each once.
const FILES: [(i64, &str, &str); 6] = [
    (1, "entries", include_str!("../../migrations/postgres/0001_entries.sql")),
    (2, "projections", include_str!("../../migrations/postgres/0002_projections.sql")),
    (3, "attachments", include_str!("../../migrations/postgres/0003_attachments.sql")),
    (4, "about in pieces", include_str!("../../migrations/postgres/0004_about_in_pieces.sql")),
    (5, "things", include_str!("../../migrations/postgres/0005_things.sql")),
    (6, "ends", include_str!("../../migrations/postgres/0006_ends.sql")),
];

static MIGRATIONS: LazyLock<Migrator> = LazyLock::new(|| open::migrator(&FILES));

/// How long a writer waits for another one, and anyone for a connection.
const WAIT: Duration = Duration::from_secs(10);

/// How long a connection may rest before it is tried out.
const RESTED: Duration = Duration::from_secs(1);

/// Connections of one process.
const CONNECTIONS: u32 = 4;

/// Settings without which an acknowledged entry can be lost, or its text altered on the way.
const SETTINGS: [(&str, &[&str]); 4] = [
    ("fsync", &["on"]),
    ("full_page_writes", &["on"]),
    ("synchronous_commit", &["on", "local", "remote_write", "remote_apply"]),
    ("server_encoding", &["UTF8"]),
];

pub(super) async fn open(url: &str) -> Result<PgPool, OpenError> {
    let target = Target::Server(url.to_owned());
    let pool = pool(&target, url, probe).await?;
    let migrated = MIGRATIONS.run(&pool).await;
    migrated.map_err(|error| OpenError::explain_migration(&target, error))?;
    Ok(pool)
}

/// Opens a ledger that is there and writes nothing to it.
pub(super) async fn open_to_read(url: &str) -> Result<PgPool, OpenError> {
    pool(&Target::Server(url.to_owned()), url, is_read).await
}

/// Connections to a database at which `look` finds nothing wrong.
async fn pool(
    target: &Target,
    url: &str,
    look: impl AsyncFn(&Target, &mut PgConnection) -> Result<(), OpenError>,
) -> Result<PgPool, OpenError> {
    let refused = |error| OpenError::explain(target, error);
    let options: PgConnectOptions = url.parse().map_err(refused)?;
    let options = options.options([("lock_timeout", format!("{}s", WAIT.as_secs()))]);
    let mut connection = options.connect().await.map_err(refused)?;
    look(target, &mut connection).await?;
    // A failure to close a connection that only read loses nothing.
    let _ = connection.close().await;
    PgPoolOptions::new()
        .max_connections(CONNECTIONS)
        .acquire_timeout(WAIT)
        .test_before_acquire(false)
        .before_acquire(|connection, metadata| {
            // A connection that was just used is still there; one that rested may have been cut.
            Box::pin(async move {
                if metadata.idle_for > RESTED {
                    connection.ping().await?;
                }
                Ok(true)
            })
        })
        .connect_with(options)
        .await
        .map_err(refused)
}

/// The newest schema.
pub(super) fn newest() -> i64 {
    open::newest(&MIGRATIONS)
}

/// The guards that a ledger of this schema has, and the texts of all that was made with them.
pub(super) fn guards(schema: i64) -> (Vec<&'static str>, String) {
    let texts: Vec<&'static str> =
        FILES.iter().filter(|(version, ..)| *version <= schema).map(|(.., sql)| *sql).collect();
    let made = texts.iter().flat_map(|sql| sql.split("CREATE TRIGGER ").skip(1));
    (made.filter_map(|made| made.split_whitespace().next()).collect(), texts.concat())
}

/// Refuses what is not a ledger, or one of an age that is not read as it stands.
async fn is_read(target: &Target, connection: &mut PgConnection) -> Result<(), OpenError> {
    let seen = Seen::ask(connection).await.map_err(|error| OpenError::explain(target, error))?;
    let (found, known, oldest) = (seen.schema, open::newest(&MIGRATIONS), open::OLDEST_READ);
    let target = target.clone();
    match seen.ours {
        true if known < found => Err(OpenError::NewerSchema { target, found, known }),
        true if found < oldest => Err(OpenError::OlderSchema { target, found, oldest }),
        true => Ok(()),
        false => Err(OpenError::NotALedger { target }),
    }
}

/// Looks at the database before anything is written, so that that of another program is left as it
/// is.
async fn probe(target: &Target, connection: &mut PgConnection) -> Result<(), OpenError> {
    let refused = |error| OpenError::explain(target, error);
    for (setting, good) in SETTINGS {
        let value: String = sqlx::query_scalar("SELECT current_setting($1)")
            .bind(setting)
            .fetch_one(&mut *connection)
            .await
            .map_err(refused)?;
        if !good.contains(&value.as_str()) {
            let wanted = good.first().copied().unwrap_or_default();
            return Err(OpenError::NotDurable { target: target.clone(), setting, value, wanted });
        }
    }
    let known = open::newest(&MIGRATIONS);
    match Seen::ask(connection).await.map_err(refused)? {
        Seen { ours: true, schema, .. } if schema > known => {
            Err(OpenError::NewerSchema { target: target.clone(), found: schema, known })
        }
        Seen { ours: true, .. } | Seen { tables: 0, .. } => Ok(()),
        _ => Err(OpenError::NotALedger { target: target.clone() }),
    }
}

/// What a database says of itself.
struct Seen {
    /// Whether its entries bear the mark of a ledger.
    ours: bool,
    /// Tables beside the list of migrations: none in a ledger whose making was cut short.
    tables: i64,
    /// The newest migration, 0 where there is none.
    schema: i64,
}

impl Seen {
    async fn ask(connection: &mut PgConnection) -> sqlx::Result<Self> {
        let (ours, tables, listed): (bool, i64, bool) = sqlx::query_as(
            "SELECT coalesce(obj_description(to_regclass('entries'), 'pg_class') LIKE 'BWLG:%', false), \
             (SELECT count(*) FROM pg_tables \
               WHERE schemaname = current_schema() AND tablename <> '_sqlx_migrations'), \
             to_regclass('_sqlx_migrations') IS NOT NULL",
        )
        .fetch_one(&mut *connection)
        .await?;
        let schema = if listed {
            sqlx::query_scalar("SELECT coalesce(max(version), 0) FROM _sqlx_migrations")
                .fetch_one(connection)
                .await?
        } else {
            0
        };
        Ok(Self { ours, tables, schema })
    }
}
