//! Readings of an exposure group, typed or from a table.

use quantity::{Concentration, FibresPerCm3, MgPerM3, Ppm, QuantityError, WrittenUnit};
use serde::Serialize;

use crate::case::{CaseError, words_of_table};

/// One reading.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Reading {
    /// The level, or the level that it lies below.
    pub level: Concentration,
    /// Whether the level was detected; otherwise the true level lies somewhere below.
    pub detected: bool,
}

/// Readings of one group, all in one unit and greater than zero.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Readings {
    unit: Unit,
    readings: Vec<Reading>,
}

/// Why readings make no group.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ReadingsError {
    /// None at all.
    #[error("there are no readings\n  give at least one")]
    None,
    /// A reading of zero.
    #[error(
        "reading {number} is {level}, and no logarithm exists of zero\n  write what was not detected as less than its detection level, such as \"<0.5 ppm\""
    )]
    Zero {
        /// Its place, from 1.
        number: usize,
        /// What it says.
        level: Concentration,
    },
    /// Two kinds of unit.
    #[error(
        "reading {number} is {level} where the first is in {unit}\n  give all readings of a group in one unit"
    )]
    TwoUnits {
        /// Its place, from 1.
        number: usize,
        /// What it says.
        level: Concentration,
        /// The unit of the first.
        unit: &'static str,
    },
    /// A limit in another unit.
    #[error(
        "the limit of {limit} and the readings in {unit} cannot be compared\n  give the limit in {unit}"
    )]
    LimitUnit {
        /// The limit.
        limit: Concentration,
        /// The unit of the readings.
        unit: &'static str,
    },
    /// A limit of zero.
    #[error("a limit of {0} is no limit\n  give the limit with its unit")]
    NoLimit(Concentration),
    /// A spread that cannot be.
    #[error(
        "a geometric standard deviation of {0} is impossible: it is never below 1\n  check the figure"
    )]
    GsdBelowOne(f64),
    /// A summary of too few readings.
    #[error("a summary of {0} readings has no spread\n  give the number of readings, at least 2")]
    SummaryOfFew(u32),
    /// A geometric mean of zero.
    #[error("a geometric mean of {0} is impossible: it is above zero")]
    NoMean(Concentration),
}

/// The unit of a group: the one in which it was written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Unit {
    kind: UnitKind,
    written: Option<WrittenUnit>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum UnitKind {
    Ppm,
    MgPerM3,
    FibresPerCm3,
}

impl Unit {
    /// The base unit of the kind of `level`.
    pub(super) const fn of(level: Concentration) -> Self {
        let kind = match level {
            Concentration::Ppm(_) => UnitKind::Ppm,
            Concentration::Mass(_) => UnitKind::MgPerM3,
            Concentration::Fibres(_) => UnitKind::FibresPerCm3,
        };
        Self { kind, written: None }
    }

    /// The same kind in the unit in which it was written, where that is told.
    pub(super) const fn written(self, written: Option<WrittenUnit>) -> Self {
        Self { written, ..self }
    }

    /// Whether `level` can be held against what has this unit.
    pub(super) fn is_of(self, level: Concentration) -> bool {
        Self::of(level).kind == self.kind
    }

    pub(super) fn word(self) -> &'static str {
        self.written.map_or(
            match self.kind {
                UnitKind::Ppm => "ppm",
                UnitKind::MgPerM3 => "mg/m3",
                UnitKind::FibresPerCm3 => "f/cm3",
            },
            WrittenUnit::symbol,
        )
    }

    /// The number of `level`, which must be of this kind, in this unit.
    pub(super) fn number(self, level: Concentration) -> f64 {
        self.written.map_or(level.number(), |unit| unit.from_base(level.number()))
    }

    /// A number in this unit as a concentration.
    pub(super) fn level(self, number: f64) -> Result<Concentration, QuantityError> {
        let number = self.written.map_or(number, |unit| unit.to_base(number));
        Ok(match self.kind {
            UnitKind::Ppm => Concentration::Ppm(Ppm::from_ppm(number)?),
            UnitKind::MgPerM3 => Concentration::Mass(MgPerM3::from_mg_per_m3(number)?),
            UnitKind::FibresPerCm3 => Concentration::Fibres(FibresPerCm3::from_f_per_cm3(number)?),
        })
    }
}

impl Serialize for Unit {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.word())
    }
}

impl Readings {
    /// A group of readings; refuses none at all, a reading of zero, and two kinds of unit.
    pub fn new(readings: Vec<Reading>) -> Result<Self, ReadingsError> {
        let unit = Unit::of(readings.first().ok_or(ReadingsError::None)?.level);
        for (reading, number) in readings.iter().zip(1..) {
            let level = reading.level;
            if level.number() <= 0.0 {
                return Err(ReadingsError::Zero { number, level });
            }
            if !unit.is_of(level) {
                return Err(ReadingsError::TwoUnits { number, level, unit: unit.word() });
            }
        }
        Ok(Self { unit, readings })
    }

    /// The same group, answered in the unit in which `text` writes one of its levels.
    #[must_use]
    pub fn in_the_unit_of(self, text: &str) -> Self {
        let written = text.parse().ok().filter(|level| self.unit.is_of(*level));
        let written = written.and_then(|_: Concentration| Concentration::unit_in(text));
        Self { unit: self.unit.written(written), ..self }
    }

