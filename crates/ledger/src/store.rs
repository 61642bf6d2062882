//! The narrow door to a database: begin, page, find, head, sites. What can be kept equal on two
//! engines stays small; everything else is computed from it.

use std::ops::DerefMut;

use program::{Entry, EntryId, SiteId};
use serde::Serialize;
use thiserror::Error;

use crate::hash::Hash;
use crate::hashed_form;
use crate::projection::Derived;
use crate::refusal::Refusal;
use crate::verify::SiteChain;

/// What a database must be able to do for a ledger.
pub(crate) trait Store {
    /// A connection to the database.
    type Connection: Derived;
    /// A view of the database as it is at one moment.
    type Reading: DerefMut<Target = Self::Connection>;
    /// A transaction that writes.
    type Writing: Writing<Connection = Self::Connection>;
    /// Begins to write, when nobody else does: what is then read of the ends stays true until the
    /// commit.
    async fn begin(&self) -> sqlx::Result<Self::Writing>;
    /// Begins to look: everything read until it is dropped is of the same moment.
    async fn reading(&self) -> sqlx::Result<Self::Reading>;
    /// Whether everything is derived up to the last entry, by these rules of deriving.
    async fn is_derived(&self, by: &str) -> sqlx::Result<bool>;
    /// Has the database forget at once what was there before everything was derived anew, and look at
    /// what there is now.
    async fn tidy(&self);
    /// Rows after a position, oldest first, at most [`PAGE`].
    async fn page(&self, site: Option<&SiteId>, after: u64) -> Result<Vec<Row>, ReadError>;
    /// The row with this id.
    async fn find(&self, id: &EntryId) -> Result<Option<Row>, ReadError>;
    /// The end of the chain of a site.
    async fn head(&self, site: &SiteId) -> Result<Option<Head>, ReadError>;
    /// The sites in the order of their first entries.
    async fn sites(&self) -> Result<Vec<SiteId>, ReadError>;
    /// The attachment with this hash.
    async fn attachment(&self, hash: &Hash) -> Result<Option<KeptAttachment>, ReadError>;
    /// Attachments after a hash in the order of hashes, at most [`ATTACHMENTS`].
    async fn attachments(&self, after: &[u8]) -> Result<Vec<KeptAttachment>, ReadError>;
    /// The guards of the newest schema that are not there, asleep, or another than this program made.
    async fn unguarded(&self) -> Result<Vec<String>, ReadError>;
    /// What the database keeps beside the entries and tells of them.
    async fn evidence(&self) -> Result<Evidence, ReadError>;
}

/// A transaction that writes; dropped without a commit, nothing of it happened.
pub(crate) trait Writing {
    /// A connection to the database.
    type Connection: Derived;
    /// The connection on which it writes.
    fn connection(&mut self) -> &mut Self::Connection;
    /// The end of the chain of a site.
    async fn head(&mut self, site: &SiteId) -> Result<Option<Head>, ReadError>;
    /// The rows with these ids; those that are not kept are left out.
    async fn kept(&mut self, ids: &[&str]) -> sqlx::Result<Vec<Row>>;
    /// Adds rows, in this order.
    async fn insert(&mut self, rows: &[NewRow]) -> sqlx::Result<()>;
    /// Adds an attachment; false where it is kept already.
    async fn attach(&mut self, attachment: &KeptAttachment) -> sqlx::Result<bool>;
    /// Makes it last: when this returns without an error, the rows are on the disk.
    async fn commit(self) -> sqlx::Result<()>;
}

/// Asks whether everything is derived up to the last entry by the rules `$1`, on either database.
pub(crate) const IS_DERIVED: &str = "SELECT EXISTS (SELECT 1 FROM projected WHERE derived = $1 \
     AND position = (SELECT coalesce(max(position), 0) FROM entries))";

/// What the database keeps beside the entries and tells of them.
#[derive(Debug, Default)]
pub(crate) struct Evidence {
    /// Where the chains ended when entries were added last.
    pub(crate) ends: Vec<SiteChain>,
    /// The highest position that was ever given or derived from.
    pub(crate) highest: u64,
    /// The guards of the tables that are not there, asleep, or another than this program made.
    pub(crate) unguarded: Vec<String>,
}

impl Evidence {
    /// The ends as the table `ends` keeps them.
    pub(crate) fn of_ends(rows: Vec<(String, i64, Vec<u8>)>) -> Vec<SiteChain> {
        let end = |(site, seq, hash): (String, i64, Vec<u8>)| {
            let hash = Hash::from_bytes(&hash)?;
            Some(SiteChain {
                site: SiteId::new(site),
                head: Head { seq: u64::try_from(seq).ok()?, hash },
            })
        };
        rows.into_iter().filter_map(end).collect()
    }
}

