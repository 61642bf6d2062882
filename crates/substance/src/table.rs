//! Rows of a compiled-in table, cell by cell, with errors that name table, row and column.

use std::collections::HashMap;
use std::str::FromStr;

/// A contradiction in a compiled-in table.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{table}, row `{row}`, column `{column}`: `{value}`: {reason}")]
pub struct TableError {
    /// File name of the table.
    pub table: &'static str,
    /// First cell of the row.
    pub row: String,
    /// Name of the column.
    pub column: String,
    /// What stands there.
    pub value: String,
    /// What is wrong with it.
    pub reason: String,
}

/// One row; cells are asked for by the name of their column.
pub(crate) struct Row<'a> {
    table: &'static str,
    columns: &'a HashMap<String, usize>,
    cells: &'a csv::StringRecord,
}

/// Reads every row of `text` by `read`.
pub(crate) fn rows<T>(
    table: &'static str,
    text: &str,
    read: impl Fn(&Row<'_>) -> Result<T, TableError>,
) -> Result<Vec<T>, TableError> {
    let broken = |error: csv::Error| TableError {
        table,
        row: String::new(),
        column: String::new(),
        value: String::new(),
        reason: error.to_string(),
    };
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let header = reader.headers().map_err(broken)?;
    let columns = header.iter().enumerate().map(|(at, name)| (name.to_owned(), at)).collect();
    reader
        .records()
        .map(|cells| read(&Row { table, columns: &columns, cells: &cells.map_err(broken)? }))
        .collect()
}

impl Row<'_> {
    /// The cell in `column`, empty or not; an error when there is no such column.
    pub(crate) fn text(&self, column: &str) -> Result<&str, TableError> {
        self.columns
            .get(column)
            .and_then(|at| self.cells.get(*at))
            .ok_or_else(|| self.error(column, "", "no such column"))
    }

    /// The value in `column`; `None` when the cell is empty.
    pub(crate) fn value<T: FromStr<Err: ToString>>(
        &self,
        column: &str,
    ) -> Result<Option<T>, TableError> {
        let text = self.text(column)?;
        if text.is_empty() {
            return Ok(None);
        }
        text.parse().map(Some).map_err(|error: T::Err| self.error(column, text, error))
    }

    /// A finite number in `column`; `None` when the cell is empty.
    pub(crate) fn number(&self, column: &str) -> Result<Option<f64>, TableError> {
        let number = self.value::<f64>(column)?;
        match number {
            Some(x) if !x.is_finite() => Err(self.error(column, &x.to_string(), "not finite")),
            other => Ok(other),
        }
    }

    /// What `read` makes of the cell in `column`; an error when it makes nothing of it.
    pub(crate) fn one_of<T>(
        &self,
        column: &str,
        read: impl Fn(&str) -> Option<T>,
    ) -> Result<T, TableError> {
        let text = self.text(column)?;
        read(text).ok_or_else(|| self.error(column, text, "not a word of the list"))
    }

    /// An error about this cell.
    pub(crate) fn error(&self, column: &str, value: &str, reason: impl ToString) -> TableError {
        TableError {
            table: self.table,
            row: self.cells.get(0).unwrap_or_default().to_owned(),
            column: column.to_owned(),
            value: value.to_owned(),
            reason: reason.to_string(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_broken_cell_is_named() {
        let error = rows("t.csv", "id,n\na,1\nb,x\n", |row| row.number("n")).unwrap_err();
        assert!(error.to_string().starts_with("t.csv, row `b`, column `n`: `x`"), "{error}");
        assert!(rows("t.csv", "id,n\na,1\n", |row| row.number("m")).is_err());
        assert!(rows("t.csv", "id,n\na,1,2\n", |row| row.number("n")).is_err());
        assert!(rows("t.csv", "id,n\na,inf\n", |row| row.number("n")).is_err());
    }
}
