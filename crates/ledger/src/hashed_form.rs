//! The text that is hashed: its own struct, so that no change elsewhere can alter it unseen.

use jiff::Timestamp;
use program::{Entry, EntryId, Fact, PersonId, SiteId};
use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize};
use serde_json::value::RawValue;

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
pub(crate) struct ReadForm<'p> {
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
    #[serde(borrow)]
    fact: ReadFact<'p>,
}

/// A fact, and the text in which it stands.
struct ReadFact<'p> {
    fact: Fact,
    text: &'p str,
}

impl<'p> ReadFact<'p> {
    fn read(text: &'p str) -> serde_json::Result<Self> {
        serde_json::from_str(text).map(|fact| Self { fact, text })
    }
}

impl<'de: 'p, 'p> Deserialize<'de> for ReadFact<'p> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = <&RawValue>::deserialize(deserializer)?.get();
        Self::read(text).map_err(|error| {
            let said = error.to_string();
            // The place is that in the fact; the place in the whole text is told after it.
            D::Error::custom(said.rsplit_once(" at line ").map_or(said.as_str(), |(why, _)| why))
        })
    }
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
pub(crate) fn read(payload: &str) -> Result<ReadForm<'_>, String> {
    if let Some(form) = as_written(payload) {
        return Ok(form);
    }
    let form: ReadForm<'_> = serde_json::from_str(payload).map_err(|error| error.to_string())?;
    if form.form == FORM {
        Ok(form)
    } else {
        Err(format!("form {} is not known, only form {FORM} is", form.form))
    }
}

/// Reads what stands as [`write()`] writes it, which takes half the time; none for any other text,
/// and for most of those that JSON escapes.
fn as_written(payload: &str) -> Option<ReadForm<'_>> {
    let mut ahead = Ahead(payload);
    ahead.pass(r#"{"form":1,"site":"#)?;
    let site = SiteId::new(ahead.id()?);
    ahead.pass(r#","seq":"#)?;
    let seq = ahead.number()?.try_into().ok()?;
    ahead.pass(r#","previous":"#)?;
    let previous = ahead.text()?.parse().ok()?;
    ahead.pass(r#","id":"#)?;
    let id = EntryId::new(ahead.id()?);
    ahead.pass(r#","happened_us":"#)?;
    let happened_us = ahead.number()?;
    ahead.pass(r#","entered_us":"#)?;
    let entered_us = ahead.number()?;
    ahead.pass(r#","by":"#)?;
    let by = PersonId::new(ahead.id()?);
    ahead.pass(r#","device":"#)?;
    let device = ahead.text()?.to_owned();
    let corrects = match ahead.pass(r#","corrects":"#) {
        Some(()) => Some(EntryId::new(ahead.id()?)),
        None => None,
    };
    ahead.pass(r#","fact":"#)?;
    let fact = ReadFact::read(ahead.0.strip_suffix('}')?).ok()?;
    Some(ReadForm {
        form: FORM,
        site,
        seq,
        previous,
        id,
        happened_us,
        entered_us,
        by,
        device,
        corrects,
        fact,
    })
}

/// What is not read yet.
struct Ahead<'p>(&'p str);

impl<'p> Ahead<'p> {
    fn pass(&mut self, written: &str) -> Option<()> {
        self.0 = self.0.strip_prefix(written)?;
        Some(())
    }

    /// A text without an escape.
    fn text(&mut self) -> Option<&'p str> {
        let text = self.0.strip_prefix('"')?;
        let end = text.bytes().position(|byte| matches!(byte, b'"' | b'\\' | ..=0x1f))?;
        let (text, rest) = text.split_at_checked(end)?;
        self.0 = rest.strip_prefix('"')?;
        Some(text)
    }

    /// A text that an id keeps as it is.
    fn id(&mut self) -> Option<&'p str> {
        self.text().filter(|text| text.trim() == *text)
    }

    fn number(&mut self) -> Option<i64> {
        let end = self.0.bytes().position(|byte| !matches!(byte, b'0'..=b'9' | b'-'))?;
        let (number, rest) = self.0.split_at_checked(end)?;
        let digits = number.strip_prefix('-').unwrap_or(number);
        self.0 = rest;
        // JSON knows no zeros ahead of a number.
        if digits.len() > 1 && digits.starts_with('0') { None } else { number.parse().ok() }
    }
}

impl<'p> ReadForm<'p> {
    /// The text of the fact.
    pub(crate) const fn fact_text(&self) -> &'p str {
        self.fact.text
    }

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
            fact: self.fact.fact,
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

    // What is read the short way is what JSON says; what JSON refuses is not read the short way.
    #[test]
    fn the_short_way_reads_what_json_says() {
        let entries = [
            held(),
            Entry { corrects: Some(EntryId::new("e-0")), ..held() },
            Entry { happened: Timestamp::from_microsecond(-7).unwrap(), ..held() },
            Entry { by: PersonId::new("\u{e9}"), device: " b ".into(), ..held() },
        ];
        for entry in entries {
            let text = write(&entry, 9, Hash::of(b"before")).unwrap();
            let (short, long): (_, ReadForm<'_>) =
                (as_written(&text).unwrap(), serde_json::from_str(&text).unwrap());
            assert_eq!((short.seq, short.previous), (long.seq, long.previous));
            assert_eq!(short.fact_text(), long.fact_text());
            assert_eq!(short.into_entry(), long.into_entry());
        }
    }

    #[test]
    fn the_short_way_leaves_other_texts_alone() {
        let text = write(&held(), 10, Hash::START).unwrap();
        assert!(as_written(&text).is_some());
        let others = [
            (r#""form":1"#, r#""form":2"#),
            (r#""seq":10"#, r#""seq":010"#),
            (r#""seq":10"#, r#""seq":-10"#),
            (r#""seq":10"#, r#""seq":+10"#),
            (r#""seq":10"#, r#""seq":1-0"#),
            (r#""seq":10"#, r#""seq":"10""#),
            (r#""device":"bench""#, "\"device\":\"be\nch\""),
            (r#""device":"bench""#, r#""device":"b\u0065nch""#),
            (r#""by":"p-7""#, r#""by":" p-7""#),
            (r#""previous":"0"#, r#""previous":"g"#),
            (r#""form":1"#, r#" "form":1"#),
            (r#""fact":{"#, r#""fact":{"kind":"held.9","#),
            (r#"torn\""}}"#, r#"torn\""}"#),
            (r#"torn\""}}"#, r#"torn\""}}}"#),
        ];
        for (part, other) in others {
            let other = text.replacen(part, other, 1);
            assert_ne!(other, text, "{part}");
            assert!(as_written(&other).is_none(), "{other}");
        }
    }

    #[test]
    fn an_unknown_form_is_refused_by_its_number() {
        let text = write(&held(), 1, Hash::START).unwrap().replace("\"form\":1", "\"form\":2");
        assert_eq!(read(&text).err().unwrap(), "form 2 is not known, only form 1 is");
    }

    #[test]
    fn a_fact_that_cannot_be_read_is_told_with_its_place() {
        let text = write(&held(), 1, Hash::START).unwrap().replace("\"why\"", "\"wh\"");
        let said = read(&text).err().unwrap();
        assert_eq!(said, format!("missing field `why` at line 1 column {}", text.len()));
    }
}
