//! Which entries bear on which thing.

use std::collections::{BTreeMap, BTreeSet};

use program::{Entry, EntryId, Part, State, Subject, alike};

use super::carried;
use super::page::Kept;
use super::{AboutRow, Derived, Page};
use crate::store::ReadError;

/// So many positions stand in one piece.
const PIECE: usize = 100;

/// The number of a thing and of the part an entry has in it: FNV-1a of 64 bits over both, mixed once more.
/// Things whose ids look alike have the same, so that each is found with the other.
///
/// Source: G. Fowler, L. C. Noll, K.-P. Vo, D. Eastlake, The FNV Non-Cryptographic Hash Algorithm
/// (value from memory). Any function that spreads and never changes would do.
pub(super) fn number(part: Part, thing: &Subject) -> i64 {
    let numbered = match part {
        Part::Folded => 0_u8,
        Part::Named => 1,
        Part::RestsOn => 2,
    };
    let looks = looks(thing);
    let bytes = [numbered, thing.kind()].into_iter().chain(looks.bytes());
    let mixed = bytes.fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
    });
    (mixed ^ (mixed >> 32)).wrapping_mul(0x9e37_79b9_7f4a_7c15).cast_signed()
}

/// The id of a thing as somebody sees it; that of an entry as it is.
pub(super) fn looks(thing: &Subject) -> String {
    match thing {
        Subject::Correction(id) => id.to_string(),
        thing => alike(thing.id()),
    }
}

/// One entry bears on one thing; in the order of things and positions.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Bond {
    thing: i64,
    position: i64,
    happened: i64,
}

impl Bond {
    /// The bonds of one entry by itself.
    pub(super) fn of(
        position: i64,
        entry: &Entry,
        subjects: &[(Part, Subject)],
    ) -> impl Iterator<Item = Self> {
        let own = subjects.iter().map(move |(part, thing)| Self {
            thing: number(*part, thing),
            position,
            happened: match part {
                Part::Named | Part::RestsOn => entry.happened.as_microsecond(),
                Part::Folded => 0,
            },
        });
        let corrects = entry.corrects.clone().map(Subject::Correction);
        own.chain(corrects.map(move |target| Self::folded(&target, position)))
    }

    pub(super) fn folded(thing: &Subject, position: i64) -> Self {
        Self { thing: number(Part::Folded, thing), position, happened: 0 }
    }

    /// Bytes in the order of the bonds.
    pub(super) fn to_bytes(self) -> [u8; 24] {
        let mut bytes = [0; 24];
        let numbers = [self.thing, self.position, self.happened];
        for (place, number) in bytes.chunks_exact_mut(8).zip(numbers) {
            place.copy_from_slice(&ordered(number));
        }
        bytes
    }

    /// The bond in these bytes; none where there are not 24.
    pub(super) fn from_bytes(bytes: &[u8]) -> Option<Self> {
        let number = |from: usize| from_ordered(bytes.get(from..from + 8)?);
        Some(Self { thing: number(0)?, position: number(8)?, happened: number(16)? })
    }
}

/// Eight bytes whose order is that of the numbers.
pub(super) fn ordered(number: i64) -> [u8; 8] {
    (number ^ i64::MIN).to_be_bytes()
}

/// The number in these bytes; none where there are not eight.
pub(super) fn from_ordered(bytes: &[u8]) -> Option<i64> {
    Some(i64::from_be_bytes(bytes.try_into().ok()?) ^ i64::MIN)
}

/// The pieces of some bonds, which stand in their order.
pub(super) fn pieces(bonds: &[Bond]) -> Vec<AboutRow> {
    let of_one = bonds.chunk_by(|a, b| a.thing == b.thing).flat_map(|of_one| of_one.chunks(PIECE));
    of_one.filter_map(piece).collect()
}

fn piece(bonds: &[Bond]) -> Option<AboutRow> {
    let first = bonds.first()?;
    let positions: Vec<i64> = bonds.iter().map(|bond| bond.position).collect();
    Some(AboutRow {
        thing: first.thing,
        first: first.position,
        latest: bonds.iter().map(|bond| bond.happened).max()?,
        // Numbers always have a form in JSON.
        positions: serde_json::to_string(&positions).unwrap_or_default(),
    })
}

/// Everything that bears on one thing after another, put together from its pieces.
#[derive(Default)]
pub(super) struct Whole {
    thing: i64,
    latest: i64,
    positions: BTreeSet<i64>,
}

