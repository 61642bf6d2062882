//! What all pages share: the ledger, the clock and the door. No page keeps a state: each reads the
//! entries that it shows.

use std::collections::BTreeSet;
use std::sync::Arc;

use jiff::Timestamp;
use jiff::tz::TimeZone;
use ledger::{
    AppendError, AttachError, Attachment, Hash, Ledger, ListQuestion, ListedThing, MediaType,
    ReadError,
};
use program::{Entry, EntryId, PersonId, SiteId, State, Subject};

use crate::named::Thing;
use crate::sign_in::Door;
use crate::telling;

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
}

/// What became of an entry that a person made on a page.
pub(crate) enum Recorded {
    /// It is kept: now, or since the same form was sent before.
    Kept,
    /// Its id is used by an entry that says something else.
    Clash,
}

impl AppState {
    /// Derives what the pages read, before the first of them is asked for.
    pub async fn new(setup: Setup) -> Result<Self, ReadError> {
        let door = Door::new(&setup.one_time_token);
        let app = Self(Arc::new(Shared { setup, user: PersonId::new(USER), door }));
        app.ledger().catch_up().await?;
        Ok(app)
    }

    pub(crate) fn ledger(&self) -> &Ledger {
        &self.0.setup.ledger
    }

    /// The state of some things with the latest `shown` entries about each, and the names of whatever
    /// these speak of.
    pub(crate) async fn state_about(
        &self,
        things: &[Subject],
        shown: usize,
    ) -> Result<State, ReadError> {
        // One more than is shown tells that there are more.
        let named = if shown == 0 { 0 } else { shown.saturating_add(1) };
        let state = self.ledger().state_about(things, named).await?;
        let mut names = BTreeSet::new();
        for thing in things {
            let history = state.history(thing);
            names.extend(history.rev().take(shown).flat_map(telling::names));
            if let Subject::Unit(id) = thing {
                let holders = state.unit(id).into_iter().flat_map(|unit| unit.holders.keys());
                names.extend(holders.cloned().map(Subject::Wearer));
            }
        }
        self.ledger().state_with(state, names).await
    }

    /// The state of every entry there is. It takes as long as the ledger is large: only for what
    /// must know every thing, which is a list that is brought in.
    pub(crate) async fn whole_state(&self) -> Result<State, ReadError> {
        let mut state = State::default();
        let mut after = 0;
        loop {
            let page = self.ledger().read(None, after).await?;
            let Some(last) = page.last() else { return Ok(state) };
            after = last.position;
            page.iter().for_each(|stored| state.apply(&stored.entry));
        }
    }

    /// Every site.
    pub(crate) async fn sites(&self) -> Result<Vec<ListedThing>, ReadError> {
        self.list(Thing::Site, usize::MAX).await
    }

    /// The first things of a kind.
    pub(crate) async fn list(
        &self,
        thing: Thing,
        limit: usize,
    ) -> Result<Vec<ListedThing>, ReadError> {
        let mut all = Vec::new();
        for kind in thing.kinds() {
            let question = ListQuestion { kind: *kind, site: None, words: "", after: "", limit };
            all.extend(self.ledger().list(&question).await?);
        }
        Ok(all)
    }

    /// The clock of a site.
    pub(crate) async fn zone(&self, site: &SiteId) -> Result<TimeZone, ReadError> {
        let asked = BTreeSet::from([Subject::Site(site.clone())]);
        let state = self.ledger().state_with(State::default(), asked).await?;
        Ok(telling::zone(&state, site))
    }

    /// The entry with this id as it is kept.
    pub(crate) async fn kept(
        &self,
        id: &EntryId,
    ) -> Result<Option<ledger::StoredEntry>, ReadError> {
        self.0.setup.ledger.find(id).await
    }

    /// Whether every hash of the ledger stands as it was written: a problem names the first that
    /// does not.
    pub(crate) async fn verified(&self) -> Result<ledger::Verification, ReadError> {
        self.0.setup.ledger.verify().await
    }

    /// Writes `entries`, all of one site, into the ledger: all or none.
    ///
    /// A form sent twice gives the same ids and the same facts at another minute of entering; that
    /// is one form, and what was kept first stands.
    pub(crate) async fn record(&self, entries: &[Entry]) -> Result<Recorded, AppendError> {
        let Some(first) = entries.first() else { return Ok(Recorded::Kept) };
        match self.0.setup.ledger.append(&first.site, entries).await {
            Ok(_) => Ok(Recorded::Kept),
            Err(AppendError::OtherContent { .. }) => self.sent_before(entries).await,
            Err(error) => Err(error),
        }
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
