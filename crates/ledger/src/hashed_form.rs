//! The text that is hashed: its own struct, so that no change elsewhere can alter it unseen.

use jiff::Timestamp;
use program::{Entry, EntryId, Fact, PersonId, SiteId};
use serde::{Deserialize, Serialize};

use crate::hash::Hash;

/// The version of [`HashedForm`]. Old forms are read for ever; a change of fields or of their order
/// is a new form with a new number beside this one.
const FORM: u8 = 1;

/// What is hashed for one entry, in this order of fields, as JSON without white space.
///
/// INVARIANT (hashed form): the payload column holds exactly this text, and the hash is the SHA-256
/// of its bytes.
#[derive(Serialize)]
struct HashedForm<'a> {
    form: u8,
    site: &'a SiteId,
    seq: u64,
    previous: Hash,
    id: &'a EntryId,
    happened_us: i64,
    entered_us: i64,
    by: &'a PersonId,
    device: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    corrects: Option<&'a EntryId>,
    fact: &'a Fact,
}

/// The same fields, read back.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct ReadForm {
    form: u8,
    pub(crate) site: SiteId,
    pub(crate) seq: u64,
    pub(crate) previous: Hash,
    pub(crate) id: EntryId,
    pub(crate) happened_us: i64,
    pub(crate) entered_us: i64,
    by: PersonId,
    device: String,
    #[serde(default)]
    corrects: Option<EntryId>,
    fact: Fact,
}

/// The text to hash for `entry` at place `seq` of its chain, after the one with hash `previous`.
pub(crate) fn write(entry: &Entry, seq: u64, previous: Hash) -> Result<String, serde_json::Error> {
    serde_json::to_string(&HashedForm {
        form: FORM,
        site: &entry.site,
        seq,
        previous,
        id: &entry.id,
        happened_us: entry.happened.as_microsecond(),
        entered_us: entry.entered.as_microsecond(),
        by: &entry.by,
        device: &entry.device,
        corrects: entry.corrects.as_ref(),
        fact: &entry.fact,
    })
}

/// Reads a stored text; the error says in words what is wrong with it.
pub(crate) fn read(payload: &str) -> Result<ReadForm, String> {
    let form: ReadForm = serde_json::from_str(payload).map_err(|error| error.to_string())?;
    if form.form == FORM {
        Ok(form)
    } else {
        Err(format!("form {} is not known, only form {FORM} is", form.form))
    }
}

impl ReadForm {
    /// The entry in it; `None` where a time lies outside the calendar.
    pub(crate) fn into_entry(self) -> Option<Entry> {
        Some(Entry {
            happened: Timestamp::from_microsecond(self.happened_us).ok()?,
            entered: Timestamp::from_microsecond(self.entered_us).ok()?,
            id: self.id,
            site: self.site,
            by: self.by,
            device: self.device,
            corrects: self.corrects,
            fact: self.fact,
        })
    }
}

#[cfg(test)]
mod tests {
    use program::UnitId;

    use super::*;

    fn held() -> Entry {
        Entry {
            id: EntryId::new("e-1"),
            site: SiteId::new("north"),
            happened: Timestamp::from_microsecond(1_700_000_000_000_001).unwrap(),
            entered: Timestamp::from_microsecond(1_700_000_060_000_000).unwrap(),
            by: PersonId::new("p-7"),
            device: "bench".to_owned(),
            corrects: None,
            fact: Fact::Held { unit: UnitId::new("HM-001"), why: "strap \"torn\"".to_owned() },
        }
    }

    // The text and its hash are pinned: a ledger written today must verify in ten years. The hash
    // was computed with another program (sha256sum) from the text above it.
    #[test]
    fn the_hashed_text_and_its_hash_never_change() {
        let text = write(&held(), 1, Hash::START).unwrap();
        let golden = concat!(
            r#"{"form":1,"site":"north","seq":1,"previous":"#,
            r#""0000000000000000000000000000000000000000000000000000000000000000","#,
            r#""id":"e-1","happened_us":1700000000000001,"entered_us":1700000060000000,"#,
            r#""by":"p-7","device":"bench","#,
            r#""fact":{"kind":"held.1","unit":"HM-001","why":"strap \"torn\""}}"#,
        );
        assert_eq!(text, golden);
        assert_eq!(
            Hash::of(text.as_bytes()).to_string(),
            "77ffa9ba7087751d0c717b7296d9ff5e7accbf8851267777e1ab2f8ea97364d2",
        );
    }

    #[test]
    fn a_written_text_reads_back_to_the_same_entry() {
        let correcting = Entry { corrects: Some(EntryId::new("e-0")), ..held() };
        for entry in [held(), correcting] {
            let text = write(&entry, 9, Hash::of(b"before")).unwrap();
            let form = read(&text).unwrap();
            assert_eq!((form.seq, form.previous), (9, Hash::of(b"before")));
            assert_eq!(form.into_entry().unwrap(), entry);
        }
    }

    #[test]
    fn an_unknown_form_is_refused_by_its_number() {
        let text = write(&held(), 1, Hash::START).unwrap().replace("\"form\":1", "\"form\":2");
        assert_eq!(read(&text).err().unwrap(), "form 2 is not known, only form 1 is");
    }
}