/// The first and the last of `rows` of each site.
pub(crate) fn of_each_site(rows: &[NewRow]) -> Vec<(&NewRow, &NewRow)> {
    let mut all: Vec<(&NewRow, &NewRow)> = Vec::new();
    for row in rows {
        match all.iter_mut().find(|(first, _)| first.site == row.site) {
            Some((_, last)) => *last = row,
            None => all.push((row, row)),
        }
    }
    all
}

/// How many rows one page holds at most.
pub(crate) const PAGE: u16 = 2000;

/// How many attachments one page holds at most: each may have 5 MiB.
pub(crate) const ATTACHMENTS: u16 = 8;

/// An attachment as the database keeps it, not yet believed.
#[derive(Debug, Clone)]
pub(crate) struct KeptAttachment {
    pub(crate) hash: Vec<u8>,
    pub(crate) media_type: String,
    pub(crate) bytes: Vec<u8>,
}

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
        let hash = self.read_hash()?;
        let form = hashed_form::read(&self.payload).map_err(|why| self.odd("payload", why))?;
        let entry = form
            .into_entry()
            .ok_or_else(|| self.odd("payload", "holds a time outside the calendar".to_owned()))?;
        Ok(StoredEntry { position: self.position, seq: self.seq, hash, entry })
    }

    /// The end of a chain that ends with it.
    pub(crate) fn head(&self) -> Result<Head, ReadError> {
        Ok(Head { seq: self.seq, hash: self.read_hash()? })
    }

    fn read_hash(&self) -> Result<Hash, ReadError> {
        Hash::from_bytes(&self.hash).ok_or_else(|| self.odd("hash", "is not 32 bytes".to_owned()))
    }

    fn odd(&self, column: &'static str, why: String) -> ReadError {
        ReadError::Contradiction { position: self.position, id: self.id.clone(), column, why }
    }
}

/// A row ready to be written.
#[derive(Debug, Clone)]
pub(crate) struct NewRow {
    pub(crate) site: SiteId,
    pub(crate) seq: u64,
    pub(crate) id: EntryId,
    pub(crate) happened_us: i64,
    pub(crate) entered_us: i64,
    pub(crate) payload: String,
    pub(crate) previous: Hash,
    pub(crate) hash: Hash,
}

impl NewRow {
    /// The place in the chain as a database counts.
    pub(crate) fn signed_seq(&self) -> i64 {
        i64::try_from(self.seq).unwrap_or(i64::MAX)
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
    /// An id or a site with a character that not every database can keep.
    #[error(
        "an entry of the batch has the character U+0000 in its id or site\n  write the name without it"
    )]
    NullInName,
    /// The entry cannot be written as text.
    #[error("entry `{id}` cannot be written: {source}")]
    Unwritable {
        /// The entry.
        id: EntryId,
        /// Why.
        source: serde_json::Error,
    },
    /// There is no room left.
    #[error(
        "the disk of the ledger is full; nothing of the batch was kept\n  make room and send it again: {0}"
    )]
    Full(sqlx::Error),
    /// Writing is not allowed.
    #[error(
        "the ledger may not be written; nothing of the batch was kept\n  allow writing and send it again: {0}"
    )]
    ReadOnly(sqlx::Error),
    /// The disk reports an error.
    #[error(
        "the disk of the ledger refused to write; nothing of the batch was kept\n  check the disk and its limits, then send it again: {0}"
    )]
    Disk(sqlx::Error),
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
    /// A stored entry cannot be read.
    #[error(
        "the entry at position {position} cannot be read: {why}\n  run `verify` to find the first entry that does not stand as written"
    )]
    Unreadable {
        /// Where it stands.
        position: i64,
        /// What is wrong.
        why: String,
    },
    /// More must be sorted than fits into memory, and the disk did not take it.
    #[error(
        "the entries cannot be sorted in the folder for temporary files: {0}\n  make room there, or name another folder in the variable TMPDIR"
    )]
    Sorting(#[from] std::io::Error),
    /// What was derived from the entries does not agree with them.
    #[error(
        "what is noted as due of `{thing}` does not follow from its entries\n  run `rebuild` to derive it again"
    )]
    Underived {
        /// The thing.
        thing: String,
    },
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
    /// A kept attachment was changed.
    #[error(
        "attachment `{hash}` is no longer what was attached\n  run `verify`, and take it from a backup"
    )]
    ChangedAttachment {
        /// The hash under which it is kept.
        hash: Hash,
    },
}

impl From<sqlx::Error> for AppendError {
    fn from(error: sqlx::Error) -> Self {
        match Refusal::of(&error) {
            Some(Refusal::Full) => Self::Full(error),
            Some(Refusal::ReadOnly) => Self::ReadOnly(error),
            Some(Refusal::Disk) => Self::Disk(error),
            _ => Self::Read(ReadError::Database(error)),
        }
    }
}
