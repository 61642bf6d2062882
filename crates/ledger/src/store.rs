//! The narrow door to a database: append, page, find, head, sites. What can be kept equal on two
//! engines stays small; everything else is computed from it.

use program::{Entry, EntryId, SiteId};
use serde::Serialize;
use thiserror::Error;

use crate::hash::Hash;
use crate::hashed_form;

/// What a database must be able to do for a ledger.
pub(crate) trait Store {
    /// See [`crate::Ledger::append`].
    async fn append(&self, site: &SiteId, entries: &[Entry]) -> Result<Receipt, AppendError>;
    /// Rows after a position, oldest first, at most [`PAGE`].
    async fn page(&self, site: Option<&SiteId>, after: u64) -> Result<Vec<Row>, ReadError>;
    /// The row with this id.
    async fn find(&self, id: &EntryId) -> Result<Option<Row>, ReadError>;
    /// The end of the chain of a site.
    async fn head(&self, site: &SiteId) -> Result<Option<Head>, ReadError>;
    /// The sites in the order of their first entries.
    async fn sites(&self) -> Result<Vec<SiteId>, ReadError>;
}

/// How many rows one page holds at most.
pub(crate) const PAGE: u16 = 2000;

/// One row as the database keeps it, not yet believed.
#[derive(Debug, Clone)]
pub(crate) struct Row {
    pub(crate) position: u64,
    pub(crate) site: SiteId,
    pub(crate) seq: u64,
    pub(crate) id: EntryId,
    pub(crate) happened_us: i64,
    pub(crate) entered_us: i64,
    pub(crate) payload: String,
    pub(crate) previous: Vec<u8>,
    pub(crate) hash: Vec<u8>,
}

impl Row {
    /// The entry in it; an error names the row where it cannot be read.
    pub(crate) fn into_stored(self) -> Result<StoredEntry, ReadError> {
        let unreadable = |column, why| ReadError::Contradiction {
            position: self.position,
            id: self.id.clone(),
            column,
            why,
        };
        let hash = Hash::from_bytes(&self.hash)
            .ok_or_else(|| unreadable("hash", "is not 32 bytes".to_owned()))?;
        let form = hashed_form::read(&self.payload).map_err(|why| unreadable("payload", why))?;
        let entry = form
            .into_entry()
            .ok_or_else(|| unreadable("payload", "holds a time outside the calendar".to_owned()))?;
        Ok(StoredEntry { position: self.position, seq: self.seq, hash, entry })
    }
}

/// An entry as it is kept.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredEntry {
    /// Its place in the whole ledger: the argument for the next page.
    pub position: u64,
    /// Its place in the chain of its site, from 1.
    pub seq: u64,
    /// Its hash.
    pub hash: Hash,
    /// The entry.
    pub entry: Entry,
}

/// The end of a chain.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Head {
    /// How many entries the chain holds.
    pub seq: u64,
    /// The hash of the last.
    pub hash: Hash,
}

/// What became of a batch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Receipt {
    /// How many entries were added.
    pub added: u64,
    /// How many were already kept with the same content.
    pub already_known: u64,
    /// The hash at the end of the chain of the site now.
    pub head: Hash,
}

/// Why a batch was not added. Nothing of it was.
#[derive(Debug, Error)]
pub enum AppendError {
    /// The id is already used by an entry that says something else.
    #[error(
        "entry `{id}` is already kept with other content\n  give a new entry an id of its own; to put a kept one right, write an entry that corrects it"
    )]
    OtherContent {
        /// The id.
        id: EntryId,
        /// What is kept under it; none where the other one stands in the same batch.
        kept: Option<Box<Entry>>,
    },
    /// An entry names another site than the batch.
    #[error(
        "entry `{id}` is of site `{found}`, the batch is of site `{site}`\n  send the entries of one site together"
    )]
    OtherSite {
        /// The entry.
        id: EntryId,
        /// The site it names.
        found: SiteId,
        /// The site of the batch.
        site: SiteId,
    },
    /// An id or a site without a single character.
    #[error("an entry of the batch has an empty id or site\n  give each entry an id of its own")]
    EmptyName,
    /// The entry cannot be written as text.
    #[error("entry `{id}` cannot be written: {source}")]
    Unwritable {
        /// The entry.
        id: EntryId,
        /// Why.
        source: serde_json::Error,
    },
    /// What is kept cannot be read.
    #[error(transparent)]
    Read(#[from] ReadError),
}

/// Why the ledger could not be read or reached.
#[derive(Debug, Error)]
pub enum ReadError {
    /// The database refused or is gone.
    #[error("the ledger cannot be reached: {0}")]
    Database(#[from] sqlx::Error),
    /// A stored row contradicts itself.
    #[error(
        "table `entries`, column `{column}`, entry `{id}` at position {position}: {why}\n  run `verify` to find the first entry that does not stand as written"
    )]
    Contradiction {
        /// The row.
        position: u64,
        /// Its entry.
        id: EntryId,
        /// The column.
        column: &'static str,
        /// What is wrong.
        why: String,
    },
}

impl From<sqlx::Error> for AppendError {
    fn from(error: sqlx::Error) -> Self {
        Self::Read(ReadError::Database(error))
    }
}