    /// Reads a table of readings (CSV with a header line); it is answered in the unit of the first.
    ///
    /// The column `concentration` holds "12 ppm", or "<0.5 ppm" for what was not detected. A number
    /// without its unit is read where a column `unit` gives it; a column `detected` (yes or no) may
    /// say what was detected. Other columns are left alone. Refuses, with line and column, what
    /// cannot be read.
    pub fn read(text: &str) -> Result<Self, CaseError> {
        let table = Table::read(text)?;
        let readings = table.rows.iter().map(|row| table.reading(row));
        let readings = readings.collect::<Result<Vec<_>, _>>()?;
        let first = table.rows.first().map(Row::written).unwrap_or_default();
        let readings = Self::new(readings).map(|readings| readings.in_the_unit_of(&first));
        readings.map_err(|error| {
            let row = match &error {
                ReadingsError::Zero { number, .. } | ReadingsError::TwoUnits { number, .. } => {
                    table.rows.get(number - 1)
                }
                _ => None,
            };
            refusal(row.map_or(1, |row| row.line), CONCENTRATION, error.to_string())
        })
    }

    /// The readings.
    #[must_use]
    pub fn all(&self) -> &[Reading] {
        &self.readings
    }

    pub(super) const fn unit(&self) -> Unit {
        self.unit
    }

    /// The numbers of those detected, or of the levels that the others lie below.
    pub(super) fn numbers(&self, detected: bool) -> Vec<f64> {
        let wanted = self.readings.iter().filter(|reading| reading.detected == detected);
        wanted.map(|reading| self.unit.number(reading.level)).collect()
    }
}

const CONCENTRATION: &str = "concentration";

/// A table split into the columns that are used.
struct Table {
    rows: Vec<Row>,
}

struct Row {
    line: usize,
    concentration: String,
    unit: Option<String>,
    detected: Option<String>,
}

impl Row {
    /// The level with its unit, without the sign of one below detection.
    fn written(&self) -> String {
        let level = self.concentration.strip_prefix('<').unwrap_or(&self.concentration).trim();
        match &self.unit {
            Some(unit) if level.parse::<f64>().is_ok() => format!("{level} {unit}"),
            _ => level.to_owned(),
        }
    }
}

fn refusal(line: usize, key: &str, message: String) -> CaseError {
    CaseError { line, key: key.to_owned(), message }
}

impl Table {
    fn read(text: &str) -> Result<Self, CaseError> {
        let text = text.trim_start_matches('\u{feff}');
        let mut reader =
            csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(text.as_bytes());
        let headers = reader.headers().map_err(|e| whole(&e))?.clone();
        let place = |name: &str| headers.iter().position(|h| h.eq_ignore_ascii_case(name));
        for name in [CONCENTRATION, "unit", "detected"] {
            if headers.iter().filter(|header| header.eq_ignore_ascii_case(name)).nth(1).is_some() {
                let message = "two columns have this name\n  leave one of them, or put their readings below each other";
                return Err(refusal(1, name, message.to_owned()));
            }
        }
        let Some(concentration) = place(CONCENTRATION) else {
            let message = format!(
                "the header has no such column\n  name a column `{CONCENTRATION}` with readings such as \"12 ppm\" or \"<0.5 ppm\""
            );
            return Err(refusal(1, CONCENTRATION, message));
        };
        let (unit, detected) = (place("unit"), place("detected"));
        let mut rows = Vec::new();
        for record in reader.records() {
            let record = record.map_err(|e| whole(&e))?;
            let line = record.position().map_or(1, csv::Position::line);
            if record.iter().any(|cell| cell.contains(['\n', '\r'])) {
                let message = "a quote that begins here ends on a later line: the rows between would be lost\n  close the quote, or leave it out";
                return Err(refusal(
                    usize::try_from(line).unwrap_or(1),
                    "table",
                    message.to_owned(),
                ));
            }
            let cell = |at: Option<usize>| {
                let cell = at.and_then(|at| record.get(at)).filter(|cell| !cell.is_empty());
                cell.map(str::to_owned)
            };
            rows.push(Row {
                line: usize::try_from(line).unwrap_or(1),
                concentration: cell(Some(concentration)).unwrap_or_default(),
                unit: cell(unit),
                detected: cell(detected),
            });
        }
        Ok(Self { rows })
    }

    fn reading(&self, row: &Row) -> Result<Reading, CaseError> {
        let written = row.concentration.as_str();
        let below = written.starts_with('<');
        let level = row
            .written()
            .parse()
            .map_err(|e: QuantityError| refusal(row.line, CONCENTRATION, e.to_string()))?;
        let detected = match row.detected.as_deref().map(str::to_ascii_lowercase).as_deref() {
            None => !below,
            Some("yes" | "true" | "1") if below => {
                let message = format!(
                    "`{written}` lies below detection and is said to be detected\n  write one or the other"
                );
                return Err(refusal(row.line, "detected", message));
            }
            Some("yes" | "true" | "1") => true,
            Some("no" | "false" | "0") => false,
            Some(other) => {
                let message = format!("`{other}` is neither yes nor no");
                return Err(refusal(row.line, "detected", message));
            }
        };
        Ok(Reading { level, detected })
    }
}

fn whole(error: &csv::Error) -> CaseError {
    let line = error.position().map_or(1, csv::Position::line);
    let message = words_of_table(error);
    refusal(usize::try_from(line).unwrap_or(1), "table", message)
}
