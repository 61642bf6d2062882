//! Adding a batch: one transaction, all or nothing.

use std::collections::HashMap;

use program::{Entry, EntryId, SiteId};
use sqlx::{QueryBuilder, Sqlite, SqliteConnection, SqlitePool};

use super::read;
use crate::hash::Hash;
use crate::hashed_form;
use crate::store::{AppendError, Head, Receipt, Row};

/// Rows in one INSERT: eight values each stay far below the limit of 32766 on values.
const ROWS_AT_ONCE: usize = 500;

/// A row ready to be written.
struct NewRow<'a> {
    entry: &'a Entry,
    seq: u64,
    payload: String,
    previous: Hash,
    hash: Hash,
}

pub(super) async fn append(
    pool: &SqlitePool,
    site: &SiteId,
    entries: &[Entry],
) -> Result<Receipt, AppendError> {
    check_names(site, entries)?;
    // The write lock is taken at once: a transaction that began as a reader could find, when it
    // comes to write, that its view of the head is old.
    let mut transaction = pool.begin_with("BEGIN IMMEDIATE").await?;
    let head = read::head(&mut transaction, site).await?;
    let head = head.unwrap_or(Head { seq: 0, hash: Hash::START });
    let kept = kept(&mut transaction, entries).await?;
    let (rows, already_known) = chain(entries, head, &kept)?;
    for some in rows.chunks(ROWS_AT_ONCE) {
        insert(&mut transaction, some).await?;
    }
    transaction.commit().await?;
    let added = u64::try_from(rows.len()).unwrap_or(u64::MAX);
    let head = rows.last().map_or(head.hash, |row| row.hash);
    Ok(Receipt { added, already_known, head })
}

/// Refuses a batch of several sites and names without a character.
fn check_names(site: &SiteId, entries: &[Entry]) -> Result<(), AppendError> {
    if site.as_str().is_empty() || entries.iter().any(|entry| entry.id.as_str().is_empty()) {
        return Err(AppendError::EmptyName);
    }
    match entries.iter().find(|entry| entry.site != *site) {
        None => Ok(()),
        Some(entry) => Err(AppendError::OtherSite {
            id: entry.id.clone(),
            found: entry.site.clone(),
            site: site.clone(),
        }),
    }
}

/// The rows already kept under the ids of the batch.
async fn kept(
    connection: &mut SqliteConnection,
    entries: &[Entry],
) -> Result<HashMap<EntryId, Row>, AppendError> {
    let mut found = HashMap::new();
    for some in entries.chunks(ROWS_AT_ONCE) {
        let ids = some.iter().map(|entry| &entry.id);
        let rows = read::with_ids(connection, ids).await?;
        found.extend(rows.into_iter().map(|row| (row.id.clone(), row)));
    }
    Ok(found)
}

/// Links the entries that are new behind `head`, and counts those that are not.
fn chain<'a>(
    entries: &'a [Entry],
    head: Head,
    kept: &HashMap<EntryId, Row>,
) -> Result<(Vec<NewRow<'a>>, u64), AppendError> {
    let mut rows: Vec<NewRow<'a>> = Vec::with_capacity(entries.len());
    let mut in_batch: HashMap<&EntryId, &Entry> = HashMap::new();
    let mut head = head;
    let mut already_known = 0;
    for entry in entries {
        if let Some(row) = kept.get(&entry.id) {
            same_as_kept(entry, row)?;
            already_known += 1;
        } else if let Some(earlier) = in_batch.insert(&entry.id, entry) {
            if earlier != entry {
                return Err(AppendError::OtherContent { id: entry.id.clone(), kept: None });
            }
            already_known += 1;
        } else {
            let row = link(entry, head)?;
            head = Head { seq: row.seq, hash: row.hash };
            rows.push(row);
        }
    }
    Ok((rows, already_known))
}

/// The row of `entry` behind `head`.
fn link(entry: &Entry, head: Head) -> Result<NewRow<'_>, AppendError> {
    // INVARIANT (chain order): places run from 1 without a gap, each naming the hash before it.
    let seq = head.seq + 1;
    let payload = write(entry, seq, head.hash)?;
    let hash = Hash::of(payload.as_bytes());
    Ok(NewRow { entry, seq, payload, previous: head.hash, hash })
}

/// Refuses an entry that says something else than the row kept under its id: written at the place
/// of that row it must give the same text, byte for byte.
fn same_as_kept(entry: &Entry, row: &Row) -> Result<(), AppendError> {
    let previous = Hash::from_bytes(&row.previous).unwrap_or(Hash::START);
    if write(entry, row.seq, previous)? == row.payload {
        return Ok(());
    }
    let kept = row.clone().into_stored()?.entry;
    Err(AppendError::OtherContent { id: entry.id.clone(), kept: Some(Box::new(kept)) })
}

fn write(entry: &Entry, seq: u64, previous: Hash) -> Result<String, AppendError> {
    hashed_form::write(entry, seq, previous)
        .map_err(|source| AppendError::Unwritable { id: entry.id.clone(), source })
}

async fn insert(connection: &mut SqliteConnection, rows: &[NewRow<'_>]) -> sqlx::Result<()> {
    let mut query: QueryBuilder<Sqlite> = QueryBuilder::new(
        "INSERT INTO entries (site, seq, id, happened, entered, payload, previous, hash) ",
    );
    query.push_values(rows, |mut tuple, row| {
        tuple
            .push_bind(row.entry.site.as_str())
            .push_bind(i64::try_from(row.seq).unwrap_or(i64::MAX))
            .push_bind(row.entry.id.as_str())
            .push_bind(row.entry.happened.as_microsecond())
            .push_bind(row.entry.entered.as_microsecond())
            .push_bind(row.payload.as_str())
            .push_bind(row.previous.as_bytes().as_slice())
            .push_bind(row.hash.as_bytes().as_slice());
    });
    query.build().execute(connection).await.map(|_| ())
}
