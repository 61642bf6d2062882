//! What the chain costs: entries kept durably, beside the same rows inserted bare by the same
//! driver into a table with the same columns and keys, in one run on either database.
//!
//! Prints rows a second and the ratio; 1 would mean that the chain, the check for entries sent
//! twice and the guards of the table are free.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a measurement that cannot be made must stop"
)]

#[path = "../crates/ledger/tests/support/cluster.rs"]
mod cluster;

use std::time::{Duration, Instant};

use jiff::Timestamp;
use ledger::{Ledger, StoredEntry, Target};
use program::{Entry, EntryId, Fact, PersonId, SiteId, UnitId};
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqliteSynchronous};
use sqlx::{
    ConnectOptions, Connection, Executor, PgConnection, QueryBuilder, Sqlite, SqliteConnection,
};

/// Turns of each kind: bare and chained take turns, so that both meet the same weather.
const TURNS: usize = 15;
/// Single entries in one turn.
const SINGLES: usize = 100;
/// Entries in one batch.
const BATCH: usize = 1000;

#[tokio::main]
async fn main() {
    let folder = tempfile::tempdir().unwrap();
    let file = Target::File(folder.path().join("plant.db"));
    let options = SqliteConnectOptions::new()
        .filename(folder.path().join("bare.db"))
        .create_if_missing(true)
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(SqliteSynchronous::Full);
    let mut bare = Bare::Sqlite(options.connect().await.unwrap());
    measure("SQLite", &file, &mut bare).await;

    let cluster = cluster::Cluster::new();
    let server = Target::Server(cluster.database());
    let mut bare = Bare::Postgres(PgConnection::connect(&cluster.database()).await.unwrap());
    measure("PostgreSQL", &server, &mut bare).await;
}

async fn measure(name: &str, target: &Target, bare: &mut Bare) {
    bare.make().await;
    let ledger = Ledger::open(target).await.unwrap();
    for (what, size, times) in [("single entries", 1, SINGLES), ("batches of 1,000", BATCH, 1)] {
        let mut took = [Vec::new(), Vec::new()];
        for turn in 0..TURNS {
            let batches: Vec<Vec<Entry>> =
                (0..times).map(|n| entries(&format!("{size}-{turn}-{n}"), size)).collect();
            let started = Instant::now();
            let before = ledger.head(&site()).await.unwrap().map_or(0, |head| head.seq);
            for batch in &batches {
                ledger.append(&site(), batch).await.unwrap();
            }
            took[0].push(started.elapsed());
            // The very same rows, read back from the ledger, go into the bare table.
            let rows = kept(&ledger, before, size * times).await;
            let started = Instant::now();
            for some in rows.chunks(size) {
                bare.insert(some).await;
            }
            took[1].push(started.elapsed());
        }
        let [chained, bare] = took.map(|times_taken| rate(times_taken, size * times));
        println!(
            "{name}, {what}: chained {chained:.0}/s, bare {bare:.0}/s, ratio {:.2}",
            chained / bare
        );
    }
}

/// Rows a second in the middle turn.
fn rate(mut took: Vec<Duration>, rows: usize) -> f64 {
    took.sort();
    rows as f64 / took[took.len() / 2].as_secs_f64()
}

fn site() -> SiteId {
    SiteId::new("north")
}

fn entries(name: &str, count: usize) -> Vec<Entry> {
    let minute = Timestamp::from_microsecond(1_760_000_000_000_000).unwrap();
    let entry = |n| Entry {
        id: EntryId::new(format!("0192-{name}-{n:06}")),
        site: site(),
        happened: minute,
        entered: minute,
        by: PersonId::new("p-1"),
        device: "bench".to_owned(),
        corrects: None,
        fact: Fact::Held {
            unit: UnitId::new("HM-001"),
            why: "strap torn at the buckle".to_owned(),
        },
    };
    (0..count).map(entry).collect()
}

/// One row as it goes into the bare table.
struct Plain {
    seq: i64,
    stored: StoredEntry,
    payload: String,
}

