//! Deriving everything from the first entry on: the entries are read once in the order in which they
//! came, sorted by the things that they are about, and each thing is then looked at with its entries
//! at hand. Reading, sorting and looking go on side by side.

use std::collections::{BTreeSet, VecDeque};
use std::future::pending;
use std::panic::resume_unwind;
use std::{io, iter};

use program::{EntryId, Part, State, Subject};
use tokio::task::{JoinHandle, spawn_blocking};

use super::about::{self, Bond, Trees, from_ordered, ordered};
use super::carried;
use super::derive::{self, Changes, THINGS_TOGETHER};
use super::listed::{self, ThingRow};
use super::load::{Given, Judges, Partial, Wanted};
use super::replace::{Standing, TableRow};
use super::sorter::{Sorted, Sorter};
use super::{AboutRow, Derived, DueRow, Page};
use crate::store::ReadError;

/// So many pages are looked at side by side.
const SIDE_BY_SIDE: usize = 3;

/// So many find duties side by side.
const FINDING_TOGETHER: usize = 2;

/// So many rows are written together.
const ROWS_TOGETHER: usize = 20_000;

/// So many entries are looked at together, but for those of one thing.
const ENTRIES_TOGETHER: usize = 5000;

/// What came of deriving everything.
pub(super) struct Anew {
    /// The number of entries.
    pub(super) entries: u64,
    /// Whether a duty or a place in a list is another now.
    pub(super) changed: bool,
}

/// Derives everything. What was derived before `stands` where it is worth comparing with.
pub(super) async fn derive<C: Derived>(
    connection: &mut C,
    stands: bool,
) -> Result<Anew, ReadError> {
    connection.clear(stands).await?;
    let Scan { entries, mut bonds, mut told, correcting } = scan(connection).await?;
    let trees = Trees::of_all(connection, correcting).await?;
    for (thing, kept) in trees.bound() {
        told.push(|bytes| Told::named(&thing, bytes))?;
        for (position, carried) in kept {
            let bond = Bond::folded(&thing, *position);
            bonds.push(|bytes| bytes.extend_from_slice(&bond.to_bytes()))?;
            told.push(|bytes| {
                Told::folded(&thing, *position, bytes);
                bytes.extend_from_slice(carried);
            })?;
        }
    }
    write_rows(connection, Batches::of(bonds, take_pieces)).await?;
    let found = look(connection, told).await?;
    let changed = write(connection, found).await?;
    Ok(Anew { entries, changed })
}

/// Work that takes the processor, on a thread of its own.
struct Aside<T>(JoinHandle<T>);

impl<T: Send + 'static> Aside<T> {
    fn begin(work: impl FnOnce() -> T + Send + 'static) -> Self {
        Self(spawn_blocking(work))
    }

    async fn done(self) -> T {
        match self.0.await {
            Ok(done) => done,
            Err(error) => match error.try_into_panic() {
                Ok(panic) => resume_unwind(panic),
                // It is cancelled where the whole program ends.
                Err(_) => pending().await,
            },
        }
    }
}

/// Several that collect the same kind of findings, each on its own.
struct Crew<T> {
    idle: Vec<T>,
    working: VecDeque<Aside<Result<T, ReadError>>>,
}

impl<T: Default + Send + 'static> Crew<T> {
    fn of(size: usize) -> Self {
        let idle = iter::repeat_with(T::default).take(size).collect();
        Self { idle, working: VecDeque::new() }
    }

    /// Has one of them work, when it is done with what it was given before.
    async fn set_to_work(
        &mut self,
        work: impl FnOnce(T) -> Result<T, ReadError> + Send + 'static,
    ) -> Result<(), ReadError> {
        let one = match self.idle.pop() {
            Some(one) => one,
            None => match self.working.pop_front() {
                Some(next) => next.done().await?,
                None => T::default(),
            },
        };
        self.working.push_back(Aside::begin(move || work(one)));
        Ok(())
    }

    /// All of them, when they are done.
    async fn home(mut self) -> Result<Vec<T>, ReadError> {
        for working in self.working {
            self.idle.push(working.done().await?);
        }
        Ok(self.idle)
    }
}

/// What was read of the entries.
#[derive(Default)]
struct Scan {
    entries: u64,
    /// The bytes of bonds.
    bonds: Sorter,
    /// The bytes of [`Told`].
    told: Sorter,
    /// Entries that correct another.
    correcting: BTreeSet<EntryId>,
}

