//! What all pages share: the ledger, the state folded from it, the clock and the door.

use std::sync::Arc;

use jiff::Timestamp;
use ledger::{AppendError, AttachError, Attachment, Hash, Ledger, MediaType, ReadError};
use program::{Entry, EntryId, PersonId, SiteId, State};
use tokio::sync::{RwLock, RwLockReadGuard};

use crate::sign_in::Door;

/// What the server is given to start with. Clock and ids come from the binary: nothing here reads
/// the time or draws lots.
pub struct Setup {
    /// The ledger.
    pub ledger: Ledger,
    /// The time now.
    pub clock: Arc<dyn Fn() -> Timestamp + Send + Sync>,
    /// A new id each time, which nobody can guess: at least 128 bits by chance. Entries are named
    /// with them, and a session is kept by two.
    pub entry_ids: Arc<dyn Fn() -> String + Send + Sync>,
    /// The secret in the address `/enter/{token}` that signs the user in, once.
    pub one_time_token: String,
    /// Whether the ledger holds an invented plant; every page then says so.
    pub invented: bool,
}

/// Who makes entries while there is no sign-in by name: whoever held the one-time link.
const USER: &str = "one-time-link";

/// The shared state of all pages.
#[derive(Clone)]
pub struct AppState(Arc<Shared>);

struct Shared {
    setup: Setup,
    user: PersonId,
    door: Door,
    folded: RwLock<Folded>,
}

/// The state, and the position in the ledger up to which it is folded.
#[derive(Default)]
struct Folded {
    state: State,
    position: u64,
}

/// What became of an entry that a person made on a page.
pub(crate) enum Recorded {
    /// It is kept: now, or since the same form was sent before.
    Kept,
    /// Its id is used by an entry that says something else.
    Clash,
}

impl AppState {
    /// Folds what is in the ledger; every later entry is added to it as it comes.
    pub async fn new(setup: Setup) -> Result<Self, ReadError> {
        let door = Door::new(&setup.one_time_token);
        let folded = RwLock::default();
        let app = Self(Arc::new(Shared { setup, user: PersonId::new(USER), door, folded }));
        app.catch_up().await?;
        Ok(app)
    }

    /// The state as the ledger has it now, also what another program has added to the file.
    pub(crate) async fn state(&self) -> Result<RwLockReadGuard<'_, State>, ReadError> {
        self.catch_up().await?;
        Ok(RwLockReadGuard::map(self.0.folded.read().await, |folded| &folded.state))
    }

    /// The entry with this id as it is kept.
    pub(crate) async fn kept(
        &self,
        id: &EntryId,
    ) -> Result<Option<ledger::StoredEntry>, ReadError> {
        self.0.setup.ledger.find(id).await
    }

    /// Every entry of a site in the order of its chain.
    pub(crate) async fn chain(&self, site: &SiteId) -> Result<Vec<ledger::StoredEntry>, ReadError> {
        let mut all: Vec<ledger::StoredEntry> = Vec::new();
        loop {
            let after = all.last().map_or(0, |last| last.position);
            let page = self.0.setup.ledger.read(Some(site), after).await?;
            if page.is_empty() {
                return Ok(all);
            }
            all.extend(page);
        }
    }

    /// Whether every hash of the ledger stands as it was written: a problem names the first that
    /// does not.
    pub(crate) async fn verified(&self) -> Result<ledger::Verification, ReadError> {
        self.0.setup.ledger.verify().await
    }

    /// Writes `entries`, all of one site, into the ledger, then into the state: all or none.
    ///
    /// A form sent twice gives the same ids and the same facts at another minute of entering; that
    /// is one form, and what was kept first stands.
    pub(crate) async fn record(&self, entries: &[Entry]) -> Result<Recorded, AppendError> {
        let Some(first) = entries.first() else { return Ok(Recorded::Kept) };
        let recorded = match self.0.setup.ledger.append(&first.site, entries).await {
            Ok(_) => Recorded::Kept,
            Err(AppendError::OtherContent { .. }) => self.sent_before(entries).await?,
            Err(error) => return Err(error),
        };
        self.catch_up().await?;
        Ok(recorded)
    }

    /// Whether each of `entries` is kept, but for the time at which it was entered.
    async fn sent_before(&self, entries: &[Entry]) -> Result<Recorded, AppendError> {
        for entry in entries {
            let kept = self.kept(&entry.id).await?.map(|stored| stored.entry);
            let same = kept.is_some_and(|kept| {
                // Where the form asks for no time, the fact happened when it was entered.
                let at_once = kept.happened == kept.entered && entry.happened == entry.entered;
                let happened = if at_once { entry.happened } else { kept.happened };
                Entry { entered: entry.entered, happened, ..kept } == *entry
            });
            if !same {
                return Ok(Recorded::Clash);
            }
        }
        Ok(Recorded::Kept)
    }

    /// Folds the entries that the ledger has and the state has not.
    async fn catch_up(&self) -> Result<(), ReadError> {
        let position = self.0.folded.read().await.position;
        if self.0.setup.ledger.read(None, position).await?.is_empty() {
            return Ok(());
        }
        let mut folded = self.0.folded.write().await;
        loop {
            let page = self.0.setup.ledger.read(None, folded.position).await?;
            let Some(last) = page.last() else { return Ok(()) };
            folded.position = last.position;
            page.iter().for_each(|stored| folded.state.apply(&stored.entry));
        }
    }

    /// Keeps a photo and tells the hash by which it is found.
    pub(crate) async fn keep_picture(&self, bytes: &[u8]) -> Result<Hash, AttachError> {
        // What the sender calls it goes by the name of its file; the bytes know better.
        let kind = MediaType::of(bytes).ok_or(AttachError::UnknownType)?;
        self.0.setup.ledger.attach(bytes, kind.name()).await
    }

    /// The picture or paper with this hash.
    pub(crate) async fn picture(&self, hash: &Hash) -> Result<Option<Attachment>, ReadError> {
        self.0.setup.ledger.attachment(hash).await
    }

    pub(crate) fn door(&self) -> &Door {
        &self.0.door
    }

    pub(crate) fn now(&self) -> Timestamp {
        (self.0.setup.clock)()
    }

    pub(crate) fn new_id(&self) -> String {
        (self.0.setup.entry_ids)()
    }

    /// Twice the chance of an id: the secret of a session.
    pub(crate) fn new_secret(&self) -> String {
        format!("{}{}", self.new_id(), self.new_id())
    }

    /// The name under which entries are made.
    pub(crate) fn user(&self) -> &PersonId {
        &self.0.user
    }

    pub(crate) fn invented(&self) -> bool {
        self.0.setup.invented
    }

    /// An entry made now by the signed-in user on a page.
    pub(crate) fn entry(
        &self,
        id: EntryId,
        site: SiteId,
        happened: Timestamp,
        fact: program::Fact,
    ) -> Entry {
        Entry {
            id,
            site,
            happened,
            entered: self.now(),
            by: self.user().clone(),
            device: "web page".to_owned(),
            corrects: None,
            fact,
        }
    }
}
