//! Ids and tags that nobody can tell apart.

use rulebook::is_invisible;
use unicode_normalization::UnicodeNormalization;

/// The text as somebody sees it who reads it from a tag: without what is invisible, in small letters, with
/// one kind of hyphen, single spaces, and letters and digits of the usual width. What comes to the same
/// text looks alike.
///
/// Source: Unicode Standard Annex 15, normalization form KC, for widths and forms; the rest is common
/// practice, no source. Letters of another script that only look like these are another text.
#[must_use]
pub fn alike(text: &str) -> String {
    let plain = |byte: u8| byte.is_ascii_graphic();
    if text.bytes().all(plain) {
        return text.to_ascii_lowercase();
    }
    let seen: String = if text.is_ascii() {
        text.chars().map(shown).collect()
    } else {
        text.nfkc().filter(|letter| !is_invisible(*letter)).map(shown).collect()
    };
    let mut seen = seen.to_lowercase();
    if seen.starts_with(' ') || seen.ends_with(' ') || seen.contains("  ") {
        seen = seen.split_whitespace().collect::<Vec<_>>().join(" ");
    }
    seen
}

/// The name of a lot as one reads it off a box and another does: its letters and digits alone, for signs and
/// spaces between them are written now so and now so. Common practice, no source.
pub(crate) fn lot(text: &str) -> String {
    alike(text).chars().filter(|letter| letter.is_alphanumeric()).collect()
}

/// One kind of space and one kind of hyphen.
fn shown(letter: char) -> char {
    match letter {
        '\u{2010}'..='\u{2015}' | '\u{2043}' | '\u{2212}' | '\u{2e3a}' | '\u{2e3b}' => '-',
        _ if letter.is_whitespace() => ' ',
        _ => letter,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_lot_is_written_in_many_ways() {
        for twin in ["LOT-9", "lot 9", "Lot9", "LOT/9", "Lot\u{a0}9"] {
            assert_eq!(lot(twin), "lot9", "{twin:?}");
        }
        assert_eq!((lot(" - ").as_str(), lot("LOT-90").as_str()), ("", "lot90"));
    }

    // Unicode Standard Annex 15, table of compatibility forms: full width and super-script digits.
    #[test]
    fn what_nobody_can_tell_apart_is_alike() {
        for twin in [
            "hm-1",
            " HM-1 ",
            "HM\u{2010}1",
            "HM\u{2011}1",
            "HM\u{2013}1",
            "HM\u{2212}1",
            "HM\u{ff0d}1",
            "\u{ff28}\u{ff2d}-\u{ff11}",
            "HM-\u{200b}1",
            "\u{feff}HM-1",
            "H\u{200d}M-1\u{fe0f}",
            "HM-\u{b9}",
        ] {
            assert_eq!(alike(twin), alike("HM-1"), "{twin:?}");
        }
        assert_eq!(alike("Half  mask\u{a0}3"), "half mask 3");
        for other in ["HM-2", "HM 1", "HM1", "HM--1", "\u{41d}M-1"] {
            assert_ne!(alike(other), alike("HM-1"), "{other:?}");
        }
    }
}
