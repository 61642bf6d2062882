//! Bringing what a workplace has already: lists kept as CSV or in a workbook become entries, after
//! each row's fate was shown.
//!
//! Pure: the bytes or cells of a table, what is known and an instant go in; a [`Preview`] of every row
//! comes out. Nothing that bears on safety is assumed: what a row does not tell is asked for, in a
//! column or as one value for every row. The same table a second time adds nothing: the id of an
//! entry is a hash of the site and of what the row says.
//!
//! A day without a time is its first instant at the site, so that what ends after a time never ends
//! later than the list says. Source of the reading rules: common practice, no source.

mod columns;
mod dates;
mod fate;
mod kind;
mod kinds;
mod known;
mod row;
mod settle;
mod table;

use jiff::Timestamp;
use thiserror::Error;

use crate::ids::{PersonId, SiteId};
use crate::state::State;

pub use columns::{Choices, ColumnError, ColumnUse};
pub use dates::DateOrder;
pub use fate::{Fate, Preview, RowFate, content_mark};
pub use kind::{Field, Kind, NotAKind};
pub use row::Refusal;
pub use table::{Cell, MOST_COLUMNS, MOST_ROWS, Table, TableError, TableRow};

use columns::Columns;
use fate::stands_against;
use known::Known;
use row::{Row, Setting};
use settle::{Bringing, Read, settle};

/// What is to be brought, where to, when and by whom.
#[derive(Debug, Clone, Copy)]
pub struct Ask<'a> {
    /// What the table lists.
    pub kind: Kind,
    /// The table.
    pub table: &'a Table,
    /// What was said beside it.
    pub choices: &'a Choices,
    /// The site.
    pub site: &'a SiteId,
    /// The instant.
    pub now: Timestamp,
    /// Who brings it.
    pub by: &'a PersonId,
    /// The device that the entries name.
    pub device: &'a str,
}

/// Why a table as a whole cannot be brought.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum BringError {
    /// No such site.
    #[error("there is no site `{asked}` in this ledger\n  its sites are: {known}")]
    UnknownSite {
        /// What was asked.
        asked: String,
        /// The sites there are.
        known: String,
    },
    /// A site without a clock.
    #[error(
        "the time zone `{0}` of the site is not known, so that days cannot be placed\n  open the site with a zone such as Europe/Madrid"
    )]
    NoClock(String),
    /// Columns and fields do not come together.
    #[error(transparent)]
    Columns(#[from] ColumnError),
}

/// What would become of every row of a table; nothing is written here.
pub fn preview(state: &State, ask: &Ask<'_>) -> Result<Preview, BringError> {
    let site = state.site(ask.site).ok_or_else(|| BringError::UnknownSite {
        asked: ask.site.to_string(),
        known: state.sites().map(|(id, _)| id.as_str()).collect::<Vec<_>>().join(", "),
    })?;
    let no_clock = || BringError::NoClock(site.time_zone_name.clone());
    let zone = site.time_zone.as_ref().ok_or_else(no_clock)?;
    let (columns, uses) = Columns::of(ask.kind, &ask.table.header, ask.choices)?;
    let known = Known::of(state, ask.site);
    let setting = Setting { columns: &columns, dates: ask.choices.dates, zone, now: ask.now };
    let mut understood = Vec::new();
    let mut read: Vec<Read> = Vec::new();
    for cells in &ask.table.rows {
        let mut row = Row::new(&setting, cells);
        let draft = ask.kind.read(&mut row, &known);
        if let Some(beyond) = cells.cells.get(ask.table.header.len()) {
            let beyond = beyond.words().unwrap_or_default();
            let why = format!("the row is longer than the header: `{beyond}` stands under no head");
            row.refuse("row", why, "put text with a separator in it into quotation marks");
        }
        if draft.is_none() && row.refused.is_empty() {
            row.refuse("row", "it cannot be understood", "compare it with the other rows");
        }
        let draft = match draft {
            Some(draft) if row.refused.is_empty() => Ok(draft),
            _ => Err(row.refused),
        };
        understood.push(row.understood);
        read.push((cells.line, draft));
    }
    let lines: Vec<usize> = read.iter().map(|(line, _)| *line).collect();
    let bringing = Bringing { now: ask.now, zone, by: ask.by, device: ask.device };
    let fates = settle(read, &known, &bringing);
    let rows = lines.into_iter().zip(understood).zip(fates);
    let row = |((line, understood), fate)| {
        let stands_against = stands_against(state, &fate);
        RowFate { line, understood, stands_against, fate }
    };
    let rows = rows.map(row).collect();
    Ok(Preview {
        kind: ask.kind,
        site: ask.site.clone(),
        columns: uses,
        every_row: ask.choices.every_row.clone(),
        rows,
    })
}
