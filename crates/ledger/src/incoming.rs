//! What comes from another ledger: checked link by link, and added where it is not kept yet.

use std::collections::HashMap;

use program::{EntryId, SiteId};
use serde::Serialize;
use thiserror::Error;

use crate::hash::Hash;
use crate::store::{AppendError, Head, KeptAttachment, NewRow, ReadError, Row, Store, Writing};
use crate::target::Target;
use crate::verify::{FirstBroken, Lost, SiteChain, Walk};

/// Rows that are looked up and written together.
const ROWS_AT_ONCE: usize = 2000;

/// What became of a copy.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Copied {
    /// How many entries were added.
    pub added: u64,
    /// How many were already kept.
    pub already_known: u64,
    /// How many pictures and papers were added.
    pub attachments_added: u64,
    /// The ends of the chains that came in.
    pub came: Vec<SiteChain>,
    /// The ends of the same chains as they are kept now: further on where more was kept already.
    pub kept: Vec<SiteChain>,
}

/// Why a copy was not made. Nothing of it was kept.
#[derive(Debug, Error)]
pub enum CopyError {
    /// What comes in does not stand as it was written.
    #[error("what comes in is broken: {0}\n  take a copy that stands; nothing was added")]
    Broken(FirstBroken),
    /// Entries of what comes in were cut off.
    #[error(
        "what comes in was cut off: {0}\n  take a copy that is whole, such as the last backup; nothing was added"
    )]
    Lost(Lost),
    /// A picture or paper that comes in was changed.
    #[error(
        "attachment `{0}` that comes in is not what was attached\n  take a copy that stands; nothing was added"
    )]
    BrokenAttachment(String),
    /// The two ledgers tell different stories of one site.
    #[error(
        "the chain of site `{site}` parts at entry {seq}: `{id}` comes in, another is kept\n  the two ledgers went on apart and cannot be joined; nothing was added"
    )]
    Fork {
        /// The site.
        site: SiteId,
        /// The first place at which they differ.
        seq: u64,
        /// The entry that comes in.
        id: EntryId,
    },
    /// Something is kept already where an empty ledger is asked for.
    #[error(
        "the ledger `{0}` is not empty\n  restore into a new one; to add what is missing, export the one and import it into the other"
    )]
    NotEmpty(Target),
    /// A line of an export cannot be read.
    #[error("line {line} of the export: {why}\n  take an export that is whole; nothing was added")]
    Line {
        /// Its number, from 1.
        line: u64,
        /// What is wrong.
        why: String,
    },
    /// The export has no last line that says how much it holds, or holds another number.
    #[error("the export was cut off: {0}\n  take an export that is whole; nothing was added")]
    CutOff(String),
    /// The copy was read again and is not what was written.
    #[error("the copy `{0}` does not stand after writing\n  check the disk and make it again")]
    CopyDiffers(Target),
    /// The file could not be read or written.
    #[error("the file could not be read or written: {0}")]
    File(#[from] std::io::Error),
    /// The copy could not be opened.
    #[error(transparent)]
    Open(#[from] crate::open::OpenError),
    /// The ledger refused.
    #[error(transparent)]
    Write(#[from] AppendError),
}

impl From<ReadError> for CopyError {
    fn from(error: ReadError) -> Self {
        Self::Write(AppendError::Read(error))
    }
}

/// A copy on its way into a ledger: one transaction, all or nothing.
pub(crate) struct Incoming<W> {
    writing: W,
    walk: Walk,
    /// The ends of the chains as they were kept before.
    ends: HashMap<SiteId, u64>,
    waiting: Vec<Row>,
    added: u64,
    already_known: u64,
    attachments: u64,
    attachments_added: u64,
}

impl<W: Writing> Incoming<W> {
    pub(crate) async fn begin(store: &impl Store<Writing = W>) -> Result<Self, CopyError> {
        Ok(Self {
            writing: store.begin().await.map_err(AppendError::from)?,
            walk: Walk::default(),
            ends: HashMap::new(),
            waiting: Vec::new(),
            added: 0,
            already_known: 0,
            attachments: 0,
            attachments_added: 0,
        })
    }

    /// Takes the next entry, which must stand behind the one of its site before it.
    pub(crate) async fn entry(&mut self, row: Row) -> Result<(), CopyError> {
        self.walk.step(&row);
        if let Some(broken) = self.walk.broken.take() {
            return Err(CopyError::Broken(broken));
        }
        self.waiting.push(row);
        if self.waiting.len() >= ROWS_AT_ONCE { self.flush().await } else { Ok(()) }
    }

    pub(crate) async fn attachment(&mut self, kept: &KeptAttachment) -> Result<(), CopyError> {
        if kept.check().is_none() {
            return Err(CopyError::BrokenAttachment(kept.shown()));
        }
        let added = self.writing.attach(kept).await.map_err(AppendError::from)?;
        self.attachments += 1;
        self.attachments_added += u64::from(added);
        Ok(())
    }

    /// How many entries and attachments came in so far.
    pub(crate) fn counts(&self) -> (u64, u64) {
        (self.walk.entries, self.attachments)
    }

    /// Makes all of it last.
    pub(crate) async fn finish(mut self) -> Result<Copied, CopyError> {
        self.flush().await?;
        let came = self.walk.chains();
        let mut kept = Vec::with_capacity(came.len());
        for SiteChain { site, head } in &came {
            let head = self.writing.head(site).await?.unwrap_or(*head);
            kept.push(SiteChain { site: site.clone(), head });
        }
        self.writing.commit().await.map_err(AppendError::from)?;
        let Self { added, already_known, attachments_added, .. } = self;
        Ok(Copied { added, already_known, attachments_added, came, kept })
    }

    /// Compares what is kept already and writes the rest.
    async fn flush(&mut self) -> Result<(), CopyError> {
        let waiting = std::mem::take(&mut self.waiting);
        let ids: Vec<&str> = waiting.iter().map(|row| row.id.as_str()).collect();
        let kept = self.writing.kept(&ids).await.map_err(AppendError::from)?;
        let kept: HashMap<EntryId, Row> =
            kept.into_iter().map(|row| (row.id.clone(), row)).collect();
        let mut new = Vec::new();
        for row in waiting {
            let end = self.end(&row.site).await?;
            // A chain is bound by its hashes: where the entry at a place is the same, so are all
            // before it.
            match kept.get(&row.id) {
                Some(same) if same.hash == row.hash => self.already_known += 1,
                None if row.seq > end => new.push(NewRow::of(row)?),
                _ => return Err(CopyError::Fork { site: row.site, seq: row.seq, id: row.id }),
            }
        }
        self.writing.insert(&new).await.map_err(AppendError::from)?;
        self.added += u64::try_from(new.len()).unwrap_or(u64::MAX);
        Ok(())
    }

    /// How many entries of `site` were kept before the copy began.
    async fn end(&mut self, site: &SiteId) -> Result<u64, CopyError> {
        if let Some(end) = self.ends.get(site) {
            return Ok(*end);
        }
        let end = self.writing.head(site).await?.map_or(0, |head: Head| head.seq);
        self.ends.insert(site.clone(), end);
        Ok(end)
    }
}

impl NewRow {
    /// The same row, to be written elsewhere.
    fn of(row: Row) -> Result<Self, ReadError> {
        let hash = row.head()?.hash;
        let previous = Hash::from_bytes(&row.previous).unwrap_or(Hash::START);
        let Row { site, seq, id, happened_us, entered_us, payload, .. } = row;
        Ok(Self { site, seq, id, happened_us, entered_us, payload, previous, hash })
    }
}

/// Copies everything from one ledger into another, which may stand on another database.
///
/// What is written meanwhile may or may not come along; nothing that comes speaks of an attachment
/// that does not, since an attachment is kept before the entry that speaks of it.
pub(crate) async fn copy(from: &impl Store, into: &impl Store) -> Result<Copied, CopyError> {
    let mut incoming = Incoming::begin(into).await?;
    incoming.walk = Walk::expecting(&from.evidence().await?, &[]);
    let mut after = 0;
    loop {
        let page = from.page(None, after).await?;
        let Some(last) = page.last() else { break };
        after = last.position;
        for row in page {
            incoming.entry(row).await?;
        }
    }
    incoming.walk.is_whole()?;
    let mut after = Vec::new();
    loop {
        let page = from.attachments(&after).await?;
        let Some(last) = page.last() else { return incoming.finish().await };
        after.clone_from(&last.hash);
        for kept in &page {
            incoming.attachment(kept).await?;
        }
    }
}
