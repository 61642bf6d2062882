//! Sorting more than the memory holds: sorted runs in files without a name, merged as they are read.

use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::collections::binary_heap::PeekMut;
use std::fs::File;
use std::io::{self, BufReader, BufWriter, Read, Seek, Write};

/// So many bytes, those by which the places are kept among them, are sorted in memory before they are
/// written away.
const HELD: usize = 8 * 1024 * 1024;

/// So many bytes of a file are written or read together.
const AT_ONCE: usize = 64 * 1024;

/// Collects records in any order; they come out in the order of their bytes, each once.
pub(super) struct Sorter {
    most: usize,
    held: Held,
    runs: Vec<Run>,
}

/// Records in memory.
#[derive(Default)]
struct Held {
    bytes: Vec<u8>,
    places: Vec<Place>,
}

/// Where a record stands among the bytes.
struct Place {
    head: Head,
    start: u32,
    length: u32,
}

/// The first bytes of a record, by which most are told apart, as two numbers.
type Head = [u64; 2];

impl Default for Sorter {
    fn default() -> Self {
        Self { most: HELD, held: Held::default(), runs: Vec::new() }
    }
}

impl Sorter {
    /// Adds the record that `write` appends.
    pub(super) fn push(&mut self, write: impl FnOnce(&mut Vec<u8>)) -> io::Result<()> {
        if self.held.size() >= self.most {
            self.write_away()?;
        }
        if self.held.places.capacity() == 0 {
            // What is not used of it is not taken from the memory either; the last record may go
            // beyond.
            self.held.bytes.reserve_exact(self.most + AT_ONCE);
            self.held.places.reserve_exact(self.most / size_of::<Place>() + 1);
        }
        self.held.push(write)
    }

    /// Sorts what is still held.
    pub(super) fn close(&mut self) {
        let mut held = std::mem::take(&mut self.held);
        held.sort();
        self.runs.push(Run::Held { held, next: 0 });
    }

    /// Adds every record of a closed sorter.
    pub(super) fn absorb(&mut self, closed: Self) {
        self.runs.extend(closed.runs);
    }

    /// The records in their order.
    pub(super) fn sorted(mut self) -> io::Result<Sorted> {
        self.close();
        let mut sorted = Sorted { runs: self.runs, ahead: BinaryHeap::new(), last: None };
        for (number, run) in sorted.runs.iter_mut().enumerate() {
            let mut record = Vec::new();
            if run.next(&mut record)? {
                sorted.ahead.push(Reverse((head(&record), record, number)));
            }
        }
        Ok(sorted)
    }

    /// Writes what is held to a file, sorted, each record after its length, and holds nothing any
    /// more.
    fn write_away(&mut self) -> io::Result<()> {
        self.held.sort();
        let mut file = BufWriter::with_capacity(AT_ONCE, tempfile::tempfile()?);
        for place in &self.held.places {
            file.write_all(&place.length.to_le_bytes())?;
            file.write_all(self.held.record(place))?;
        }
        let mut file = file.into_inner().map_err(io::IntoInnerError::into_error)?;
        file.rewind()?;
        let left = self.held.places.len();
        self.runs.push(Run::Written { left, from: BufReader::with_capacity(AT_ONCE, file) });
        self.held.places.clear();
        self.held.bytes.clear();
        Ok(())
    }
}

impl Held {
    fn size(&self) -> usize {
        self.bytes.len() + size_of_val(self.places.as_slice())
    }

    fn push(&mut self, write: impl FnOnce(&mut Vec<u8>)) -> io::Result<()> {
        let start = self.bytes.len();
        write(&mut self.bytes);
        let record = self.bytes.get(start..).unwrap_or(&[]);
        let number = |number: usize| u32::try_from(number).map_err(io::Error::other);
        let (head, length) = (head(record), number(record.len())?);
        self.places.push(Place { head, start: number(start)?, length });
        Ok(())
    }

    fn record(&self, place: &Place) -> &[u8] {
        let number = |number| usize::try_from(number).unwrap_or(usize::MAX);
        let rest = self.bytes.get(number(place.start)..).unwrap_or(&[]);
        rest.get(..number(place.length)).unwrap_or(&[])
    }