async fn kept(ledger: &Ledger, before: u64, count: usize) -> Vec<Plain> {
    let mut rows = Vec::new();
    // Only one site is written and positions start at 1, so the place is the position.
    let mut after = before;
    while rows.len() < count {
        let page = ledger.read(None, after).await.unwrap();
        after = page.last().unwrap().position;
        rows.extend(page.into_iter().map(|stored| {
            let seq = i64::try_from(stored.seq).unwrap();
            // As long as the hashed text, whose other fields are of fixed length.
            let payload = format!("{:>170}{}", "", serde_json::to_string(&stored.entry).unwrap());
            Plain { seq, stored, payload }
        }));
    }
    rows
}

enum Bare {
    Sqlite(SqliteConnection),
    Postgres(PgConnection),
}

impl Bare {
    async fn make(&mut self) {
        match self {
            Self::Sqlite(connection) => connection
                .execute(
                    "CREATE TABLE bare (position INTEGER PRIMARY KEY AUTOINCREMENT, \
                     site TEXT NOT NULL, seq INTEGER NOT NULL, id TEXT NOT NULL UNIQUE, \
                     happened INTEGER NOT NULL, entered INTEGER NOT NULL, payload TEXT NOT NULL, \
                     previous BLOB NOT NULL, hash BLOB NOT NULL, UNIQUE (site, seq)) STRICT",
                )
                .await
                .map(|_| ()),
            Self::Postgres(connection) => connection
                .execute(
                    "CREATE TABLE bare (position bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY, \
                     site text COLLATE \"C\" NOT NULL, seq bigint NOT NULL, \
                     id text COLLATE \"C\" NOT NULL UNIQUE, happened bigint NOT NULL, \
                     entered bigint NOT NULL, payload text NOT NULL, previous bytea NOT NULL, \
                     hash bytea NOT NULL, UNIQUE (site, seq))",
                )
                .await
                .map(|_| ()),
        }
        .unwrap();
    }

    async fn insert(&mut self, rows: &[Plain]) {
        match self {
            Self::Sqlite(connection) => {
                let mut transaction = connection.begin().await.unwrap();
                for some in rows.chunks(500) {
                    plain_sqlite(&mut transaction, some).await;
                }
                transaction.commit().await.unwrap();
            }
            Self::Postgres(connection) => plain_postgres(connection, rows).await,
        }
    }
}

async fn plain_sqlite(connection: &mut SqliteConnection, rows: &[Plain]) {
    let mut query: QueryBuilder<Sqlite> = QueryBuilder::new(
        "INSERT INTO bare (site, seq, id, happened, entered, payload, previous, hash) ",
    );
    query.push_values(rows, |mut tuple, row| {
        let Plain { seq, stored, payload } = row;
        tuple
            .push_bind(stored.entry.site.as_str())
            .push_bind(seq)
            .push_bind(stored.entry.id.as_str())
            .push_bind(stored.entry.happened.as_microsecond())
            .push_bind(stored.entry.entered.as_microsecond())
            .push_bind(payload.as_str())
            .push_bind(stored.hash.as_bytes().as_slice())
            .push_bind(stored.hash.as_bytes().as_slice());
    });
    query.build().execute(connection).await.unwrap();
}

async fn plain_postgres(connection: &mut PgConnection, rows: &[Plain]) {
    let texts = |of: fn(&Plain) -> &str| rows.iter().map(of).collect::<Vec<&str>>();
    let numbers = |of: fn(&Plain) -> i64| rows.iter().map(of).collect::<Vec<i64>>();
    let hashes: Vec<&[u8]> = rows.iter().map(|row| row.stored.hash.as_bytes().as_slice()).collect();
    sqlx::query(
        "INSERT INTO bare (site, seq, id, happened, entered, payload, previous, hash) \
         SELECT * FROM unnest($1::text[], $2::bigint[], $3::text[], $4::bigint[], $5::bigint[], \
         $6::text[], $7::bytea[], $8::bytea[])",
    )
    .bind(texts(|row| row.stored.entry.site.as_str()))
    .bind(numbers(|row| row.seq))
    .bind(texts(|row| row.stored.entry.id.as_str()))
    .bind(numbers(|row| row.stored.entry.happened.as_microsecond()))
    .bind(numbers(|row| row.stored.entry.entered.as_microsecond()))
    .bind(texts(|row| row.payload.as_str()))
    .bind(&hashes)
    .bind(&hashes)
    .execute(connection)
    .await
    .unwrap();
}
