//! Keeps entries for ever: append-only, chained by hash site by site, safe to send twice.
//!
//! Knows nothing of screens, rules or what an entry means; SQL is spoken here and nowhere else.
//!
//! What the chain proves: any entry that was changed, moved or taken out of the middle is found by
//! [`Ledger::verify`], which names the first one. That entries were cut off the end, or that a whole
//! chain is gone, shows in what the database keeps beside the entries; that guards of the database are
//! missing is told too. What nothing in the database can prove: that whoever may change all of it did
//! not change all of it to match. For that, keep the head of each site (it stands in every [`Receipt`]
//! and in every [`Verification`]) somewhere else, and ask [`Ledger::verify_against`] it.
#![deny(missing_docs)]

/// Computes an expression with `$store` being the store of `$ledger`, whichever it is.
macro_rules! on {
    ($ledger:expr, $store:ident => $do:expr) => {
        match &$ledger.kind {
            Kind::Sqlite($store) => $do,
            Kind::Postgres($store) => $do,
        }
    };
}

mod append;
mod attachment;
mod backup;
mod hash;
mod hashed_form;
mod incoming;
mod lines;
mod lists;
mod open;
mod postgres;
mod projection;
mod refusal;
mod sqlite;
mod store;
mod target;
mod verify;

use std::io::{BufRead, Write};
use std::path::Path;

use jiff::Timestamp;
use program::{Ask, Entry, EntryId, SiteId, State, Verdict};

pub use attachment::{AttachError, Attachment, MOST_BYTES, MediaType};
pub use hash::{Hash, NotAHash};
pub use incoming::{Copied, CopyError};
pub use lines::End;
pub use open::OpenError;
pub use projection::{DueAnswer, DueCount, DueQuestion, ListQuestion, ListedThing, SetsInUse};
pub use store::{AppendError, Head, ReadError, Receipt, StoredEntry};
pub use target::Target;
pub use verify::{FirstBroken, Lost, SiteChain, Verification, WhyBroken};

use postgres::PostgresStore;
use sqlite::SqliteStore;
use store::Store;

/// One ledger: the chains of entries of one or more sites.
///
/// A handle may be cloned; all clones share one set of connections.
#[derive(Debug, Clone)]
pub struct Ledger {
    kind: Kind,
    target: Target,
}

/// The databases that can keep a ledger.
#[derive(Debug, Clone)]
enum Kind {
    Sqlite(SqliteStore),
    Postgres(PostgresStore),
}

impl Ledger {
    /// Opens the ledger at `target`: in a file, which is made if there is none, or in a database of
    /// a server, which must be there and may be empty.
    ///
    /// Refuses what may not be written, what belongs to another program, a ledger that a newer
    /// version of this program wrote, and a server that does not keep what it acknowledges.
    pub async fn open(target: impl Into<Target>) -> Result<Self, OpenError> {
        let target = target.into();
        let kind = match &target {
            Target::File(path) => Kind::Sqlite(SqliteStore::open(path).await?),
            Target::Server(url) => Kind::Postgres(PostgresStore::open(url).await?),
        };
        Ok(Self { kind, target })
    }

