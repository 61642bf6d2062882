//! Which column of a table fills which of our fields.

use std::collections::BTreeMap;

use serde::Serialize;
use thiserror::Error;

use super::dates::DateOrder;
use super::kind::{Field, Kind};

/// What a person says about a table, beside the table.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Choices {
    /// The order of days and months where the year comes last.
    pub dates: Option<DateOrder>,
    /// Columns by their head, and the field that each fills.
    pub columns: Vec<(String, String)>,
    /// Fields that have one value in every row.
    pub every_row: Vec<(String, String)>,
}

/// One column of the table and what becomes of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ColumnUse {
    /// Its head as written.
    pub head: String,
    /// The field that it fills; none where it is left aside.
    pub fills: Option<&'static str>,
}

/// Why columns and fields do not come together.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ColumnError {
    /// A choice that is not written as one.
    #[error(
        "`{0}` is not written as `this=that`\n  write the head of the column or the field, an equals sign, and what it is"
    )]
    NotAChoice(String),
    /// No such field.
    #[error("`{asked}` is no field of {kind}\n  its fields are: {known}")]
    NoSuchField {
        /// What was asked.
        asked: String,
        /// The kind.
        kind: &'static str,
        /// The fields there are.
        known: String,
    },
    /// No such column.
    #[error("the table has no column `{asked}`\n  its columns are: {known}")]
    NoSuchColumn {
        /// What was asked.
        asked: String,
        /// The columns there are.
        known: String,
    },
    /// Two sources of one field.
    #[error(
        "both {first} and {second} would fill `{field}`\n  say which one does, such as: {second_head}={field}"
    )]
    Twice {
        /// The field.
        field: &'static str,
        /// One source.
        first: String,
        /// The other.
        second: String,
        /// The head to choose, as an example.
        second_head: String,
    },
    /// Needed fields without a column.
    #[error(
        "no column fills {missing}\n  name the columns, such as: {example}; or give one value for every row. The columns are: {known}\n  where these are no heads, delete what stands above the row of heads"
    )]
    Missing {
        /// The fields.
        missing: String,
        /// A choice, as an example.
        example: String,
        /// The columns there are.
        known: String,
    },
}

/// Where each field is found.
#[derive(Debug, Clone, Default)]
pub(super) struct Columns {
    places: BTreeMap<&'static str, Place>,
    every_row: BTreeMap<&'static str, String>,
}

/// A column that fills a field.
#[derive(Debug, Clone)]
pub(super) struct Place {
    pub(super) at: usize,
    pub(super) head: String,
    /// The unit in brackets behind the head, for numbers without one.
    pub(super) unit: Option<String>,
}

impl Choices {
    /// Reads `this=that`; the last equals sign splits, as heads may hold one.
    pub fn pair(text: &str) -> Result<(String, String), ColumnError> {
        let (left, right) =
            text.rsplit_once('=').ok_or_else(|| ColumnError::NotAChoice(text.to_owned()))?;
        let (left, right) = (left.trim(), right.trim());
        if left.is_empty() || right.is_empty() {
            return Err(ColumnError::NotAChoice(text.to_owned()));
        }
        Ok((left.to_owned(), right.to_owned()))
    }
}

impl Columns {
    /// Matches `header` to the fields of `kind`: what was chosen first, then heads by name,
    /// whatever their case, spaces and underscores.
    pub(super) fn of(
        kind: Kind,
        header: &[String],
        choices: &Choices,
    ) -> Result<(Self, Vec<ColumnUse>), ColumnError> {
        let mut columns = Self::default();
        for (asked, value) in &choices.every_row {
            columns.every_row.insert(field(kind, asked)?.name, value.clone());
        }
        let mut taken = Vec::new();
        for (head, asked) in &choices.columns {
            let at = header.iter().position(|known| plain(known) == plain(head));
            let at = at.ok_or_else(|| ColumnError::NoSuchColumn {
                asked: head.clone(),
                known: header.join(", "),
            })?;
            taken.push(at);
            columns.put(field(kind, asked)?.name, at, header)?;
        }
        let chosen: Vec<&str> = columns.places.keys().copied().collect();
        for (at, head) in header.iter().enumerate().filter(|(at, _)| !taken.contains(at)) {
            let found = kind.fields().iter().find(|field| field.is_headed(head));
            if let Some(field) = found.filter(|field| !chosen.contains(&field.name)) {
                columns.put(field.name, at, header)?;
            }
        }
        columns.check_needed(kind, header)?;
        let uses = header.iter().enumerate().map(|(at, head)| ColumnUse {
            head: head.clone(),
            fills: columns.places.iter().find(|(_, place)| place.at == at).map(|(name, _)| *name),
        });
        let uses = uses.collect();
        Ok((columns, uses))
    }

    pub(super) fn place(&self, field: &str) -> Option<&Place> {
        self.places.get(field)
    }

    pub(super) fn for_every_row(&self, field: &str) -> Option<&str> {
        self.every_row.get(field).map(String::as_str)
    }

    fn put(
        &mut self,
        field: &'static str,
        at: usize,
        header: &[String],
    ) -> Result<(), ColumnError> {
        let head = header.get(at).cloned().unwrap_or_default();
        let other = match (self.places.get(field), self.every_row.get(field)) {
            (Some(place), _) => Some(format!("the column `{}`", place.head)),
            (None, Some(value)) => Some(format!("the value `{value}` for every row")),
            (None, None) => None,
        };
        if let Some(first) = other {
            let second = format!("the column `{head}`");
            return Err(ColumnError::Twice { field, first, second, second_head: head });
        }
        let unit = bracketed(&head).map(str::to_owned);
        self.places.insert(field, Place { at, head, unit });
        Ok(())
    }

    fn check_needed(&self, kind: Kind, header: &[String]) -> Result<(), ColumnError> {
        let found = |name| self.places.contains_key(name) || self.every_row.contains_key(name);
        let missing = kind.fields().iter().filter(|field| field.needed && !found(field.name));
        let missing: Vec<&str> = missing.map(|field| field.name).collect();
        let Some(first) = missing.first() else { return Ok(()) };
        let free = header.iter().enumerate().find(|(at, head)| {
            !head.is_empty() && self.places.values().all(|place| place.at != *at)
        });
        let free = free.map_or("their head", |(_, head)| head);
        Err(ColumnError::Missing {
            missing: missing.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", "),
            example: format!("{free}={first}"),
            known: header.join(", "),
        })
    }
}

impl Field {
    fn is_headed(&self, head: &str) -> bool {
        let head = plain(head);
        plain(self.name) == head || self.also.iter().any(|also| plain(also) == head)
    }
}

fn field(kind: Kind, asked: &str) -> Result<&'static Field, ColumnError> {
    kind.fields().iter().find(|field| field.is_headed(asked)).ok_or_else(|| {
        let known = kind.fields().iter().map(|field| field.name).collect::<Vec<_>>();
        ColumnError::NoSuchField {
            asked: asked.to_owned(),
            kind: kind.word(),
            known: known.join(", "),
        }
    })
}

/// A head without what is in brackets behind it, and of the rest the letters and digits alone.
fn plain(head: &str) -> String {
    let head = match head.find(['(', '[']) {
        Some(0) | None => head,
        Some(at) => head.get(..at).unwrap_or(head),
    };
    head.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

fn bracketed(head: &str) -> Option<&str> {
    let (_, rest) = head.split_once(['(', '['])?;
    let (unit, _) = rest.split_once([')', ']'])?;
    Some(unit.trim()).filter(|unit| !unit.is_empty())
}
