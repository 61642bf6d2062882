//! Keeps entries for ever: append-only, chained by hash site by site, safe to send twice.
//!
//! Knows nothing of screens, rules or what an entry means; SQL is spoken here and nowhere else.
//!
//! What the chain proves: any entry that was changed, moved or taken out of the middle is found by
//! [`Ledger::verify`], which names the first one. What it cannot prove alone: that entries were not
//! cut off the end, or that the whole chain was not computed anew. For that, keep the head of each
//! site (it stands in every [`Receipt`] and in every [`Verification`]) somewhere else.
#![deny(missing_docs)]

mod hash;
mod hashed_form;
mod sqlite;
mod store;
mod verify;

use std::path::Path;

use program::{Entry, EntryId, SiteId};

pub use hash::{Hash, NotAHash};
pub use sqlite::OpenError;
pub use store::{AppendError, Head, ReadError, Receipt, StoredEntry};
pub use verify::{FirstBroken, SiteChain, Verification, WhyBroken};

use sqlite::SqliteStore;
use store::Store;

/// One ledger: the chains of entries of one or more sites.
///
/// A handle may be cloned; all clones share one set of connections.
#[derive(Debug, Clone)]
pub struct Ledger {
    store: SqliteStore,
}

impl Ledger {
    /// Opens the ledger in the file at `path`, and makes it if there is none.
    ///
    /// Refuses a file that may not be written, a file of another program, and a ledger that a newer
    /// version of this program wrote.
    pub async fn open(path: impl AsRef<Path>) -> Result<Self, OpenError> {
        SqliteStore::open(path.as_ref()).await.map(|store| Self { store })
    }

    /// Adds `entries`, all of them or none, to the end of the chain of `site`.
    ///
    /// An entry whose id is already kept with the same content is not added again, so that a retry
    /// is harmless; the same id with other content is refused by name.
    pub async fn append(&self, site: &SiteId, entries: &[Entry]) -> Result<Receipt, AppendError> {
        self.store.append(site, entries).await
    }

    /// A page of the entries after position `after`, oldest first, of one site or of all; start at
    /// 0 and go on with the position of the last one until the page is empty.
    pub async fn read(
        &self,
        site: Option<&SiteId>,
        after: u64,
    ) -> Result<Vec<StoredEntry>, ReadError> {
        self.store.page(site, after).await?.into_iter().map(store::Row::into_stored).collect()
    }

    /// The entry with this id, if it is kept.
    pub async fn find(&self, id: &EntryId) -> Result<Option<StoredEntry>, ReadError> {
        self.store.find(id).await?.map(store::Row::into_stored).transpose()
    }

    /// The sites with at least one entry, in the order in which they were opened.
    pub async fn sites(&self) -> Result<Vec<SiteId>, ReadError> {
        self.store.sites().await
    }

    /// The end of the chain of `site`, or `None` where nothing was ever entered.
    pub async fn head(&self, site: &SiteId) -> Result<Option<Head>, ReadError> {
        self.store.head(site).await
    }

    /// Computes every hash anew and compares; names the first entry that does not stand as written.
    pub async fn verify(&self) -> Result<Verification, ReadError> {
        verify::verify(&self.store).await
    }

    /// Writes what is still in the write-ahead file into the ledger itself and closes it.
    pub async fn close(self) {
        self.store.close().await;
    }
}
