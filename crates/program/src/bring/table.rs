//! A table of cells, read from the bytes of a file that a workplace already keeps.

use std::io::Cursor;

use calamine::{DataRef, ExcelDateTime, Reader, Xlsx, XlsxError};
use jiff::civil::DateTime;
use thiserror::Error;

/// The most rows that are read; a larger file is brought in parts.
pub const MOST_ROWS: usize = 100_000;

/// The most columns that are read.
pub const MOST_COLUMNS: usize = 200;

/// A header and what stands under it.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// The heads of the columns as written.
    pub header: Vec<String>,
    /// The rows with anything in them.
    pub rows: Vec<TableRow>,
}

/// One row.
#[derive(Debug, Clone, PartialEq)]
pub struct TableRow {
    /// Its line in the file, from 1, as a reader of the file counts.
    pub line: usize,
    /// Its cells.
    pub cells: Vec<Cell>,
}

/// One cell.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// Nothing.
    Empty,
    /// Words, without the white space around them.
    Text(String),
    /// A number.
    Number(f64),
    /// A day, a time or both, as a spreadsheet keeps them; a time alone stands on a day before 1950.
    Moment(DateTime),
    /// Yes or no.
    Flag(bool),
    /// A formula that came to nothing, by its sign.
    Fault(String),
}

/// Why bytes are no table.
#[derive(Debug, Error)]
pub enum TableError {
    /// Nothing in it.
    #[error("the file holds no table\n  its first row names the columns, the others fill them")]
    Empty,
    /// Text in another coding.
    #[error(
        "line {line} is not UTF-8 text\n  save the file as CSV UTF-8, or as a workbook (.xlsx)"
    )]
    NotUtf8 {
        /// The line.
        line: usize,
    },
    /// A workbook of the old binary kind.
    #[error("this is a workbook of the old binary kind (.xls)\n  save it as .xlsx or as CSV UTF-8")]
    OldWorkbook,
    /// CSV that cannot be read.
    #[error("the file cannot be read as CSV: {0}\n  open it in a spreadsheet and save it anew")]
    Csv(#[from] csv::Error),
    /// A workbook that cannot be read.
    #[error(
        "the workbook cannot be read ({why})\n  it may be cut short: open it in a spreadsheet and save it anew"
    )]
    Workbook {
        /// What its reader says.
        why: String,
    },
    /// Several filled sheets and none chosen.
    #[error("the workbook has several filled sheets: {}\n  name the one to bring", names.join(", "))]
    SeveralSheets {
        /// Their names.
        names: Vec<String>,
    },
    /// No such sheet.
    #[error("the workbook has no sheet `{asked}`\n  its sheets are: {}", names.join(", "))]
    NoSuchSheet {
        /// What was asked.
        asked: String,
        /// The sheets there are.
        names: Vec<String>,
    },
    /// Too much at once.
    #[error(
        "the file has more than {MOST_ROWS} rows or {MOST_COLUMNS} columns\n  bring it in parts"
    )]
    TooLarge,
}

impl From<XlsxError> for TableError {
    fn from(error: XlsxError) -> Self {
        Self::Workbook { why: error.to_string() }
    }
}

impl Table {
    /// Reads a workbook (XLSX) or text (CSV, UTF-8, split by comma, semicolon or tab), told apart by
    /// their first bytes. `sheet` names the sheet of a workbook with several.
    ///
    /// The first row with anything in it is the header, but for a title: rows of one filled cell above
    /// one of several. Rows without anything are left out. Refuses what cannot be read, more than [`MOST_ROWS`] rows or [`MOST_COLUMNS`] columns.
    pub fn read(bytes: &[u8], sheet: Option<&str>) -> Result<Self, TableError> {
        if bytes.starts_with(b"PK\x03\x04") {
            workbook(bytes, sheet)
        } else if bytes.starts_with(b"\xd0\xcf\x11\xe0") {
            Err(TableError::OldWorkbook)
        } else {
            text(bytes)
        }
    }

    /// A table of `rows`, the first of which is the header, but for a title above it.
    fn of(mut rows: Vec<TableRow>) -> Result<Self, TableError> {
        let filled = |row: &TableRow| row.cells.iter().filter(|cell| **cell != Cell::Empty).count();
        rows.retain(|row| 0 < filled(row));
        let title = rows.iter().position(|row| 1 < filled(row)).unwrap_or(0);
        let mut rows = rows.into_iter().skip(title);
        let header = rows.next().ok_or(TableError::Empty)?;
        let header = header.cells.iter().map(|cell| cell.words().unwrap_or_default()).collect();
        Ok(Self { header, rows: rows.collect() })
    }
}

