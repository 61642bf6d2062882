//! Variants of one case side by side.

use std::sync::Arc;

use rulebook::{Finding, Severity};
use serde::Serialize;
use sorbent::Progress;
use toml::{Table, Value};

use crate::case::{CaseError, WrittenCase};
use crate::life::{LifeAnswer, LifeMethod, compute_sampled};

/// Most variants beside each other.
pub const MOST_VARIANTS: usize = 4;

/// One variant and its answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Variant {
    /// What is different, as it was asked; "as it is" for the case itself.
    pub change: String,
    /// Its life.
    pub life: LifeAnswer,
}

impl Variant {
    /// What stands against wearing these elements here: what stops the computation, and what the selection
    /// rules hold against them.
    pub fn stops(&self) -> impl Iterator<Item = &Finding> {
        self.life.findings.iter().filter(|finding| finding.severity == Severity::Stop)
    }
}

/// The case of `text` and up to four variants of it, each a list of changes parted by semicolons,
/// such as `air.relative_humidity = "80 %"; contaminant.1.concentration = "200 ppm"`; tables that
/// repeat are counted from 1.
///
/// Refuses more than four variants, a change that is no `key = value`, a place that the case does
/// not have, and a variant that is no case, naming the change.
pub fn what_if(
    text: &str,
    changes: &[String],
    samples: Option<usize>,
    progress: &Arc<Progress>,
) -> Result<Vec<Variant>, CaseError> {
    if changes.len() > MOST_VARIANTS {
        let message = format!(
            "{} variants are too many to compare\n  ask for up to {MOST_VARIANTS}",
            changes.len()
        );
        return Err(CaseError { line: 1, key: "change".to_owned(), message });
    }
    let life = |text: &str| {
        let case = WrittenCase::read(text)?;
        compute_sampled(&case, LifeMethod::Full, samples, progress)
    };
    let mut variants = vec![Variant { change: "as it is".to_owned(), life: life(text)? }];
    for change in changes {
        let named =
            |error: CaseError| CaseError { key: format!("`{change}`: {}", error.key), ..error };
        let text = changed(text, change).map_err(named)?;
        variants.push(Variant { change: change.clone(), life: life(&text).map_err(named)? });
    }
    Ok(variants)
}

/// The text of a case with the changes made.
fn changed(text: &str, changes: &str) -> Result<String, CaseError> {
    let mut table: Table =
        toml::from_str(text).map_err(|error| CaseError::from_toml(&error, text))?;
    let parts = parted(changes, ';');
    let changes = || parts.iter().map(|change| change.trim()).filter(|change| !change.is_empty());
    if changes().next().is_none() {
        let message = "it changes nothing\n  write key = value, such as air.flow = \"35 L/min\"";
        return Err(CaseError { line: 1, key: "change".to_owned(), message: message.to_owned() });
    }
    let mut told: Vec<Vec<String>> = Vec::new();
    for change in changes() {
        let refuse = |message: &str| CaseError {
            line: 1,
            key: change.to_owned(),
            message: message.to_owned(),
        };
        let path = parted(change, '=').first().copied().unwrap_or_default();
        let value = change.get(path.len() + 1..).ok_or_else(|| {
            refuse("no `=`\n  write key = value, such as air.flow = \"35 L/min\"")
        })?;
        let keys = keys_of(path).ok_or_else(|| {
            refuse("this is no key\n  write it as in a case file, a name with blanks between quotes: segment.2.level.\"ethyl acetate\"")
        })?;
        if told.contains(&keys) {
            return Err(refuse("this variant sets it twice\n  keep one of them"));
        }
        // A bare quantity is text that lost its quotes to the shell.
        let value = value.trim();
        let read = |value: &str| toml::from_str::<Table>(&format!("v = {value}")).ok();
        let read = read(value).or_else(|| read(&format!("{value:?}")));
        let value = read.and_then(|mut table| table.remove("v")).ok_or_else(|| {
            refuse("the value is no text, number or truth\n  write it as in a case file")
        })?;
        put(&mut table, &keys, value).ok_or_else(|| {
            refuse("the case has no such place\n  write the table and the key, such as air.flow, and count tables that repeat from 1, such as contaminant.1.concentration")
        })?;
        told.push(keys);
    }
    toml::to_string(&table).map_err(|error| CaseError {
        line: 1,
        key: "case".to_owned(),
        message: error.to_string(),
    })
}

