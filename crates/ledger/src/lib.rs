//! Keeps entries for ever: append-only, chained by hash site by site, safe to send twice.
//!
//! Knows nothing of screens, rules or what an entry means; SQL is spoken here and nowhere else.
//!
//! What the chain proves: any entry that was changed, moved or taken out of the middle is found by
//! [`Ledger::verify`], which names the first one. What it cannot prove alone: that entries were not
//! cut off the end, or that the whole chain was not computed anew. For that, keep the head of each
//! site (it stands in every [`Receipt`] and in every [`Verification`]) somewhere else.
#![deny(missing_docs)]

mod append;
mod hash;
mod hashed_form;
mod open;
mod postgres;
mod refusal;
mod sqlite;
mod store;
mod target;
mod verify;

use program::{Entry, EntryId, SiteId};

pub use hash::{Hash, NotAHash};
pub use open::OpenError;
pub use store::{AppendError, Head, ReadError, Receipt, StoredEntry};
pub use target::Target;
pub use verify::{FirstBroken, SiteChain, Verification, WhyBroken};

use postgres::PostgresStore;
use sqlite::SqliteStore;
use store::Store;

/// One ledger: the chains of entries of one or more sites.
///
/// A handle may be cloned; all clones share one set of connections.
#[derive(Debug, Clone)]
pub struct Ledger {
    kind: Kind,
}

/// The databases that can keep a ledger.
#[derive(Debug, Clone)]
enum Kind {
    Sqlite(SqliteStore),
    Postgres(PostgresStore),
}

/// Computes an expression with `$store` being the store of `$ledger`, whichever it is.
macro_rules! on {
    ($ledger:expr, $store:ident => $do:expr) => {
        match &$ledger.kind {
            Kind::Sqlite($store) => $do,
            Kind::Postgres($store) => $do,
        }
    };
}

impl Ledger {
    /// Opens the ledger at `target`: in a file, which is made if there is none, or in a database of
    /// a server, which must be there and may be empty.
    ///
    /// Refuses what may not be written, what belongs to another program, a ledger that a newer
    /// version of this program wrote, and a server that does not keep what it acknowledges.
    pub async fn open(target: impl Into<Target>) -> Result<Self, OpenError> {
        let kind = match target.into() {
            Target::File(path) => Kind::Sqlite(SqliteStore::open(&path).await?),
            Target::Server(url) => Kind::Postgres(PostgresStore::open(&url).await?),
        };
        Ok(Self { kind })
    }

    /// Adds `entries`, all of them or none, to the end of the chain of `site`.
    ///
    /// An entry whose id is already kept with the same content is not added again, so that a retry
    /// is harmless; the same id with other content is refused by name.
    pub async fn append(&self, site: &SiteId, entries: &[Entry]) -> Result<Receipt, AppendError> {
        on!(self, store => append::append(store, site, entries).await)
    }

    /// A page of the entries after position `after`, oldest first, of one site or of all; start at
    /// 0 and go on with the position of the last one until the page is empty.
    pub async fn read(
        &self,
        site: Option<&SiteId>,
        after: u64,
    ) -> Result<Vec<StoredEntry>, ReadError> {
        on!(self, store => store.page(site, after).await)?
            .into_iter()
            .map(store::Row::into_stored)
            .collect()
    }

    /// The entry with this id, if it is kept.
    pub async fn find(&self, id: &EntryId) -> Result<Option<StoredEntry>, ReadError> {
        on!(self, store => store.find(id).await)?.map(store::Row::into_stored).transpose()
    }

    /// The sites with at least one entry, in the order in which they were opened.
    pub async fn sites(&self) -> Result<Vec<SiteId>, ReadError> {
        on!(self, store => store.sites().await)
    }

    /// The end of the chain of `site`, or `None` where nothing was ever entered.
    pub async fn head(&self, site: &SiteId) -> Result<Option<Head>, ReadError> {
        on!(self, store => store.head(site).await)
    }

    /// Computes every hash anew and compares; names the first entry that does not stand as written.
    pub async fn verify(&self) -> Result<Verification, ReadError> {
        on!(self, store => verify::verify(store).await)
    }

    /// Closes every connection; a file then holds what was still in its write-ahead file.
    pub async fn close(self) {
        match self.kind {
            Kind::Sqlite(store) => store.close().await,
            Kind::Postgres(store) => store.close().await,
        }
    }
}
