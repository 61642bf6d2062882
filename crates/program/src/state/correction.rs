use std::collections::{BTreeMap, BTreeSet, HashMap};

use foldhash::fast::RandomState;

use super::contradiction::Contradiction;
use super::log::Slots;
use super::subjects::{Part, Subject};
use crate::entry::Entry;
use crate::ids::EntryId;

/// Which entries correct which.
///
/// Entries that correct each other form a tree whose root is the first entry. One of them counts:
/// of those that nobody corrected, the one entered last. It is in doubt while its own target is
/// not here, is corrected by another entry too with another fact, or corrects it in turn; one more
/// correction, of the entry that counts, settles it.
#[derive(Debug, Default, Clone)]
pub(super) struct Corrections {
    by_target: BTreeMap<EntryId, Vec<usize>>,
    /// Trees in doubt, by an entry of theirs.
    in_doubt: BTreeMap<EntryId, Contradiction>,
    /// What the entries that correct each other are folded into.
    things: BTreeSet<Subject>,
}

impl Corrections {
    /// Notes what `entry` corrects. Tells whether it belongs to a tree of corrections at all.
    pub(super) fn learn(&mut self, entry: &Entry, slot: usize) -> bool {
        if let Some(target) = &entry.corrects {
            self.by_target.entry(target.clone()).or_default().push(slot);
        }
        entry.corrects.is_some() || self.by_target.contains_key(&entry.id)
    }

    pub(super) fn forget(&mut self, target: &EntryId, slot: usize) {
        if let Some(slots) = self.by_target.get_mut(target) {
            slots.retain(|kept| *kept != slot);
            if slots.is_empty() {
                self.by_target.remove(target);
            }
        }
        self.in_doubt.remove(target);
    }

    /// Contradictions among corrections, not settled yet, by the id of the first entry.
    pub(super) fn in_doubt(&self) -> impl Iterator<Item = (&EntryId, &Contradiction)> {
        self.in_doubt.iter()
    }

    /// The doubt about the entries whose first is `root`.
    pub(super) fn doubt_of(&self, root: &EntryId) -> Option<&Contradiction> {
        self.in_doubt.get(root)
    }

    /// Every tree of entries that correct each other.
    pub(super) fn trees(
        &self,
        slots: &Slots,
        by_id: &HashMap<EntryId, usize, RandomState>,
    ) -> Vec<Vec<usize>> {
        let correcting = self.by_target.values().flatten().filter_map(|slot| slots.entry(*slot));
        let roots: BTreeSet<EntryId> = correcting.map(|entry| root(entry, slots, by_id)).collect();
        roots.iter().map(|root| self.tree(root, by_id, slots)).collect()
    }

    /// The slots of all that correct each other with `entry`; none where nothing does.
    pub(super) fn with(
        &self,
        entry: &Entry,
        slots: &Slots,
        by_id: &HashMap<EntryId, usize, RandomState>,
    ) -> Vec<usize> {
        if entry.corrects.is_none() && !self.by_target.contains_key(&entry.id) {
            return Vec::new();
        }
        self.tree(&root(entry, slots, by_id), by_id, slots)
    }

    /// Notes what an entry that corrects or is corrected is folded into; of a site, what bears on a wear.
    pub(super) fn note(&mut self, entry: &Entry) {
        let bears = |part: &Part, thing: &Subject| {
            *part == Part::Folded
                && (!matches!(thing, Subject::Site(_)) || entry.changes_the_calendar())
        };
        let things = entry.subjects().into_iter().filter(|(part, thing)| bears(part, thing));
        self.things.extend(things.map(|(_, thing)| thing));
    }

    /// Whether an entry that corrects or is corrected is folded into a thing, and bears on a wear.
    pub(super) fn touch(&self, thing: &Subject) -> bool {
        self.things.contains(thing)
    }

    /// Whether nothing corrects anything.
    pub(super) fn is_empty(&self) -> bool {
        self.by_target.is_empty()
    }

    /// The slot that counts in the tree of `slot`.
    pub(super) fn winner(
        &self,
        slot: usize,
        slots: &Slots,
        by_id: &HashMap<EntryId, usize, RandomState>,
    ) -> usize {
        let Some(entry) = slots.entry(slot) else { return slot };
        let tree = self.tree(&root(entry, slots, by_id), by_id, slots);
        tree.into_iter().find(|slot| slots.counts(*slot)).unwrap_or(slot)
    }

