//! An entry on its way through a sorter: all of it in few bytes, but for its place in its chain.

use jiff::Timestamp;
use program::Entry;
use serde::Deserialize;
use serde::de::value::{Error, StrDeserializer};

/// Appends `entry`, the text of whose fact is `fact`.
pub(super) fn write(entry: &Entry, fact: &str, to: &mut Vec<u8>) {
    to.extend_from_slice(&entry.happened.as_microsecond().to_le_bytes());
    to.extend_from_slice(&entry.entered.as_microsecond().to_le_bytes());
    let texts = [entry.id.as_str(), entry.site.as_str(), entry.by.as_str(), &entry.device];
    texts.into_iter().for_each(|text| put(text, to));
    to.push(u8::from(entry.corrects.is_some()));
    entry.corrects.iter().for_each(|id| put(id.as_str(), to));
    to.extend_from_slice(fact.as_bytes());
}

/// The entry in these bytes; none for bytes of another form.
pub(super) fn read(bytes: &[u8]) -> Option<Entry> {
    let mut ahead = bytes;
    let (happened, entered) = (instant(&mut ahead)?, instant(&mut ahead)?);
    let (id, site, by) = (text(&mut ahead)?, text(&mut ahead)?, text(&mut ahead)?);
    let device = text(&mut ahead)?.to_owned();
    let (corrects, rest) = ahead.split_first()?;
    ahead = rest;
    let corrects = match corrects {
        0 => None,
        _ => Some(as_it_is(text(&mut ahead)?)?),
    };
    let (id, site, by) = (as_it_is(id)?, as_it_is(site)?, as_it_is(by)?);
    let fact = serde_json::from_slice(ahead).ok()?;
    Some(Entry { id, site, happened, entered, by, device, corrects, fact })
}

/// The text after its length.
fn put(text: &str, to: &mut Vec<u8>) {
    to.extend_from_slice(&text.len().to_le_bytes());
    to.extend_from_slice(text.as_bytes());
}

fn text<'b>(ahead: &mut &'b [u8]) -> Option<&'b str> {
    let (length, rest) = ahead.split_first_chunk()?;
    let (text, rest) = rest.split_at_checked(usize::from_le_bytes(*length))?;
    *ahead = rest;
    str::from_utf8(text).ok()
}

/// The id with exactly this text.
fn as_it_is<'t, T: Deserialize<'t>>(text: &'t str) -> Option<T> {
    T::deserialize(StrDeserializer::<Error>::new(text)).ok()
}

fn instant(ahead: &mut &[u8]) -> Option<Timestamp> {
    let (number, rest) = ahead.split_first_chunk()?;
    *ahead = rest;
    Timestamp::from_microsecond(i64::from_le_bytes(*number)).ok()
}

#[cfg(test)]
mod tests {
    use program::{EntryId, Fact, PersonId, UnitId};

    use super::*;

    #[test]
    fn an_entry_arrives_as_it_was() {
        let entry = Entry {
            id: EntryId::new("e-1"),
            site: serde_json::from_str(r#"" north ""#).unwrap(),
            happened: Timestamp::from_microsecond(-1_700_000_000_000_001).unwrap(),
            entered: Timestamp::from_microsecond(1_700_000_060_000_000).unwrap(),
            by: PersonId::new("p-\u{e9}"),
            device: String::new(),
            corrects: None,
            fact: Fact::Held { unit: UnitId::new("HM-001"), why: "strap \"torn\"".to_owned() },
        };
        let correcting = Entry { corrects: Some(EntryId::new("")), ..entry.clone() };
        for entry in [entry, correcting] {
            let mut bytes = Vec::new();
            write(&entry, &serde_json::to_string(&entry.fact).unwrap(), &mut bytes);
            assert_eq!(read(&bytes).as_ref(), Some(&entry));
            assert_eq!(read(&bytes[..bytes.len() - 1]), None);
            assert_eq!(read(&[]), None);
        }
    }
}