/// The parts of a text between marks that stand outside of quotes.
fn parted(text: &str, mark: char) -> Vec<&str> {
    let mut within: Option<char> = None;
    let outside = |sign: char| {
        match within {
            Some(quote) if sign == quote => within = None,
            None if sign == '"' || sign == '\'' => within = Some(sign),
            _ => {}
        }
        within.is_none() && sign == mark
    };
    text.split(outside).collect()
}

/// The keys of a dotted key, as TOML reads them.
fn keys_of(path: &str) -> Option<Vec<String>> {
    let mut at = toml::from_str::<Table>(&format!("{path} = 0")).ok()?;
    let mut keys = Vec::new();
    while let Some((key, next)) = at.into_iter().next() {
        keys.push(key);
        match next {
            Value::Table(table) => at = table,
            _ => return Some(keys),
        }
    }
    None
}

/// Puts a value at a path; none where a table on the way is missing. Only a table that does not
/// repeat is made where there is none.
fn put(table: &mut Table, path: &[String], value: Value) -> Option<()> {
    let (last, keys) = path.split_last()?;
    let mut at = table;
    let mut keys = keys.iter();
    while let Some(key) = keys.next() {
        let next = at.entry(key).or_insert_with(|| Value::Table(Table::new()));
        at = match next {
            Value::Table(table) => table,
            Value::Array(list) => {
                let place = keys.next()?.parse::<usize>().ok()?.checked_sub(1)?;
                list.get_mut(place)?.as_table_mut()?
            }
            _ => return None,
        };
    }
    at.insert(last.clone(), value);
    Some(())
}

#[cfg(test)]
mod tests {
    use super::*;

    const CASE: &str = "[air]\nflow = \"35 L/min\"\n[[contaminant]]\nname = \"toluene\"\n";

    #[test]
    fn a_change_finds_its_place_with_and_without_quotes() {
        let change = "air.flow = 40 L/min; contaminant.1.name = \"benzene\"; work.wear = \"2 h\"";
        let text = changed(CASE, change).unwrap_or_default();
        for part in ["flow = \"40 L/min\"", "name = \"benzene\"", "wear = \"2 h\""] {
            assert!(text.contains(part), "{part} in {text}");
        }
    }

    // A key between quotes is the key without them, and what stands between quotes parts nothing.
    #[test]
    fn a_quoted_key_is_read_as_in_a_case_file() {
        let case = format!("{CASE}[[segment]]\n[segment.level]\n\"ethyl acetate\" = \"9 ppm\"\n");
        for key in ["segment.1.level.\"ethyl acetate\"", "segment . 1.'level'.'ethyl acetate'"] {
            let text = changed(&case, &format!("{key} = \"0 ppm\"")).unwrap();
            assert!(text.contains("\"ethyl acetate\" = \"0 ppm\""), "{text}");
            assert!(!text.contains("9 ppm"), "{text}");
        }
        let both = "air.flow = \"1 L/min\"; \"air\".flow = \"2 L/min\"";
        assert!(changed(CASE, both).is_err());
        let text = changed(CASE, "contaminant.1.\"a;b=c\" = x; air.flow = 40 L/min").unwrap();
        assert!(text.contains("\"a;b=c\" = \"x\"") && text.contains("40 L/min"), "{text}");
    }

    #[test]
    fn a_change_without_a_place_is_refused_with_a_remedy() {
        for change in [
            "air.flow",
            "ethyl acetate = 3",
            "\"air.flow = 3",
            "contaminant.2.name = x",
            "contaminant.name.x = 1",
            "= 3",
        ] {
            let refused = changed(CASE, change).map_err(|error| error.to_string());
            let said = refused.err().unwrap_or_default();
            assert!(said.contains("\n  "), "{change}: {said}");
        }
    }
}