/// Reads every entry.
async fn scan<C: Derived>(connection: &mut C) -> Result<Scan, ReadError> {
    let mut crew = Crew::<Scan>::of(SIDE_BY_SIDE);
    let mut after = 0;
    loop {
        let page = connection.entries_after(after).await?;
        let Some(last) = page.last() else { break };
        after = last;
        crew.set_to_work(move |scan| scan.with(&page)).await?;
    }
    let closing = crew.home().await?.into_iter().map(|scan| Aside::begin(move || scan.closed()));
    let mut whole = Scan::default();
    for closing in closing.collect::<Vec<_>>() {
        let part = closing.done().await;
        whole.entries += part.entries;
        whole.bonds.absorb(part.bonds);
        whole.told.absorb(part.told);
        whole.correcting.extend(part.correcting);
    }
    Ok(whole)
}

impl Scan {
    fn with(mut self, page: &Page) -> Result<Self, ReadError> {
        for kept in page.kept() {
            let kept = kept?;
            let (_, entry, fact) = kept.read_with_text()?;
            self.entries += 1;
            let subjects = entry.subjects();
            for bond in Bond::of(kept.position, &entry, &subjects) {
                self.bonds.push(|bytes| bytes.extend_from_slice(&bond.to_bytes()))?;
            }
            for (part, thing) in &subjects {
                match part {
                    Part::Folded => self.told.push(|bytes| {
                        Told::folded(thing, kept.position, bytes);
                        carried::write(&entry, fact, bytes);
                    })?,
                    Part::Named => self.told.push(|bytes| Told::named(thing, bytes))?,
                    Part::RestsOn => {}
                }
            }
            if entry.corrects.is_some() {
                self.correcting.insert(entry.id);
            }
        }
        Ok(self)
    }

    fn closed(mut self) -> Self {
        self.bonds.close();
        self.told.close();
        self
    }
}

/// What was sorted, some records at a time: the next are read while those before are written.
struct Batches<T> {
    take: fn(Sorted) -> Taken<T>,
    reading: Option<Aside<Taken<T>>>,
}

impl<T: Send + 'static> Batches<T> {
    fn of(sorter: Sorter, take: fn(Sorted) -> Taken<T>) -> Self {
        let reading = Some(Aside::begin(move || take(sorter.sorted()?)));
        Self { take, reading }
    }

    /// The next records; none after the last.
    async fn next(&mut self) -> Result<Option<Vec<T>>, ReadError> {
        let Some(reading) = self.reading.take() else { return Ok(None) };
        let (sorted, some) = reading.done().await?;
        if some.is_empty() {
            return Ok(None);
        }
        let take = self.take;
        self.reading = Some(Aside::begin(move || take(sorted)));
        Ok(Some(some))
    }
}

/// Some records, and those after them.
type Taken<T> = Result<(Sorted, Vec<T>), ReadError>;

/// Takes some records and reads them.
fn take<T>(mut sorted: Sorted, read: fn(&[u8]) -> Option<T>) -> Taken<T> {
    let mut some = Vec::with_capacity(ROWS_TOGETHER);
    while some.len() < ROWS_TOGETHER
        && let Some(bytes) = sorted.next()?
    {
        some.push(read(bytes).ok_or_else(changed)?);
    }
    Ok((sorted, some))
}

fn changed() -> io::Error {
    io::Error::other("a sorted record is not as it was written")
}

/// The pieces of some bonds, and the bonds after them.
fn take_pieces(sorted: Sorted) -> Taken<AboutRow> {
    let (sorted, bonds) = take(sorted, Bond::from_bytes)?;
    Ok((sorted, about::pieces(&bonds)))
}

/// An entry that has a part in a thing: the kind of the thing, its id as it looks, the position of the entry,
/// the id, and the entry; the position and the entry only where it is folded into the thing.
struct Told<'r> {
    kind: u8,
    looks: &'r str,
    id: &'r str,
    carried: Option<&'r [u8]>,
}

impl<'r> Told<'r> {
    fn named(thing: &Subject, to: &mut Vec<u8>) {
        Self::ahead(thing, &[], to);
    }

    /// What stands before the entry.
    fn folded(thing: &Subject, position: i64, to: &mut Vec<u8>) {
        // Few bytes, for they are compared often; the more of them there are, the higher it is.
        let position = position.to_be_bytes();
        let zeros = position.iter().take_while(|byte| **byte == 0).count();
        Self::ahead(thing, position.get(zeros..).unwrap_or(&[]), to);
    }

