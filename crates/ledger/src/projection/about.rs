//! Which entries bear on which thing.

use std::collections::{BTreeMap, BTreeSet};

use program::{Entry, EntryId, Part, State, Subject};

use super::{AboutRow, Derived, Kept};
use crate::store::ReadError;

/// The number of a thing and of the part an entry has in it: FNV-1a of 64 bits over both, mixed once more.
///
/// Source: G. Fowler, L. C. Noll, K.-P. Vo, D. Eastlake, The FNV Non-Cryptographic Hash Algorithm
/// (value from memory). Any function that spreads and never changes would do.
pub(super) fn number(part: Part, thing: &Subject) -> i64 {
    let numbered = match part {
        Part::Folded => 0_u8,
        Part::Named => 1,
        Part::RestsOn => 2,
    };
    let bytes = [numbered, thing.kind()].into_iter().chain(thing.id().bytes());
    let mixed = bytes.fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
    });
    (mixed ^ (mixed >> 32)).wrapping_mul(0x9e37_79b9_7f4a_7c15).cast_signed()
}

/// The rows of one entry by itself.
pub(super) fn rows(
    position: i64,
    entry: &Entry,
    subjects: &[(Part, Subject)],
) -> impl Iterator<Item = AboutRow> {
    let own = subjects.iter().map(move |(part, thing)| AboutRow {
        thing: number(*part, thing),
        happened: match part {
            Part::Named => entry.happened.as_microsecond(),
            Part::Folded | Part::RestsOn => 0,
        },
        position,
    });
    let target = entry.corrects.clone().map(|target| AboutRow {
        thing: number(Part::Folded, &Subject::Correction(target)),
        happened: 0,
        position,
    });
    own.chain(target)
}

/// The entries that correct each other with one of some entries.
#[derive(Default)]
pub(super) struct Trees {
    state: State,
    positions: BTreeMap<EntryId, i64>,
}

impl Trees {
    /// Every entry that corrects or is corrected by one of `touched`, over any number of steps.
    pub(super) async fn of<C: Derived>(
        connection: &mut C,
        touched: BTreeSet<EntryId>,
    ) -> Result<Self, ReadError> {
        let mut trees = Self::default();
        let mut seen = BTreeSet::new();
        let mut ahead = touched;
        while !ahead.is_empty() {
            let ids: Vec<&str> = ahead.iter().map(EntryId::as_str).collect();
            let correct = |id: &EntryId| number(Part::Folded, &Subject::Correction(id.clone()));
            let correcting: Vec<i64> = ahead.iter().map(correct).collect();
            let mut kept = connection.entries_with_ids(&ids).await?;
            kept.extend(super::load::about(connection, &correcting, i64::MIN).await?);
            let mut next = BTreeSet::new();
            for one in &kept {
                let entry = trees.take(one)?;
                next.extend(entry.corrects);
                next.insert(entry.id);
            }
            seen.append(&mut ahead);
            ahead = next.difference(&seen).cloned().collect();
        }
        Ok(trees)
    }

    fn take(&mut self, kept: &Kept) -> Result<Entry, ReadError> {
        let (_, entry) = kept.read()?;
        self.state.apply(&entry);
        self.positions.insert(entry.id.clone(), kept.position);
        Ok(entry)
    }

    /// Whether one of them changes the whole site.
    pub(super) fn change_a_site(&self) -> bool {
        self.state.entries().any(Entry::changes_the_site)
    }

    /// The rows that bind every entry of a tree to every thing that one of them has a part in, and
    /// those things.
    pub(super) fn rows(&self) -> (Vec<AboutRow>, BTreeSet<Subject>) {
        let (mut rows, mut things) = (Vec::new(), BTreeSet::new());
        for tree in self.state.corrections() {
            let of_tree: BTreeSet<Subject> =
                tree.iter().flat_map(|entry| subjects(entry)).collect();
            for thing in &of_tree {
                let thing = number(Part::Folded, thing);
                let positions = tree.iter().filter_map(|entry| self.positions.get(&entry.id));
                rows.extend(positions.map(|at| AboutRow { thing, happened: 0, position: *at }));
            }
            things.extend(of_tree);
        }
        (rows, things)
    }
}

/// The things that an entry of a tree has a part in, the tree itself among them.
fn subjects(entry: &Entry) -> impl Iterator<Item = Subject> {
    let own = entry.subjects().into_iter().filter(|(part, _)| *part != Part::RestsOn);
    let ids = [Some(entry.id.clone()), entry.corrects.clone()].into_iter().flatten();
    own.map(|(_, thing)| thing).chain(ids.map(Subject::Correction))
}