impl Cell {
    /// What stands in the cell as words; none where it is empty.
    #[must_use]
    pub fn words(&self) -> Option<String> {
        match self {
            Self::Empty => None,
            Self::Text(text) | Self::Fault(text) => Some(text.clone()),
            Self::Number(number) if number.fract() == 0.0 && number.abs() < 1e15 => {
                Some(format!("{number:.0}"))
            }
            Self::Number(number) => Some(number.to_string()),
            Self::Moment(moment) if moment.time() == jiff::civil::Time::midnight() => {
                Some(moment.date().to_string())
            }
            Self::Moment(moment) => Some(moment.to_string()),
            Self::Flag(flag) => Some(if *flag { "yes" } else { "no" }.to_owned()),
        }
    }
}

fn text(bytes: &[u8]) -> Result<Table, TableError> {
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let before = bytes.get(..error.valid_up_to()).unwrap_or_default();
        let line = before.iter().filter(|byte| **byte == b'\n').count() + 1;
        TableError::NotUtf8 { line }
    })?;
    let text = text.trim_start_matches('\u{feff}');
    let text = text.replace("\r\n", "\n").replace('\r', "\n");
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter(&text))
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let mut lines = Lines { text: text.as_bytes(), counted: 0, line: 1 };
    let mut rows = Vec::new();
    for record in reader.records() {
        let record = record?;
        if rows.len() > MOST_ROWS || record.len() > MOST_COLUMNS {
            return Err(TableError::TooLarge);
        }
        let start = record.position().map_or(0, csv::Position::byte);
        let line = lines.at(usize::try_from(start).unwrap_or(usize::MAX));
        let cell = |cell: &str| match cell {
            "" => Cell::Empty,
            filled => Cell::Text(filled.to_owned()),
        };
        let cells = record.iter().map(cell).collect();
        rows.push(TableRow { line, cells });
    }
    Table::of(rows)
}

/// Counts lines. The reader of CSV counts an empty line to the record behind it, and its own numbers
/// would be off.
struct Lines<'t> {
    text: &'t [u8],
    counted: usize,
    line: usize,
}

impl Lines<'_> {
    /// The line on which the record begins whose place is `start`, which never goes back.
    fn at(&mut self, start: usize) -> usize {
        let rest = self.text.get(start..).unwrap_or_default();
        let begins = start + rest.iter().take_while(|byte| **byte == b'\n').count();
        let between = self.text.get(self.counted..begins).unwrap_or_default();
        self.line += between.iter().filter(|byte| **byte == b'\n').count();
        self.counted = begins;
        self.line
    }
}

/// What splits the cells: whichever of the three stands most often, outside quotation marks, in the
/// first line in which one of them stands; the comma where none does.
fn delimiter(text: &str) -> u8 {
    let of_line = |line: &str| {
        let mut quoted = false;
        let mut count = [(b',', 0_u32), (b';', 0), (b'\t', 0)];
        for byte in line.bytes() {
            quoted ^= byte == b'"';
            for (_, seen) in count.iter_mut().filter(|(split, _)| !quoted && *split == byte) {
                *seen += 1;
            }
        }
        // The first of equals.
        let most = count.into_iter().rev().max_by_key(|(_, seen)| *seen);
        most.filter(|(_, seen)| 0 < *seen).map(|(split, _)| split)
    };
    text.lines().find_map(of_line).unwrap_or(b',')
}

fn workbook(bytes: &[u8], sheet: Option<&str>) -> Result<Table, TableError> {
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes))?;
    let names = book.sheet_names();
    if let Some(asked) = sheet {
        let found = names.iter().find(|name| name.trim().eq_ignore_ascii_case(asked.trim()));
        let Some(found) = found else {
            return Err(TableError::NoSuchSheet { asked: asked.to_owned(), names });
        };
        return Table::of(sheet_rows(&mut book, found)?);
    }
    let mut filled = Vec::new();
    for name in names {
        let rows = sheet_rows(&mut book, &name)?;
        if !rows.is_empty() {
            filled.push((name, rows));
        }
    }
    if filled.len() > 1 {
        let names = filled.into_iter().map(|(name, _)| name).collect();
        return Err(TableError::SeveralSheets { names });
    }
    filled.pop().map_or(Err(TableError::Empty), |(_, rows)| Table::of(rows))
}

