//! Computes the chains anew from what is stored.

use std::collections::HashMap;
use std::fmt;

use program::{EntryId, SiteId};
use serde::Serialize;

use crate::hash::Hash;
use crate::hashed_form;
use crate::incoming::CopyError;
use crate::store::{Evidence, Head, ReadError, Row, Store};

/// What a look at every entry found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Verification {
    /// How many entries are stored.
    pub entries: u64,
    /// How many pictures and papers are stored.
    pub attachments: u64,
    /// The chain of each site, in the order in which they were opened.
    pub sites: Vec<SiteChain>,
    /// The first entry that does not stand as it was written, if there is one.
    pub broken: Option<FirstBroken>,
    /// The first attachment that is no longer what was attached, by the hash it is kept under.
    pub broken_attachment: Option<String>,
    /// What was kept once and is not there: entries cut off the end of a chain, or whole chains.
    pub lost: Vec<Lost>,
    /// The guards by which the database refuses change and removal that are not in their place.
    pub unguarded: Vec<String>,
}

impl Verification {
    /// Whether everything stands as it was written.
    #[must_use]
    pub const fn stands(&self) -> bool {
        self.broken.is_none()
            && self.broken_attachment.is_none()
            && self.lost.is_empty()
            && self.unguarded.is_empty()
    }
}

/// The chain of one site.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SiteChain {
    /// The site.
    pub site: SiteId,
    /// How many entries it holds, and the hash at its end, up to the first broken one: compare with
    /// a head kept elsewhere.
    #[serde(flatten)]
    pub head: Head,
}

/// How many entries, and the hash at the end: what [`SiteChain`] reads from the line it writes.
const ENDS_WITH: &str = " entries, ends with ";

impl fmt::Display for SiteChain {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}{ENDS_WITH}{}", self.site, self.head.seq, self.head.hash)
    }
}

impl SiteChain {
    /// The heads among the lines of a text that `verify`, `backup`, `restore` or `import` printed;
    /// other lines are passed over.
    #[must_use]
    pub fn among_lines(text: &str) -> Vec<Self> {
        let head = |line: &str| {
            let (site_and_seq, hash) = line.trim().rsplit_once(ENDS_WITH)?;
            let (site, seq) = site_and_seq.rsplit_once(": ")?;
            let head = Head { seq: seq.parse().ok()?, hash: hash.parse().ok()? };
            Some(Self { site: SiteId::new(site), head })
        };
        text.lines().filter_map(head).collect()
    }
}

/// What was kept once and is not there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "what", rename_all = "snake_case")]
pub enum Lost {
    /// An entry that was the end of a chain is not in its place.
    End {
        /// The chain as it was.
        #[serde(flatten)]
        was: SiteChain,
        /// How many entries the chain holds now.
        holds: u64,
        /// A head kept elsewhere says so, not this database.
        elsewhere: bool,
    },
    /// Positions above that of the last entry were given or derived from.
    Positions {
        /// The position of the last entry.
        last: u64,
        /// The highest that was given.
        highest: u64,
    },
}

impl fmt::Display for Lost {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::End { was: SiteChain { site, head }, holds, elsewhere } => {
                let says =
                    if *elsewhere { "the head kept elsewhere" } else { "what this database keeps" };
                let (seq, hash) = (head.seq, head.hash);
                write!(f, "site `{site}` held entry {seq} with hash {hash} by {says}; ")?;
                if *holds < seq {
                    write!(f, "its chain ends with entry {holds} now")
                } else {
                    write!(f, "another entry stands in its place now")
                }
            }
            Self::Positions { last, highest } => write!(
                f,
                "there was an entry at position {highest} of the database, the last one stands at {last} now"
            ),
        }
    }
}

/// The first entry that does not stand as it was written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FirstBroken {
    /// Its site.
    pub site: SiteId,
    /// Its place in the chain, as stored.
    pub seq: u64,
    /// Its id.
    pub id: EntryId,
    /// What is wrong.
    pub why: WhyBroken,
}

/// What is wrong with a stored entry.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(tag = "what", rename_all = "snake_case")]
pub enum WhyBroken {
    /// The place in the chain is not the one after the last.
    Place {
        /// The place that should follow.
        expected: u64,
    },
    /// It does not name the hash of the one before it.
    Link,
    /// Its text does not have the hash that is stored with it.
    Hash,
    /// Its text cannot be read.
    Unreadable {
        /// Why.
        why: String,
    },
    /// A column says something else than the hashed text.
    Column {
        /// The column.
        column: &'static str,
    },
}

impl fmt::Display for WhyBroken {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Place { expected } => {
                write!(
                    f,
                    "entry {expected} of the chain should stand here; one was taken out or moved"
                )
            }
            Self::Link => f.write_str("it does not name the hash of the entry before it"),
            Self::Hash => f.write_str("its text was changed: it no longer has the stored hash"),
            Self::Unreadable { why } => write!(f, "its text cannot be read: {why}"),
            Self::Column { column } => {
                write!(f, "column `{column}` says something else than the text that was hashed")
            }
        }
    }
}

impl fmt::Display for FirstBroken {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "site `{}`, entry {} (`{}`): {}", self.site, self.seq, self.id, self.why)
    }
}

