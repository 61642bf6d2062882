//! Parts of a respirator as one line: `4711 exhalation valve; 4712 strap`.

use program::SparePart;
use serde_json::Value;

use super::Written;

pub(super) const PARTS: Written = Written { read, write };

fn read(text: &str) -> Result<Value, String> {
    let written = text.split(';').map(str::trim).filter(|part| !part.is_empty());
    let parts = written.map(|part| match part.split_once(char::is_whitespace) {
        Some((number, name)) => {
            Ok(SparePart { number: number.to_owned(), name: name.trim().to_owned() })
        }
        None => Err(format!(
            "`{part}` lacks a number or a name\nwrite number and name of each part, with semicolons between them"
        )),
    });
    let parts = parts.collect::<Result<Vec<SparePart>, String>>()?;
    serde_json::to_value(parts).map_err(|why| why.to_string())
}

fn write(value: &Value) -> Option<String> {
    let parts: Vec<SparePart> = serde_json::from_value(value.clone()).ok()?;
    let written = parts.iter().map(|part| format!("{} {}", part.number, part.name));
    Some(written.collect::<Vec<_>>().join("; "))
}