    fn sort(&mut self) {
        let mut places = std::mem::take(&mut self.places);
        let order = |a: &Place, b: &Place| {
            a.head.cmp(&b.head).then_with(|| self.record(a).cmp(self.record(b)))
        };
        places.sort_unstable_by(order);
        places.dedup_by(|a, b| order(a, b).is_eq());
        self.places = places;
    }
}

fn head(record: &[u8]) -> Head {
    let mut bytes = [0; size_of::<Head>()];
    let length = record.len().min(bytes.len());
    if let (Some(bytes), Some(record)) = (bytes.get_mut(..length), record.get(..length)) {
        bytes.copy_from_slice(record);
    }
    // The order of the numbers is that of the bytes.
    let number = |from: usize| {
        let bytes = bytes.get(from..).and_then(|bytes| bytes.first_chunk());
        u64::from_be_bytes(*bytes.unwrap_or(&[0; 8]))
    };
    [number(0), number(8)]
}

/// The next record of a run, after its head, and the number of the run.
type Ahead = (Head, Vec<u8>, usize);

/// Records in the order of their bytes.
pub(super) struct Sorted {
    runs: Vec<Run>,
    ahead: BinaryHeap<Reverse<Ahead>>,
    /// The record that came last, after its head.
    last: Option<(Head, Vec<u8>)>,
}

impl Sorted {
    /// Takes the next record; none after the last.
    pub(super) fn next(&mut self) -> io::Result<Option<&[u8]>> {
        loop {
            let Some(mut first) = self.ahead.peek_mut() else { return Ok(None) };
            let Reverse((of_first, record, number)) = &mut *first;
            let Some(run) = self.runs.get_mut(*number) else { return Ok(None) };
            let came =
                self.last.as_ref().is_some_and(|last| last.0 == *of_first && last.1 == *record);
            let (of_last, last) = self.last.get_or_insert_default();
            *of_last = *of_first;
            std::mem::swap(last, record);
            if run.next(record)? {
                *of_first = head(record);
            } else {
                PeekMut::pop(first);
            }
            if !came {
                break;
            }
        }
        Ok(self.last.as_ref().map(|(_, record)| record.as_slice()))
    }
}

/// Records in order.
enum Run {
    /// In a file, each after its length; so many are left.
    Written { left: usize, from: BufReader<File> },
    /// In memory; that many came already.
    Held { held: Held, next: usize },
}

impl Run {
    /// Puts the next record into `record`; tells whether there was one.
    fn next(&mut self, record: &mut Vec<u8>) -> io::Result<bool> {
        match self {
            Self::Written { left: 0, .. } => return Ok(false),
            Self::Written { left, from } => {
                *left -= 1;
                let mut length = [0; 4];
                from.read_exact(&mut length)?;
                let length =
                    usize::try_from(u32::from_le_bytes(length)).map_err(io::Error::other)?;
                record.resize(length, 0);
                from.read_exact(record)?;
            }
            Self::Held { held, next } => {
                let Some(place) = held.places.get(*next) else { return Ok(false) };
                *next += 1;
                record.clear();
                record.extend_from_slice(held.record(place));
            }
        }
        Ok(true)
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use proptest::prelude::*;

    use super::*;

    proptest! {
        // The same as a sorted set of the standard library, whatever fits into memory.
        #[test]
        fn records_come_in_order_and_once(
            records in prop::collection::vec(prop::collection::vec(any::<u8>(), 0..6), 0..300),
            most in 1_usize..200,
        ) {
            let mut sorter = Sorter { most, ..Sorter::default() };
            for record in &records {
                sorter.push(|bytes| bytes.extend_from_slice(record)).unwrap();
            }
            let mut sorted = sorter.sorted().unwrap();
            let mut found = Vec::new();
            while let Some(record) = sorted.next().unwrap() {
                found.push(record.to_vec());
            }
            let expected: Vec<Vec<u8>> = BTreeSet::from_iter(records).into_iter().collect();
            prop_assert_eq!(found, expected);
        }
    }
}