/// Walks through every entry in the order in which they were added. `elsewhere` are heads that were
/// kept apart from this database.
pub(crate) async fn verify(
    store: &impl Store,
    elsewhere: &[SiteChain],
) -> Result<Verification, ReadError> {
    // Read before the walk: what comes meanwhile can only be more.
    let evidence = store.evidence().await?;
    let mut walk = Walk::expecting(&evidence, elsewhere);
    let mut after = 0;
    loop {
        let page = store.page(None, after).await?;
        let Some(last) = page.last() else { break };
        after = last.position;
        page.iter().for_each(|row| walk.step(row));
    }
    let mut attachments = 0;
    let mut broken_attachment = None;
    let mut after = Vec::new();
    loop {
        let page = store.attachments(&after).await?;
        let Some(last) = page.last() else { break };
        after.clone_from(&last.hash);
        for kept in page {
            attachments += 1;
            if kept.check().is_none() {
                broken_attachment.get_or_insert_with(|| kept.shown());
            }
        }
    }
    let (sites, lost) = (walk.chains(), walk.lost());
    let Walk { entries, broken, .. } = walk;
    let unguarded = evidence.unguarded;
    Ok(Verification { entries, attachments, sites, broken, broken_attachment, lost, unguarded })
}

/// Where the walk stands.
#[derive(Default)]
pub(crate) struct Walk {
    pub(crate) entries: u64,
    order: Vec<SiteId>,
    heads: HashMap<SiteId, Head>,
    pub(crate) broken: Option<FirstBroken>,
    /// Ends that were kept and not met so far, each with whether it was kept elsewhere.
    expected: HashMap<SiteId, Vec<(Head, bool)>>,
    /// The position of the last row, and the highest that was ever given.
    last: u64,
    highest: u64,
}

impl Walk {
    /// A walk through a whole ledger that is to meet what was kept of it.
    pub(crate) fn expecting(evidence: &Evidence, elsewhere: &[SiteChain]) -> Self {
        let mut expected: HashMap<SiteId, Vec<(Head, bool)>> = HashMap::new();
        let own = evidence.ends.iter().map(|chain| (chain, false));
        for (SiteChain { site, head }, apart) in own.chain(elsewhere.iter().map(|c| (c, true))) {
            // The end of an empty chain is kept by no entry.
            if 0 < head.seq {
                expected.entry(site.clone()).or_default().push((*head, apart));
            }
        }
        Self { expected, highest: evidence.highest, ..Self::default() }
    }

    /// What was kept once and was not met; nothing where a link is broken, on which the rest hangs.
    pub(crate) fn lost(&self) -> Vec<Lost> {
        if self.broken.is_some() {
            return Vec::new();
        }
        let end = |site: &SiteId, (head, elsewhere): (Head, bool)| {
            let holds = self.heads.get(site).map_or(0, |head| head.seq);
            Lost::End { was: SiteChain { site: site.clone(), head }, holds, elsewhere }
        };
        let mut sites: Vec<&SiteId> = self.expected.keys().collect();
        sites.sort();
        let unmet = sites.into_iter().flat_map(|site| {
            let unmet = self.expected.get(site).into_iter().flatten();
            unmet.map(move |head| end(site, *head))
        });
        let (last, highest) = (self.last, self.highest);
        unmet.chain((last < highest).then_some(Lost::Positions { last, highest })).collect()
    }

    /// Refuses a ledger of which something was cut off.
    pub(crate) fn is_whole(&self) -> Result<(), CopyError> {
        self.lost().into_iter().next().map_or(Ok(()), |lost| Err(CopyError::Lost(lost)))
    }

    /// The chains up to here, in the order in which they were opened.
    pub(crate) fn chains(&self) -> Vec<SiteChain> {
        let chain = |site: &SiteId| {
            self.heads.get(site).map(|head| SiteChain { site: site.clone(), head: *head })
        };
        self.order.iter().filter_map(chain).collect()
    }

    pub(crate) fn step(&mut self, row: &Row) {
        self.entries += 1;
        self.last = row.position;
        let before = self.heads.get(&row.site).copied();
        if before.is_none() {
            self.order.push(row.site.clone());
        }
        let before = before.unwrap_or(Head { seq: 0, hash: Hash::START });
        // Once a link is broken all that follows rests on it, and only the first is of use.
        if self.broken.is_some() {
            self.heads.entry(row.site.clone()).or_insert(before);
            return;
        }
        let head = match check(row, before) {
            Ok(head) => {
                if let Some(expected) = self.expected.get_mut(&row.site) {
                    expected.retain(|(kept, _)| *kept != head);
                }
                head
            }
            Err(why) => {
                let (site, id) = (row.site.clone(), row.id.clone());
                self.broken = Some(FirstBroken { site, seq: row.seq, id, why });
                before
            }
        };
        self.heads.insert(row.site.clone(), head);
    }
}

/// The head after `row`, if it stands as it was written after `before`.
fn check(row: &Row, before: Head) -> Result<Head, WhyBroken> {
    let expected = before.seq + 1;
    if row.seq != expected {
        return Err(WhyBroken::Place { expected });
    }
    if row.previous != before.hash.as_bytes() {
        return Err(WhyBroken::Link);
    }
    // INVARIANT (hashed form): the hash is that of the bytes of the payload.
    let hash = Hash::of(row.payload.as_bytes());
    if row.hash != hash.as_bytes() {
        return Err(WhyBroken::Hash);
    }
    let form = hashed_form::read(&row.payload).map_err(|why| WhyBroken::Unreadable { why })?;
    let columns = [
        ("site", form.site == row.site),
        ("seq", form.seq == row.seq),
        ("id", form.id == row.id),
        ("happened", form.happened_us == row.happened_us),
        ("entered", form.entered_us == row.entered_us),
        ("previous", form.previous == before.hash),
    ];
    match columns.iter().find(|(_, same)| !same) {
        Some((column, _)) => Err(WhyBroken::Column { column }),
        None => Ok(Head { seq: row.seq, hash }),
    }
}
