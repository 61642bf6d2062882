//! Parts of a respirator as one line: `4711 exhalation valve; P 12: strap`.

use program::SparePart;
use serde_json::Value;

use super::Written;

pub(super) const PARTS: Written = Written { read, write };

/// Behind a number that holds a space stands a colon: `P 12: strap`.
const COLON: char = ':';

fn read(text: &str) -> Result<Value, String> {
    let written = text.split(';').map(str::trim).filter(|part| !part.is_empty());
    let parts = written.map(part).collect::<Result<Vec<SparePart>, String>>()?;
    serde_json::to_value(parts).map_err(|why| why.to_string())
}

fn part(written: &str) -> Result<SparePart, String> {
    let split = match written.split_once(COLON) {
        None => written.split_once(char::is_whitespace),
        with_colon => with_colon,
    };
    let lacks = || {
        format!(
            "`{written}` lacks a number or a name\nwrite number and name of each part, with semicolons between them"
        )
    };
    let (number, name) = split.ok_or_else(lacks)?;
    let (number, name) = (number.trim().to_owned(), name.trim().to_owned());
    if number.is_empty() || name.is_empty() {
        return Err(lacks());
    }
    let holds_digit = |word: &str| word.bytes().any(|byte| byte.is_ascii_digit());
    let next = name.split_whitespace().next().unwrap_or_default();
    let colon = written.contains(COLON);
    if !colon && (!holds_digit(&number) || holds_digit(next)) && holds_digit(written) {
        return Err(format!(
            "of `{written}` it is not clear where the number ends\nwrite a colon behind the number, such as P 12: strap"
        ));
    }
    Ok(SparePart { number, name })
}

fn write(value: &Value) -> Option<String> {
    let parts: Vec<SparePart> = serde_json::from_value(value.clone()).ok()?;
    let written = parts.iter().map(|own| {
        let plain = format!("{} {}", own.number, own.name);
        let same = part(&plain).is_ok_and(|read| read == *own);
        if same { plain } else { format!("{}{COLON} {}", own.number, own.name) }
    });
    Some(written.collect::<Vec<_>>().join("; "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_that_holds_a_space_ends_at_its_colon_or_is_asked_about() {
        let own = |number: &str, name: &str| {
            Ok(SparePart { number: number.to_owned(), name: name.to_owned() })
        };
        assert_eq!(part("4711 exhalation valve"), own("4711", "exhalation valve"));
        assert_eq!(part("P 12: strap"), own("P 12", "strap"));
        assert_eq!(part("strap set"), own("strap", "set"));
        for unclear in ["P 12 strap", "4711 22 strap"] {
            assert!(part(unclear).unwrap_err().contains("a colon"), "{unclear}");
        }
        for lacking in ["4711", ": strap", "4711:"] {
            assert!(part(lacking).unwrap_err().contains("lacks"), "{lacking}");
        }
        for text in ["4711 exhalation valve; P 12: strap", "strap set"] {
            assert_eq!(write(&read(text).unwrap()).as_deref(), Some(text));
        }
    }
}