    /// Decides which entry of the tree of `entry` counts; gives the slots where that changed.
    pub(super) fn settle(
        &mut self,
        entry: &Entry,
        slots: &mut Slots,
        by_id: &HashMap<EntryId, usize, RandomState>,
    ) -> Vec<usize> {
        let root = root(entry, slots, by_id);
        let tree = self.tree(&root, by_id, slots);
        let leaf = |slot: &usize| {
            slots.entry(*slot).is_some_and(|entry| !self.by_target.contains_key(&entry.id))
        };
        let leaves: Vec<usize> = tree.iter().copied().filter(leaf).collect();
        // In a ring of corrections nothing is left uncorrected.
        let candidates = if leaves.is_empty() { &tree } else { &leaves };
        let entered = |slot: &usize| slots.entry(*slot).map(|entry| (entry.entered, &entry.id));
        let Some(winner) = candidates.iter().copied().max_by_key(entered) else {
            return Vec::new();
        };
        let doubt = self.doubt(winner, &tree, slots, by_id);
        self.in_doubt.remove(&root);
        for slot in &tree {
            if let Some(entry) = slots.entry(*slot) {
                self.in_doubt.remove(&entry.id);
            }
        }
        if let Some(doubt) = doubt {
            self.in_doubt.insert(root, doubt);
        }
        tree.into_iter().filter(|slot| slots.set_counts(*slot, *slot == winner)).collect()
    }

    /// Every known entry under `root`, the root too if it is here.
    fn tree(
        &self,
        root: &EntryId,
        by_id: &HashMap<EntryId, usize, RandomState>,
        slots: &Slots,
    ) -> Vec<usize> {
        let mut tree: Vec<usize> = by_id.get(root).copied().into_iter().collect();
        let mut seen: BTreeSet<usize> = tree.iter().copied().collect();
        let mut ahead: Vec<&EntryId> = vec![root];
        while let Some(id) = ahead.pop() {
            for slot in self.by_target.get(id).into_iter().flatten() {
                if seen.insert(*slot) {
                    tree.push(*slot);
                    ahead.extend(slots.entry(*slot).map(|entry| &entry.id));
                }
            }
        }
        tree
    }

    fn doubt(
        &self,
        winner: usize,
        tree: &[usize],
        slots: &Slots,
        by_id: &HashMap<EntryId, usize, RandomState>,
    ) -> Option<Contradiction> {
        let entry = slots.entry(winner)?;
        let target = entry.corrects.as_ref()?;
        let rivals = self.by_target.get(target).map(Vec::as_slice).unwrap_or_default();
        let rival = rivals
            .iter()
            .filter_map(|slot| slots.entry(*slot))
            .any(|other| other.fact != entry.fact || other.happened != entry.happened);
        let words = if self.by_target.contains_key(&entry.id) {
            format!("entries correct each other in a ring: `{}`, `{target}`", entry.id)
        } else if !by_id.contains_key(target) {
            format!("entry `{}` corrects `{target}`, which is not here", entry.id)
        } else if rival {
            format!("entry `{target}` is corrected in more than one way")
        } else {
            return None;
        };
        let mut entries: Vec<EntryId> =
            tree.iter().filter_map(|slot| slots.entry(*slot)).map(|e| e.id.clone()).collect();
        entries.sort();
        Some(Contradiction { entries, words, unsettled: true })
    }
}

/// The first entry of the tree of `entry`, which may be one that is not here. Of a ring, the
/// smallest id.
fn root(entry: &Entry, slots: &Slots, by_id: &HashMap<EntryId, usize, RandomState>) -> EntryId {
    let mut path: Vec<&EntryId> = vec![&entry.id];
    let mut here = entry;
    while let Some(target) = &here.corrects {
        if let Some(start) = path.iter().position(|id| *id == target) {
            let ring = path.iter().skip(start).min();
            return ring.map_or_else(|| target.clone(), |id| (*id).clone());
        }
        path.push(target);
        match by_id.get(target).and_then(|slot| slots.entry(*slot)) {
            Some(next) => here = next,
            None => return target.clone(),
        }
    }
    here.id.clone()
}