impl Whole {
    /// Adds the next piece; gives the line of the thing before where it is of another one.
    pub(super) fn add(&mut self, row: &AboutRow) -> Result<Option<String>, ReadError> {
        let underived = |_| ReadError::Underived { thing: format!("number {}", row.thing) };
        let positions: Vec<i64> = serde_json::from_str(&row.positions).map_err(underived)?;
        let line = (row.thing != self.thing).then(|| self.line());
        if line.is_some() {
            *self = Self { thing: row.thing, latest: row.latest, positions: BTreeSet::new() };
        }
        self.latest = self.latest.max(row.latest);
        self.positions.extend(positions);
        Ok(line)
    }

    /// All of it as one line.
    pub(super) fn line(&self) -> String {
        format!("{} {} {:?}\n", self.thing, self.latest, self.positions)
    }
}

/// The entries that correct each other with one of some entries.
#[derive(Default)]
pub(super) struct Trees {
    state: State,
    /// Where each stands, and what is carried of it.
    kept: BTreeMap<EntryId, (i64, Vec<u8>)>,
}

impl Trees {
    /// Every entry that corrects or is corrected by one of `touched`, over any number of steps.
    pub(super) async fn of<C: Derived>(
        connection: &mut C,
        touched: BTreeSet<EntryId>,
    ) -> Result<Self, ReadError> {
        Self::around(connection, touched, true).await
    }

    /// The same where `correcting` are all entries that correct another, so that none has to be looked for.
    pub(super) async fn of_all<C: Derived>(
        connection: &mut C,
        correcting: BTreeSet<EntryId>,
    ) -> Result<Self, ReadError> {
        Self::around(connection, correcting, false).await
    }

    async fn around<C: Derived>(
        connection: &mut C,
        touched: BTreeSet<EntryId>,
        more_may_correct: bool,
    ) -> Result<Self, ReadError> {
        let mut trees = Self::default();
        let mut seen = BTreeSet::new();
        let mut ahead = touched;
        while !ahead.is_empty() {
            let ids: Vec<&str> = ahead.iter().map(EntryId::as_str).collect();
            let mut pages = vec![connection.entries_with_ids(&ids).await?];
            if more_may_correct {
                let correct = |id: &EntryId| number(Part::Folded, &Subject::Correction(id.clone()));
                let correcting: Vec<i64> = ahead.iter().map(correct).collect();
                pages.extend(super::load::about(connection, &correcting, i64::MIN).await?);
            }
            let mut next = BTreeSet::new();
            for kept in pages.iter().flat_map(Page::kept) {
                let entry = trees.take(kept?)?;
                next.extend(entry.corrects);
                next.insert(entry.id);
            }
            seen.append(&mut ahead);
            ahead = next.difference(&seen).cloned().collect();
        }
        Ok(trees)
    }

    fn take(&mut self, kept: Kept<'_>) -> Result<Entry, ReadError> {
        let (_, entry, fact) = kept.read_with_text()?;
        self.state.apply(&entry);
        let mut carried = Vec::new();
        carried::write(&entry, fact, &mut carried);
        self.kept.insert(entry.id.clone(), (kept.position, carried));
        Ok(entry)
    }

    /// Whether one of them changes the whole site.
    pub(super) fn change_a_site(&self) -> bool {
        self.entries().any(Entry::changes_the_site)
    }

    /// All of them.
    pub(super) fn entries(&self) -> impl Iterator<Item = &Entry> {
        self.state.entries()
    }

    /// Every thing that an entry of a tree has a part in, with the position of every entry of that tree
    /// and what is carried of it.
    pub(super) fn bound(&self) -> BTreeMap<Subject, Vec<&(i64, Vec<u8>)>> {
        let mut bound: BTreeMap<Subject, Vec<_>> = BTreeMap::new();
        for tree in self.state.corrections() {
            let of_tree: BTreeSet<Subject> =
                tree.iter().flat_map(|entry| subjects(entry)).collect();
            for thing in of_tree {
                let kept = tree.iter().filter_map(|entry| self.kept.get(&entry.id));
                bound.entry(thing).or_default().extend(kept);
            }
        }
        bound
    }

    /// A piece for each of these, because some of them may stand in pieces already.
    pub(super) fn pieces(&self) -> Vec<AboutRow> {
        let bonds = |(thing, kept): (Subject, Vec<&(i64, Vec<u8>)>)| {
            let bonds = kept.into_iter().map(move |(at, _)| Bond::folded(&thing, *at));
            bonds.collect::<Vec<Bond>>()
        };
        self.bound().into_iter().flat_map(bonds).filter_map(|bond| piece(&[bond])).collect()
    }
}

/// The things that an entry of a tree has a part in, the tree itself among them.
fn subjects(entry: &Entry) -> impl Iterator<Item = Subject> {
    let own = entry.subjects().into_iter().filter(|(part, _)| *part != Part::RestsOn);
    let ids = [Some(entry.id.clone()), entry.corrects.clone()].into_iter().flatten();
    own.map(|(_, thing)| thing).chain(ids.map(Subject::Correction))
}
