//! Reading the tables that are compiled in, loudly.

use csv::StringRecord;
use quantity::{Minutes, Ppm};

/// What is wrong with a compiled-in table: which table, row and column, and how.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("table {table}, row {row}, column `{column}`: {what}")]
pub struct TableError {
    /// File name of the table.
    pub table: &'static str,
    /// Id of the row, or its number where the id itself cannot be read.
    pub row: String,
    /// Name of the column.
    pub column: String,
    /// What was found.
    pub what: String,
}

/// One row, asked by column name.
pub(crate) struct Row<'a> {
    table: &'static str,
    headers: &'a StringRecord,
    cells: &'a StringRecord,
}

impl Row<'_> {
    /// The text of a column; empty where the cell is empty.
    pub(crate) fn text(&self, column: &str) -> Result<&str, TableError> {
        self.headers
            .iter()
            .position(|header| header == column)
            .and_then(|at| self.cells.get(at))
            .map(str::trim)
            .ok_or_else(|| self.broken(column, "the column is missing"))
    }

    /// An owned text.
    pub(crate) fn owned(&self, column: &str) -> Result<String, TableError> {
        self.text(column).map(str::to_owned)
    }

    /// A text that must not be empty.
    pub(crate) fn required(&self, column: &str) -> Result<String, TableError> {
        match self.text(column)? {
            "" => Err(self.broken(column, "the cell is empty")),
            text => Ok(text.to_owned()),
        }
    }

    /// A number that is zero or more, or none where the cell is empty.
    pub(crate) fn number(&self, column: &str) -> Result<Option<f64>, TableError> {
        let text = self.text(column)?;
        if text.is_empty() {
            return Ok(None);
        }
        match text.parse::<f64>() {
            Ok(number) if number.is_finite() && 0.0 <= number => Ok(Some(number)),
            _ => Err(self.broken(column, &format!("`{text}` is not a number of zero or more"))),
        }
    }

    /// A volume fraction in ppm, or none where the cell is empty.
    pub(crate) fn ppm(&self, column: &str) -> Result<Option<Ppm>, TableError> {
        let build = |number| Ppm::from_ppm(number).map_err(|e| self.broken(column, &e.to_string()));
        self.number(column)?.map(build).transpose()
    }

    /// A time in minutes, or none where the cell is empty.
    pub(crate) fn minutes(&self, column: &str) -> Result<Option<Minutes>, TableError> {
        let build =
            |number| Minutes::from_min(number).map_err(|e| self.broken(column, &e.to_string()));
        self.number(column)?.map(build).transpose()
    }

    /// The words of a cell, split at semicolons.
    pub(crate) fn words(&self, column: &str) -> Result<Vec<&str>, TableError> {
        let text = self.text(column)?;
        Ok(text.split(';').map(str::trim).filter(|word| !word.is_empty()).collect())
    }

    /// The error that names this row.
    pub(crate) fn broken(&self, column: &str, what: &str) -> TableError {
        let id = self.cells.get(0).filter(|id| !id.is_empty());
        let line = self.cells.position().map_or(0, csv::Position::line);
        let row = id.map_or_else(|| format!("on line {line}"), str::to_owned);
        TableError { table: self.table, row, column: column.to_owned(), what: what.to_owned() }
    }
}

/// Reads every row of `text` with `read`; the first broken row is the answer.
pub(crate) fn read_table<T>(
    table: &'static str,
    text: &str,
    read: impl Fn(&Row<'_>) -> Result<T, TableError>,
) -> Result<Vec<T>, TableError> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let whole = |error: csv::Error| TableError {
        table,
        row: error.position().map_or_else(String::new, |at| format!("on line {}", at.line())),
        column: String::from("all"),
        what: error.to_string(),
    };
    let headers = reader.headers().map_err(whole)?.clone();
    let mut rows = Vec::new();
    for cells in reader.records() {
        let cells = cells.map_err(whole)?;
        rows.push(read(&Row { table, headers: &headers, cells: &cells })?);
    }
    Ok(rows)
}

/// The rows of a compiled-in table, or the end of the program with the name of the broken cell.
///
/// A broken table is a fault of the build, not of the day: each table's tests read every row, so a
/// build with a broken one does not pass them. Going on without the table could allow what it
/// forbids.
pub(crate) fn loud<T>(rows: Result<T, TableError>) -> T {
    match rows {
        Ok(rows) => rows,
        Err(error) => panic!("{error}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn limits(text: &str) -> Result<Vec<f64>, TableError> {
        read_table("some.csv", text, |row| Ok(row.number("limit")?.unwrap_or(0.0)))
    }

    #[test]
    fn a_broken_cell_is_named_by_table_row_and_column() {
        let error = limits("id,limit\nA1,3\nA2,many\n").unwrap_err();
        assert_eq!(
            error.to_string(),
            "table some.csv, row A2, column `limit`: `many` is not a number of zero or more"
        );
        let error = limits("id,height\nA1,3\n").unwrap_err();
        assert_eq!((error.row.as_str(), error.column.as_str()), ("A1", "limit"));
    }

    #[test]
    fn not_a_number_infinity_and_a_short_row_are_refused() {
        for text in ["id,limit\nA,NaN\n", "id,limit\nA,inf\n", "id,limit\nA,-1\n", "id,limit\nA\n"]
        {
            assert!(limits(text).is_err(), "{text}");
        }
    }
}
