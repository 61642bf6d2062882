//! A whole ledger as lines of JSON: what one ledger exports, any other imports.
//!
//! The first line is `{"ledger":1}`. Each entry is a line `{"hash":…,"entry":…}` whose `entry` is,
//! byte for byte, the text that was hashed; each attachment a line
//! `{"hash":…,"media_type":…,"bytes":…}` in base64. The last line,
//! `{"end":{"entries":…,"attachments":…}}`, shows that nothing was cut off.

use std::borrow::Cow;
use std::io::{BufRead, Write};

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;

use crate::hash::Hash;
use crate::hashed_form;
use crate::incoming::{Copied, CopyError, Incoming};
use crate::store::{KeptAttachment, Row, Store, Writing};
use crate::verify::Walk;

/// The version of the lines.
const FORM: u8 = 1;

/// One line; each kind has its own of these fields.
#[derive(Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Line<'a> {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    ledger: Option<u8>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    hash: Option<Hash>,
    #[serde(default, borrow, skip_serializing_if = "Option::is_none")]
    entry: Option<&'a RawValue>,
    #[serde(default, borrow, skip_serializing_if = "Option::is_none")]
    media_type: Option<Cow<'a, str>>,
    #[serde(default, borrow, skip_serializing_if = "Option::is_none")]
    bytes: Option<Cow<'a, str>>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    end: Option<End>,
}

/// How much an export holds.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct End {
    /// Its entries.
    pub entries: u64,
    /// Its pictures and papers.
    pub attachments: u64,
}

/// Writes the whole ledger, checking every link on the way.
pub(crate) async fn export(
    store: &impl Store,
    out: &mut (dyn Write + Send),
) -> Result<End, CopyError> {
    put(out, &Line { ledger: Some(FORM), ..Line::default() })?;
    let mut walk = Walk::expecting(&store.evidence().await?, &[]);
    let mut after = 0;
    loop {
        let page = store.page(None, after).await?;
        let Some(last) = page.last() else { break };
        after = last.position;
        for row in &page {
            walk.step(row);
            if let Some(broken) = walk.broken.take() {
                return Err(CopyError::Broken(broken));
            }
            let entry = serde_json::from_str(&row.payload).map_err(std::io::Error::from)?;
            let hash = Some(Hash::of(row.payload.as_bytes()));
            put(out, &Line { hash, entry: Some(entry), ..Line::default() })?;
        }
    }
    walk.is_whole()?;
    let attachments = export_attachments(store, out).await?;
    let end = End { entries: walk.entries, attachments };
    put(out, &Line { end: Some(end), ..Line::default() })?;
    out.flush()?;
    Ok(end)
}

async fn export_attachments(
    store: &impl Store,
    out: &mut (dyn Write + Send),
) -> Result<u64, CopyError> {
    let mut written = 0;
    let mut after = Vec::new();
    loop {
        let page = store.attachments(&after).await?;
        let Some(last) = page.last() else { return Ok(written) };
        after.clone_from(&last.hash);
        for kept in &page {
            let Some((hash, media_type)) = kept.check() else {
                return Err(CopyError::BrokenAttachment(kept.shown()));
            };
            let media_type = Some(media_type.name().into());
            let bytes = Some(STANDARD.encode(&kept.bytes).into());
            put(out, &Line { hash: Some(hash), media_type, bytes, ..Line::default() })?;
            written += 1;
        }
    }
}

fn put(out: &mut (dyn Write + Send), line: &Line<'_>) -> std::io::Result<()> {
    serde_json::to_writer(&mut *out, line)?;
    out.write_all(b"\n")
}

/// Adds what an export holds and the ledger does not.
pub(crate) async fn import(
    store: &impl Store,
    from: &mut (dyn BufRead + Send),
) -> Result<Copied, CopyError> {
    let mut incoming = Incoming::begin(store).await?;
    let mut text = String::new();
    let mut line = 0;
    let mut end = None;
    loop {
        text.clear();
        line += 1;
        let odd = |why: &str| CopyError::Line { line, why: why.to_owned() };
        let read = from.read_line(&mut text).map_err(|error| match error.kind() {
            std::io::ErrorKind::InvalidData => odd("it is not text in UTF-8"),
            _ => CopyError::File(error),
        })?;
        if read == 0 {
            break;
        }
        if end.is_some() {
            return Err(odd("it stands behind the last one"));
        }
        end = take(&mut incoming, &text, line).await?;
    }
    let (entries, attachments) = incoming.counts();
    let found = End { entries, attachments };
    match end {
        Some(end) if end == found => incoming.finish().await,
        Some(end) => Err(CopyError::CutOff(format!(
            "it says {} entries and {} attachments, and holds {entries} and {attachments}",
            end.entries, end.attachments
        ))),
        None => Err(CopyError::CutOff(format!(
            "its last line is missing behind {entries} entries and {attachments} attachments"
        ))),
    }
}

/// Takes one line; the last one is returned.
async fn take<W: Writing>(
    incoming: &mut Incoming<W>,
    text: &str,
    number: u64,
) -> Result<Option<End>, CopyError> {
    let odd = |why: String| CopyError::Line { line: number, why };
    let line: Line<'_> = serde_json::from_str(text).map_err(|error| odd(error.to_string()))?;
    match (number, line) {
        (1, Line { ledger: Some(FORM), .. }) => Ok(None),
        (1, Line { ledger: Some(form), .. }) => {
            Err(odd(format!("form {form} is not known, only form {FORM} is")))
        }
        (1, _) => Err(odd("it is not the first line of an export of a ledger".to_owned())),
        (_, Line { hash: Some(hash), entry: Some(entry), .. }) => {
            incoming.entry(row(hash, entry.get()).map_err(odd)?).await?;
            Ok(None)
        }
        (_, Line { hash: Some(hash), media_type: Some(kind), bytes: Some(bytes), .. }) => {
            let bytes = STANDARD.decode(bytes.as_ref()).map_err(|error| odd(error.to_string()))?;
            let media_type = kind.into_owned();
            let hash = hash.as_bytes().to_vec();
            incoming.attachment(&KeptAttachment { hash, media_type, bytes }).await?;
            Ok(None)
        }
        (_, Line { end: Some(end), .. }) => Ok(Some(end)),
        _ => Err(odd("it is neither an entry, an attachment nor the end".to_owned())),
    }
}

/// The row that a ledger keeps for this entry; whether the hash is its own is seen when it is
/// checked against the chain.
fn row(hash: Hash, payload: &str) -> Result<Row, String> {
    let form = hashed_form::read(payload)?;
    Ok(Row {
        position: 0,
        site: form.site,
        seq: form.seq,
        id: form.id,
        happened_us: form.happened_us,
        entered_us: form.entered_us,
        payload: payload.to_owned(),
        previous: form.previous.as_bytes().to_vec(),
        hash: hash.as_bytes().to_vec(),
    })
}