    fn ahead(thing: &Subject, digits: &[u8], to: &mut Vec<u8>) {
        to.push(thing.kind());
        to.extend_from_slice(about::looks(thing).as_bytes());
        // No id holds this byte.
        to.push(0);
        to.extend(u8::try_from(digits.len()));
        to.extend_from_slice(digits);
        to.extend_from_slice(thing.id().as_bytes());
        to.push(0);
    }

    /// None for bytes of another form.
    fn read(record: &'r [u8]) -> Option<Self> {
        let (kind, rest) = record.split_first()?;
        let (looks, rest) = text(rest)?;
        let (digits, rest) = rest.split_first()?;
        let (id, carried) = text(rest.get(usize::from(*digits)..)?)?;
        let carried = (*digits > 0).then_some(carried);
        Some(Self { kind: *kind, looks, id, carried })
    }
}

/// The things in their order, some at a time: those of one kind whose ids are near each other come together,
/// and they have much in common, such as who holds them. Those whose ids look alike are never parted.
struct Telling {
    sorted: Sorted,
    /// A record of the next things that was taken already.
    ahead: Option<Vec<u8>>,
}

impl Telling {
    /// The next things; none after the last.
    fn next(mut self) -> Result<(Self, Handful), ReadError> {
        let mut some = Handful::default();
        if let Some(record) = self.ahead.take() {
            some.add(&record)?;
        }
        while let Some(record) = self.sorted.next()? {
            if !some.add(record)? {
                self.ahead = Some(record.to_vec());
                break;
            }
        }
        Ok((self, some))
    }
}

/// Some things, and what is folded into them.
#[derive(Default)]
struct Handful {
    things: Vec<Subject>,
    /// The entries, and where each ends.
    carried: Vec<u8>,
    ends: Vec<usize>,
    /// How the last of the things looks, and where those that look like it begin.
    last: Option<(String, usize)>,
}

impl Handful {
    /// Adds what is told, unless it is of things that look otherwise than the last and there are enough.
    fn add(&mut self, record: &[u8]) -> Result<bool, ReadError> {
        let told = Told::read(record).ok_or_else(changed)?;
        let of_kind = self.things.last().is_some_and(|last| last.kind() == told.kind);
        let start = match &self.last {
            Some((looks, start)) if of_kind && looks == told.looks => *start,
            _ => {
                if ENTRIES_TOGETHER <= self.ends.len() || THINGS_TOGETHER <= self.things.len() {
                    return Ok(false);
                }
                self.last = Some((told.looks.to_owned(), self.things.len()));
                self.things.len()
            }
        };
        let alike = self.things.get(start..).unwrap_or(&[]);
        if !alike.iter().any(|thing| thing.id() == told.id) {
            self.things.push(Subject::of(told.kind, told.id).ok_or_else(changed)?);
        }
        if let Some(carried) = told.carried {
            self.carried.extend_from_slice(carried);
            self.ends.push(self.carried.len());
        }
        Ok(true)
    }

    /// The things, and the state of what is folded into them.
    fn folded(self) -> Result<Looking, ReadError> {
        let mut state = State::default();
        let mut start = 0;
        for end in self.ends {
            let entry = self.carried.get(start..end).and_then(carried::read);
            state.take(entry.ok_or_else(changed)?);
            start = end;
        }
        Ok(Looking::at(self.things, state))
    }
}

/// Some things that are looked at.
struct Looking {
    partial: Partial,
    things: Vec<Subject>,
    /// What is still to be read for them.
    wanted: Option<Wanted>,
}

impl Looking {
    fn at(things: Vec<Subject>, state: State) -> Self {
        let mut partial = Partial::of(state, &things);
        let wanted = partial.wanted_for_due(&things);
        Self { partial, things, wanted }
    }

    fn given(mut self, given: Given) -> Result<Self, ReadError> {
        self.partial.give(given)?;
        self.wanted = self.partial.wanted_for_due(&self.things);
        Ok(self)
    }
}

/// The duties that were found and how the things stand in their lists: rows in the order of their
/// bytes.
#[derive(Default)]
struct Found {
    rows: Sorter,
    listed: Sorter,
    changes: Changes,
}

