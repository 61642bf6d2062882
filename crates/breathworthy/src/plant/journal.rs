use std::collections::BTreeMap;

use jiff::{SignedDuration, Timestamp};
use program::{Entry, EntryId, Fact, PersonId, SiteId};

/// Entries on their way to be sorted and numbered.
pub(super) struct Journal {
    now: Timestamp,
    drafts: Vec<Draft>,
}

/// Names a draft before it has its id.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct DraftKey(usize);

/// One entry without its id.
pub(super) struct Draft {
    pub(super) site: SiteId,
    pub(super) happened: Timestamp,
    /// How long after it happened it was entered.
    pub(super) delay: SignedDuration,
    pub(super) by: PersonId,
    pub(super) device: &'static str,
    pub(super) corrects: Option<DraftKey>,
    pub(super) fact: Fact,
}

impl Journal {
    pub(super) const fn new(now: Timestamp) -> Self {
        Self { now, drafts: Vec::new() }
    }

    pub(super) const fn now(&self) -> Timestamp {
        self.now
    }

    pub(super) fn keep(&mut self, draft: Draft) -> DraftKey {
        self.drafts.push(draft);
        DraftKey(self.drafts.len() - 1)
    }

    /// Has the draft entered this long after it happened.
    pub(super) fn delay(&mut self, DraftKey(key): DraftKey, delay: SignedDuration) {
        if let Some(draft) = self.drafts.get_mut(key) {
            draft.delay = delay;
        }
    }

    /// The entries in the order in which they were entered, numbered.
    pub(super) fn bound(self) -> Vec<Entry> {
        let now = self.now;
        let mut sorted: Vec<(Timestamp, usize, Draft)> = self
            .drafts
            .into_iter()
            .enumerate()
            .map(|(key, draft)| (entered(&draft, now), key, draft))
            .collect();
        sorted.sort_by_key(|(entered, key, _)| (*entered, *key));
        let numbered = sorted.iter().enumerate();
        let ids: BTreeMap<usize, EntryId> = numbered
            .map(|(number, (_, key, _))| (*key, EntryId::new(format!("demo-{:06}", number + 1))))
            .collect();
        let id_of = |key: usize| ids.get(&key).cloned();
        let bind = |(entered, key, draft): (Timestamp, usize, Draft)| {
            Some(Entry {
                id: id_of(key)?,
                site: draft.site,
                happened: draft.happened,
                entered,
                by: draft.by,
                device: draft.device.to_owned(),
                corrects: draft.corrects.and_then(|DraftKey(wrong)| id_of(wrong)),
                fact: draft.fact,
            })
        };
        sorted.into_iter().filter_map(bind).collect()
    }
}

/// When a draft was entered: after its delay, but not after now.
fn entered(draft: &Draft, now: Timestamp) -> Timestamp {
    let entered = draft.happened.checked_add(draft.delay).unwrap_or(draft.happened);
    entered.min(now).max(draft.happened)
}