    /// Opens the ledger at `target`, which must be there, to read its entries: nothing is written to it,
    /// so that a copy that may not be written is read as it stands.
    ///
    /// [`Ledger::verify`] and [`Ledger::export`] need no more; answers where [`Ledger::is_derived`]. Refuses what [`Ledger::open`] refuses
    /// but for the leave to write, and a ledger of a version that kept no attachments yet.
    pub async fn open_to_read(target: impl Into<Target>) -> Result<Self, OpenError> {
        let target = target.into();
        let kind = match &target {
            Target::File(path) => Kind::Sqlite(SqliteStore::open_to_read(path).await?),
            Target::Server(url) => Kind::Postgres(PostgresStore::open_to_read(url).await?),
        };
        Ok(Self { kind, target })
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

    /// Computes every hash anew and compares; names the first entry that does not stand as written,
    /// what was cut off as far as the database knows of it, and the guards that are missing.
    pub async fn verify(&self) -> Result<Verification, ReadError> {
        self.verify_against(&[]).await
    }

    /// The same, and that the chains go on from `heads`, which were kept elsewhere.
    pub async fn verify_against(&self, heads: &[SiteChain]) -> Result<Verification, ReadError> {
        on!(self, store => verify::verify(store, heads).await)
    }

    /// Keeps a picture or a paper of at most [`MOST_BYTES`] and returns the hash by which an entry
    /// can speak of it. `media_type` is what the sender says it is, such as `image/png`; the bytes
    /// must agree. Attached twice, it is kept once.
    pub async fn attach(&self, bytes: &[u8], media_type: &str) -> Result<Hash, AttachError> {
        on!(self, store => attachment::attach(store, bytes, media_type).await)
    }

    /// The attachment with this hash, if it is kept.
    pub async fn attachment(&self, hash: &Hash) -> Result<Option<Attachment>, ReadError> {
        on!(self, store => attachment::find(store, hash).await)
    }

    /// Writes everything as lines of JSON, while others may write to the ledger; refuses to export
    /// what does not stand as it was written, naming the first broken link.
    pub async fn export(&self, out: &mut (dyn Write + Send)) -> Result<End, CopyError> {
        on!(self, store => lines::export(store, out).await)
    }

    /// Adds what an export holds and this ledger does not; all or nothing. Refuses an export that
    /// is changed or cut off, and one whose chains part from the ones kept here.
    pub async fn import(&self, from: &mut (dyn BufRead + Send)) -> Result<Copied, CopyError> {
        on!(self, store => lines::import(store, from).await)
    }

    /// Copies everything into a new SQLite file, while others may write to the ledger, and reads
    /// the copy again.
    pub async fn back_up(&self, to: &Path) -> Result<Copied, CopyError> {
        on!(self, store => backup::back_up(store, to).await)
    }

    /// Copies everything from another ledger into this one, which must be empty, and reads it again.
    pub async fn restore(&self, from: &Self) -> Result<Copied, CopyError> {
        if !self.is_empty().await? {
            return Err(CopyError::NotEmpty(self.target.clone()));
        }
        let copied = on!(self, into => on!(from, from => incoming::copy(from, into).await))?;
        let found = self.verify().await?;
        if !found.stands() {
            return Err(CopyError::CopyDiffers(self.target.clone()));
        }
        Ok(copied)
    }

    /// Whether nothing at all is kept.
    pub async fn is_empty(&self) -> Result<bool, ReadError> {
        let attachments = on!(self, store => store.attachments(&[]).await)?;
        Ok(self.sites().await?.is_empty() && attachments.is_empty())
    }

    /// Answers `ask` as of `now` as [`program::may_wear`] does from the state of every entry, reading
    /// no more entries than it needs.
    pub async fn may_wear(&self, ask: &Ask, now: Timestamp) -> Result<Verdict, ReadError> {
        let (state, missing) = tokio::try_join!(self.state_for(ask, now), self.unguarded())?;
        Ok(program::may_wear(&state, ask, now).from_guarded(&missing))
    }

    /// The guards by which the database refuses change and removal that are not in their place; what
    /// [`Ledger::verify`] tells as well.
    pub async fn unguarded(&self) -> Result<Vec<String>, ReadError> {
        on!(self, store => store.unguarded().await)
    }

    /// The state of the entries that the verdict on `ask` looks at.
    pub async fn state_for(&self, ask: &Ask, now: Timestamp) -> Result<State, ReadError> {
        self.catch_up().await?;
        on!(self, store => projection::for_verdict(store, ask, now).await)
    }

    /// What is due as of `now`: how much of each kind, and the first duties of all.
    pub async fn due(
        &self,
        question: &DueQuestion,
        now: Timestamp,
    ) -> Result<DueAnswer, ReadError> {
        self.due_told(question, now).await.map(|(answer, _)| answer)
    }

    /// The same, with the state of the things that the duties are about, for their names.
    pub async fn due_told(
        &self,
        question: &DueQuestion,
        now: Timestamp,
    ) -> Result<(DueAnswer, State), ReadError> {
        self.catch_up().await?;
        on!(self, store => projection::due(store, question, now).await)
    }

    /// Derives what follows from entries that came since it was done last. Every answer does it
    /// first; whoever has just added many entries may do it before somebody waits for an answer.
    pub async fn catch_up(&self) -> Result<(), ReadError> {
        on!(self, store => projection::catch_up(store).await)
    }

    /// Whether everything that answers rest on is derived up to the last entry, so that a ledger which may
    /// not be written answers as well.
    pub async fn is_derived(&self) -> Result<bool, ReadError> {
        on!(self, store => projection::is_derived(store).await)
    }

    /// Derives everything from the entries again and puts right what stands otherwise; gives the
    /// number of entries.
    pub async fn rebuild(&self) -> Result<u64, ReadError> {
        on!(self, store => projection::rebuild(store).await)
    }

    /// The hash of everything that is derived from the entries: the same entries give the same
    /// hash, on either database and however they came in.
    pub async fn projection_digest(&self) -> Result<Hash, ReadError> {
        self.catch_up().await?;
        on!(self, store => projection::digest(store).await)
    }

    /// Closes every connection; a file then holds what was still in its write-ahead file.
    pub async fn close(self) {
        match self.kind {
            Kind::Sqlite(store) => store.close().await,
            Kind::Postgres(store) => store.close().await,
        }
    }
}