impl Found {
    fn with(mut self, state: &State, things: &[Subject]) -> Result<Self, ReadError> {
        let rows: Vec<DueRow> = derive::rows(state, things).collect();
        self.changes.add(&rows, 1);
        for row in &rows {
            self.rows.push(|bytes| write_due(row, bytes))?;
        }
        for row in listed::rows(state, things) {
            self.listed.push(|bytes| row.write(bytes))?;
        }
        Ok(self)
    }

    fn closed(mut self) -> Self {
        self.rows.close();
        self.listed.close();
        self
    }

    /// Adds what a closed one found.
    fn absorb(&mut self, other: Self) {
        self.rows.absorb(other.rows);
        self.listed.absorb(other.listed);
        self.changes.absorb(other.changes);
    }
}

/// Looks at every thing: the connection reads what is wanted, and all else goes on beside it.
async fn look<C: Derived>(connection: &mut C, told: Sorter) -> Result<Found, ReadError> {
    let mut judges = Judges::default();
    let mut looking = VecDeque::new();
    let mut crew = Crew::<Found>::of(FINDING_TOGETHER);
    let begin = move || Telling { sorted: told.sorted()?, ahead: None }.next();
    let mut reading = Some(Aside::begin(begin));
    loop {
        while looking.len() < SIDE_BY_SIDE
            && let Some(next) = reading.take()
        {
            let (telling, some) = next.done().await?;
            if !some.things.is_empty() {
                reading = Some(Aside::begin(move || telling.next()));
                looking.push_back(Aside::begin(move || some.folded()));
            }
        }
        let Some(next) = looking.pop_front() else { break };
        let mut one: Looking = next.done().await?;
        if let Some(wanted) = one.wanted.take() {
            let given = wanted.fetch(connection, &mut judges).await?;
            looking.push_back(Aside::begin(move || one.given(given)));
        } else {
            crew.set_to_work(move |found| found.with(&one.partial.state, &one.things)).await?;
        }
    }
    let closing = crew.home().await?.into_iter().map(|found| Aside::begin(move || found.closed()));
    let mut all = Found::default();
    for closing in closing.collect::<Vec<_>>() {
        all.absorb(closing.done().await);
    }
    Ok(all)
}

/// Writes what was found; tells whether that changed anything.
async fn write<C: Derived>(connection: &mut C, mut found: Found) -> Result<bool, ReadError> {
    let mut changed = write_rows(
        connection,
        Batches::of(found.listed, |sorted| take(sorted, ThingRow::from_bytes)),
    )
    .await?;
    changed |=
        write_rows(connection, Batches::of(found.rows, |sorted| take(sorted, read_due))).await?;
    connection.index().await?;
    for counted in connection.counts().await? {
        found.changes.take_off(counted);
    }
    connection.count(&found.changes.counted()).await?;
    Ok(changed)
}

/// Has a table hold these rows; tells whether it changed.
async fn write_rows<C, R>(connection: &mut C, mut batches: Batches<R>) -> Result<bool, ReadError>
where
    C: Derived,
    R: TableRow + Send + 'static,
{
    let mut standing = Standing::all();
    while let Some(some) = batches.next().await? {
        standing.put(connection, &some).await?;
    }
    Ok(standing.end(connection).await?)
}

/// Appends bytes in the order of the rows: no name holds the byte that ends it here.
fn write_due(row: &DueRow, to: &mut Vec<u8>) {
    to.extend_from_slice(row.site.as_bytes());
    to.push(0);
    to.extend([row.kind, row.since, row.about].into_iter().flat_map(ordered));
    to.extend_from_slice(row.thing.as_bytes());
    to.push(0);
    to.extend_from_slice(&ordered(row.nth));
}

fn read_due(bytes: &[u8]) -> Option<DueRow> {
    let (site, rest) = name(bytes)?;
    let (numbers, rest) = rest.split_at_checked(24)?;
    let (thing, nth) = name(rest)?;
    let number = |from: usize| from_ordered(numbers.get(from..from + 8)?);
    let nth = from_ordered(nth)?;
    Some(DueRow { site, kind: number(0)?, since: number(8)?, about: number(16)?, thing, nth })
}

/// A name and what comes after the byte that ends it.
pub(super) fn name(bytes: &[u8]) -> Option<(String, &[u8])> {
    text(bytes).map(|(name, rest)| (name.to_owned(), rest))
}

fn text(bytes: &[u8]) -> Option<(&str, &[u8])> {
    let end = bytes.iter().position(|byte| *byte == 0)?;
    let (name, rest) = bytes.split_at_checked(end)?;
    Some((str::from_utf8(name).ok()?, rest.get(1..)?))
}
