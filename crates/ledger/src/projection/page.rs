//! Many entries at once.

use program::Entry;

use crate::hashed_form;
use crate::store::ReadError;

/// Entries as their database keeps them, in any order: each a line of its own, after its position
/// and a space.
///
/// One long text is read many times faster than a row for each entry.
#[derive(Debug)]
pub(crate) struct Page {
    /// How many entries there are.
    pub(crate) entries: i64,
    /// The highest position, 0 where there is no entry.
    pub(crate) last: i64,
    pub(crate) text: String,
}

impl Page {
    /// The entries.
    pub(super) fn kept(&self) -> impl Iterator<Item = Result<Kept<'_>, ReadError>> {
        let mut before = 0;
        self.text.lines().map(move |line| {
            let kept = Kept::of(line).ok_or_else(|| ReadError::Unreadable {
                position: before,
                why: "it holds a line break".into(),
            })?;
            before = kept.position;
            Ok(kept)
        })
    }

    /// The highest position; none where there are no entries.
    pub(super) fn last(&self) -> Option<i64> {
        (self.entries > 0).then_some(self.last)
    }
}

/// An entry as its database keeps it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Kept<'p> {
    pub(super) position: i64,
    pub(super) payload: &'p str,
}

impl<'p> Kept<'p> {
    fn of(line: &'p str) -> Option<Self> {
        let space = line.bytes().position(|byte| byte == b' ')?;
        let (position, payload) = (line.get(..space)?, line.get(space + 1..)?);
        Some(Self { position: position.parse().ok()?, payload })
    }

    /// The entry, and its place in the chain of its site.
    pub(super) fn read(&self) -> Result<(u64, Entry), ReadError> {
        self.read_with_text().map(|(seq, entry, _)| (seq, entry))
    }

    /// The same, and the text of its fact.
    pub(super) fn read_with_text(&self) -> Result<(u64, Entry, &'p str), ReadError> {
        let unreadable = |why: String| ReadError::Unreadable { position: self.position, why };
        let form = hashed_form::read(self.payload).map_err(unreadable)?;
        let (seq, text) = (form.seq, form.fact_text());
        let entry = form.into_entry();
        let entry =
            entry.ok_or_else(|| unreadable("it holds a time outside the calendar".into()))?;
        Ok((seq, entry, text))
    }
}
