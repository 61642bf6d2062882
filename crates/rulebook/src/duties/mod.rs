//! The duties of the rules one by one, and how each is served here.
//!
//! Knows nothing of pages and commands but their names in `data/duty_places.csv`, which a test holds
//! against what exists. A duty that leaves no other trace is shown by a person, until a day.

pub mod shown;

#[cfg(test)]
mod sample;

use std::sync::OnceLock;

use jiff::civil::Date;
use serde::Serialize;

use crate::table::{Row, TableError, loud, read_table};
use crate::{Authority, Rule};

/// A duty: a row of `data/duties.csv` with its row of `data/duty_places.csv`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Duty {
    /// Its number.
    pub id: String,
    /// Paragraph.
    pub citation: String,
    /// What is to be done.
    pub duty: String,
    /// Who does it.
    pub who: String,
    /// When, or how often.
    pub when: String,
    /// What it applies to.
    pub applies_to: String,
    /// Whether its paragraph was read.
    pub authority: Authority,
    /// The rules that ask it.
    pub rules: Vec<String>,
    /// Where it is seen to: `page:` with an address, `command:` with a name, `record:` with a kind
    /// of entry.
    pub places: Vec<String>,
    /// The tests that show it: a file, `#` and a name.
    pub tests: Vec<String>,
    /// Why it is not for a tool, where it is not.
    pub not_for_a_tool: Option<String>,
}

impl Duty {
    /// Whether a person shows that it is kept, by an entry of its own.
    #[must_use]
    pub fn is_shown_by_a_person(&self) -> bool {
        self.rules.iter().any(|rule| rule == shown::RULE.id)
    }
}

/// Every duty, in the order of the paragraphs.
#[must_use]
pub fn all() -> &'static [Duty] {
    static ROWS: OnceLock<Vec<Duty>> = OnceLock::new();
    ROWS.get_or_init(|| loud(read()))
}

/// The duty with this number.
#[must_use]
pub fn find(id: &str) -> Option<&'static Duty> {
    all().iter().find(|duty| duty.id == id)
}

/// A duty that a person shows, and how it was last shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ShownFacts<'a> {
    /// The duty.
    pub duty: &'a Duty,
    /// The day at the site.
    pub day: Date,
    /// How it was last shown.
    pub shown: Option<Shown<'a>>,
}

/// That a duty is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shown<'a> {
    /// The day at the site.
    pub day: Date,
    /// Last day on which that still shows it, if it ends.
    pub until: Option<Date>,
    /// The entry.
    pub entry: &'a str,
}

/// The rules of this folder.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    vec![&shown::RULE]
}

struct Places {
    id: String,
    rules: Vec<String>,
    places: Vec<String>,
    tests: Vec<String>,
    not_for_a_tool: Option<String>,
}

fn read() -> Result<Vec<Duty>, TableError> {
    let places = include_str!("../../../../data/duty_places.csv");
    let places = read_table("duty_places.csv", places, read_places)?;
    read_table("duties.csv", include_str!("../../../../data/duties.csv"), |row| {
        let id = row.required("id")?;
        let of_duty: Vec<&Places> = places.iter().filter(|place| place.id == id).collect();
        let [place] = of_duty.as_slice() else {
            let what = format!("{} rows of duty_places.csv are about it", of_duty.len());
            return Err(row.broken("id", &what));
        };
        let authority = match row.text("basis")? {
            "read" => Authority::Read,
            "memory" => Authority::Memory,
            other => return Err(row.broken("basis", &format!("`{other}` is no known basis"))),
        };
        Ok(Duty {
            id,
            authority,
            citation: row.required("citation")?,
            duty: row.required("duty")?,
            who: row.required("who")?,
            when: row.owned("when_or_interval")?,
            applies_to: row.owned("applies_to")?,
            rules: place.rules.clone(),
            places: place.places.clone(),
            tests: place.tests.clone(),
            not_for_a_tool: place.not_for_a_tool.clone(),
        })
    })
}

fn read_places(row: &Row<'_>) -> Result<Places, TableError> {
    let words = |column: &str| -> Result<Vec<String>, TableError> {
        Ok(row.words(column)?.into_iter().map(str::to_owned).collect())
    };
    let (rules, places, tests) = (words("rules")?, words("places")?, words("tests")?);
    let reason = row.owned("not_for_a_tool")?;
    let served = !places.is_empty() && !tests.is_empty();
    let unserved = rules.is_empty() && places.is_empty() && tests.is_empty();
    match (served, unserved, reason.is_empty()) {
        (true, _, true) | (_, true, false) => {}
        _ => {
            let what = "a duty has places and tests, or a reason why it is not for a tool";
            return Err(row.broken("not_for_a_tool", what));
        }
    }
    let not_for_a_tool = Some(reason).filter(|reason| !reason.is_empty());
    Ok(Places { id: row.required("duty")?, rules, places, tests, not_for_a_tool })
}