/// The rows of one sheet, read cell by cell: a sheet that claims to be larger than what is in it
/// costs nothing.
fn sheet_rows(book: &mut Xlsx<Cursor<&[u8]>>, name: &str) -> Result<Vec<TableRow>, TableError> {
    let mut rows: Vec<TableRow> = Vec::new();
    let mut reader = book.worksheet_cells_reader(name)?;
    while let Some(cell) = reader.next_cell()? {
        let value = value(cell.get_value());
        if value == Cell::Empty {
            continue;
        }
        let (row, column) = cell.get_position();
        let place = |number: u32| usize::try_from(number).unwrap_or(usize::MAX);
        let (line, column) = (place(row).saturating_add(1), place(column));
        if rows.last().is_none_or(|last| last.line != line) {
            rows.push(TableRow { line, cells: Vec::new() });
        }
        if rows.len() > MOST_ROWS + 1 || column >= MOST_COLUMNS {
            return Err(TableError::TooLarge);
        }
        if let Some(last) = rows.last_mut() {
            last.cells.resize(column.max(last.cells.len()), Cell::Empty);
            last.cells.push(value);
        }
    }
    Ok(rows)
}

fn value(cell: &DataRef<'_>) -> Cell {
    let text = |text: &str| match text.trim() {
        "" => Cell::Empty,
        filled => Cell::Text(filled.to_owned()),
    };
    match cell {
        DataRef::Empty => Cell::Empty,
        DataRef::String(words) | DataRef::DateTimeIso(words) | DataRef::DurationIso(words) => {
            text(words)
        }
        DataRef::SharedString(words) => text(words),
        // Whole numbers beyond the exact range of a double are no counts that anyone keeps.
        DataRef::Int(number) => text(&number.to_string()),
        DataRef::Float(number) => Cell::Number(*number),
        DataRef::Bool(flag) => Cell::Flag(*flag),
        DataRef::DateTime(moment) => self::moment(*moment),
        DataRef::Error(fault) => Cell::Fault(fault.to_string()),
    }
}

/// A serial number with the format of a date, as the date that the spreadsheet shows.
fn moment(serial: ExcelDateTime) -> Cell {
    let (year, month, day, hour, minute, second, _) = serial.to_ymd_hms_milli();
    let small = |number: u8| i8::try_from(number).unwrap_or(i8::MAX);
    let year = i16::try_from(year).unwrap_or(i16::MAX);
    let moment =
        DateTime::new(year, small(month), small(day), small(hour), small(minute), small(second), 0);
    // The one day that spreadsheets count and no calendar has: 29 February 1900.
    moment.map_or_else(|_| Cell::Fault(format!("serial {}", serial.as_f64())), Cell::Moment)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Table {
        Table::read(text.as_bytes(), None).unwrap()
    }

    fn words(table: &Table) -> Vec<Vec<String>> {
        let row =
            |row: &TableRow| row.cells.iter().map(|c| c.words().unwrap_or_default()).collect();
        table.rows.iter().map(row).collect()
    }

    #[test]
    fn commas_semicolons_and_tabs_split_alike_with_and_without_a_mark_of_byte_order() {
        for split in [",", ";", "\t"] {
            for mark in ["", "\u{feff}"] {
                let text = format!("{mark}id{split}name\r\n w-1 {split}\"Wren{split} Birch\"\r\n");
                let table = read(&text);
                assert_eq!(table.header, ["id", "name"], "{text:?}");
                assert_eq!(words(&table), [["w-1", &format!("Wren{split} Birch")]], "{text:?}");
            }
        }
    }

    #[test]
    fn rows_without_anything_are_left_out_and_lines_keep_their_numbers() {
        for end in ["\n", "\r\n", "\r"] {
            let text = "\n\nid,name\n,\nw-1,Wren\n\n\"w\n2\",Tern\nw-3,Ash\n".replace('\n', end);
            let lines: Vec<usize> = read(&text).rows.iter().map(|row| row.line).collect();
            assert_eq!(lines, [5, 7, 9], "{end:?}");
        }
    }

    #[test]
    fn what_is_no_table_is_refused_by_name() {
        let refused = |bytes: &[u8]| Table::read(bytes, None).unwrap_err().to_string();
        assert!(refused(b"").contains("holds no table"));
        assert!(refused(b"id\nB\xe4r\n").contains("line 2 is not UTF-8"));
        assert!(refused(b"\xd0\xcf\x11\xe0rest").contains("old binary kind"));
        assert!(refused(b"PK\x03\x04rest").contains("workbook cannot be read"));
        let wide = vec!["x"; MOST_COLUMNS + 1].join(",");
        assert!(refused(wide.as_bytes()).contains("in parts"));
    }
}
