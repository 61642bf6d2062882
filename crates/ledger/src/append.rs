//! Adding a batch: one transaction, all or nothing.

use std::collections::HashMap;

use program::{Entry, EntryId, SiteId};

use crate::hash::Hash;
use crate::hashed_form;
use crate::store::{AppendError, Head, NewRow, ReadError, Receipt, Row, Store, Writing};

pub(crate) async fn append(
    store: &impl Store,
    site: &SiteId,
    entries: &[Entry],
) -> Result<Receipt, AppendError> {
    check_names(site, entries)?;
    // Almost every entry is new, and the database itself refuses one that is not: what is kept is
    // looked up only after a refusal.
    match write_batch(store, site, entries, Look::No).await {
        Err(AppendError::Read(ReadError::Database(error)))
            if error.as_database_error().is_some() =>
        {
            write_batch(store, site, entries, Look::First).await
        }
        outcome => outcome,
    }
}

/// Whether to look for entries that are kept already before the batch is written.
#[derive(PartialEq)]
enum Look {
    No,
    First,
}

async fn write_batch(
    store: &impl Store,
    site: &SiteId,
    entries: &[Entry],
    look: Look,
) -> Result<Receipt, AppendError> {
    let mut writing = store.begin().await?;
    let head = writing.head(site).await?.unwrap_or(Head { seq: 0, hash: Hash::START });
    let mut kept = HashMap::new();
    if look == Look::First {
        let ids: Vec<&str> = entries.iter().map(|entry| entry.id.as_str()).collect();
        let rows = writing.kept(&ids).await?;
        kept.extend(rows.into_iter().map(|row| (row.id.clone(), row)));
    }
    let (rows, already_known) = chain(entries, head, &kept)?;
    writing.insert(&rows).await?;
    writing.commit().await?;
    let added = u64::try_from(rows.len()).unwrap_or(u64::MAX);
    let head = rows.last().map_or(head.hash, |row| row.hash);
    Ok(Receipt { added, already_known, head })
}

/// Refuses a batch of several sites, and names that cannot be kept.
fn check_names(site: &SiteId, entries: &[Entry]) -> Result<(), AppendError> {
    let names = || entries.iter().map(|entry| entry.id.as_str()).chain([site.as_str()]);
    if names().any(str::is_empty) {
        return Err(AppendError::EmptyName);
    }
    // Also the names of things inside: what is derived from an entry is kept under them.
    let things = entries.iter().flat_map(Entry::subjects);
    let null = |name: &str| name.contains('\0');
    if names().any(null) || things.into_iter().any(|(_, thing)| null(thing.id())) {
        return Err(AppendError::NullInName);
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

/// Links the entries that are new behind `head`, and counts those that are not.
fn chain(
    entries: &[Entry],
    head: Head,
    kept: &HashMap<EntryId, Row>,
) -> Result<(Vec<NewRow>, u64), AppendError> {
    let mut rows: Vec<NewRow> = Vec::with_capacity(entries.len());
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
fn link(entry: &Entry, head: Head) -> Result<NewRow, AppendError> {
    // INVARIANT (chain order): places run from 1 without a gap, each naming the hash before it.
    let seq = head.seq + 1;
    let payload = write(entry, seq, head.hash)?;
    let hash = Hash::of(payload.as_bytes());
    Ok(NewRow {
        site: entry.site.clone(),
        seq,
        id: entry.id.clone(),
        happened_us: entry.happened.as_microsecond(),
        entered_us: entry.entered.as_microsecond(),
        payload,
        previous: head.hash,
        hash,
    })
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
