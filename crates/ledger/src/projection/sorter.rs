//! Sorting more than the memory holds: sorted runs in files without a name, merged as they are read.

use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::collections::binary_heap::PeekMut;
use std::io::{self, BufReader, BufWriter, Cursor, Read, Seek, Write};

/// So many bytes are sorted in memory before they are written away.
const HELD: usize = 16 * 1024 * 1024;

/// Collects records in any order; they come out in the order of their bytes, each once.
pub(super) struct Sorter {
    most: usize,
    bytes: Vec<u8>,
    records: Vec<Held>,
    runs: Vec<Run>,
}

/// A record among the bytes.
struct Held {
    head: [u8; 8],
    start: usize,
    end: usize,
}

impl Default for Sorter {
    fn default() -> Self {
        Self { most: HELD, bytes: Vec::new(), records: Vec::new(), runs: Vec::new() }
    }
}

impl Sorter {
    /// Adds a record, made of two parts.
    pub(super) fn push(&mut self, first: &[u8], second: &[u8]) -> io::Result<()> {
        let length = first.len() + second.len();
        if self.bytes.len() + length > self.most && !self.bytes.is_empty() {
            let mut file = BufWriter::new(tempfile::tempfile()?);
            let left = self.write_run(&mut file)?;
            let mut file = file.into_inner().map_err(io::IntoInnerError::into_error)?;
            file.rewind()?;
            self.runs.push(Run { left, from: Box::new(BufReader::new(file)) });
        }
        if self.bytes.capacity() == 0 {
            // What is not used of it is not taken from the memory either.
            self.bytes.reserve_exact(self.most);
        }
        let start = self.bytes.len();
        self.bytes.extend_from_slice(first);
        self.bytes.extend_from_slice(second);
        let record = self.bytes.get(start..).unwrap_or(&[]);
        self.records.push(Held { head: head(record), start, end: self.bytes.len() });
        Ok(())
    }

    /// Sorts what is still held.
    pub(super) fn close(&mut self) -> io::Result<()> {
        let mut last = Vec::with_capacity(self.bytes.len() + 4 * self.records.len());
        let left = self.write_run(&mut last)?;
        self.runs.push(Run { left, from: Box::new(Cursor::new(last)) });
        self.bytes = Vec::new();
        Ok(())
    }

    /// Adds every record of a closed sorter.
    pub(super) fn absorb(&mut self, closed: Self) {
        self.runs.extend(closed.runs);
    }

    /// The records in their order.
    pub(super) fn sorted(mut self) -> io::Result<Sorted> {
        self.close()?;
        let mut runs = self.runs;
        let mut ahead = BinaryHeap::new();
        for (number, run) in runs.iter_mut().enumerate() {
            if let Some(record) = run.next()? {
                ahead.push(Reverse((head(&record), record, number)));
            }
        }
        Ok(Sorted { runs, ahead, last: None })
    }

    /// Writes what is held, sorted, each record after its length, and holds nothing any more; gives
    /// the number of records.
    fn write_run(&mut self, to: &mut impl Write) -> io::Result<usize> {
        let record = |held: &Held| self.bytes.get(held.start..held.end).unwrap_or(&[]);
        let order = |a: &Held, b: &Held| a.head.cmp(&b.head).then_with(|| record(a).cmp(record(b)));
        self.records.sort_unstable_by(order);
        self.records.dedup_by(|a, b| order(a, b).is_eq());
        for place in &self.records {
            let bytes = record(place);
            let length = u32::try_from(bytes.len()).map_err(io::Error::other)?;
            to.write_all(&length.to_le_bytes())?;
            to.write_all(bytes)?;
        }
        let written = self.records.len();
        self.records.clear();
        self.bytes.clear();
        Ok(written)
    }
}

/// The first eight bytes of a record, by which most are told apart.
fn head(record: &[u8]) -> [u8; 8] {
    let mut head = [0; 8];
    head.iter_mut().zip(record).for_each(|(place, byte)| *place = *byte);
    head
}

/// The next record of a run, after its head, and the number of the run.
type Ahead = ([u8; 8], Vec<u8>, usize);

/// Records in the order of their bytes.
pub(super) struct Sorted {
    runs: Vec<Run>,
    ahead: BinaryHeap<Reverse<Ahead>>,
    last: Option<Vec<u8>>,
}

impl Sorted {
    /// Takes the next record; none after the last.
    pub(super) fn next(&mut self) -> io::Result<Option<&[u8]>> {
        loop {
            let Some(mut first) = self.ahead.peek_mut() else { return Ok(None) };
            let Reverse((of_record, record, number)) = &mut *first;
            let Some(run) = self.runs.get_mut(*number) else { return Ok(None) };
            let record = match run.next()? {
                Some(next) => {
                    *of_record = head(&next);
                    std::mem::replace(record, next)
                }
                None => PeekMut::pop(first).0.1,
            };
            if self.last.as_ref() != Some(&record) {
                break self.last = Some(record);
            }
        }
        Ok(self.last.as_deref())
    }
}

/// Records in order, each after its length.
struct Run {
    left: usize,
    from: Box<dyn Read + Send>,
}

impl Run {
    fn next(&mut self) -> io::Result<Option<Vec<u8>>> {
        if self.left == 0 {
            return Ok(None);
        }
        self.left -= 1;
        let mut length = [0; 4];
        self.from.read_exact(&mut length)?;
        let length = usize::try_from(u32::from_le_bytes(length)).map_err(io::Error::other)?;
        let mut record = vec![0; length];
        self.from.read_exact(&mut record)?;
        Ok(Some(record))
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
                let (first, second) = record.split_at(record.len() / 2);
                sorter.push(first, second).unwrap();
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
