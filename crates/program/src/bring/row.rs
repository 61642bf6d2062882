//! Reading one row: every mistake in it is told, not the first alone.

use std::str::FromStr;

use jiff::Timestamp;
use jiff::civil::{Date, DateTime, Time};
use jiff::tz::TimeZone;
use serde::Serialize;

use super::columns::Columns;
use super::dates::{self, DateOrder};
use super::table::{Cell, TableRow};
use crate::check::is_of_our_time;
use crate::entry::Fact;

/// One thing that stops a row.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Refusal {
    /// The head of the column; the field where no column fills it.
    pub column: String,
    /// Why.
    pub why: String,
    /// What puts it right.
    pub remedy: String,
}

/// What a row says.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Draft {
    pub(super) fact: Fact,
    /// When it happened; none where the row does not say and does not have to.
    pub(super) when: Option<When>,
}

/// When something happened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct When {
    pub(super) day: Date,
    pub(super) at: Timestamp,
    /// Whether the time of day was told; otherwise `at` is the first instant of the day.
    pub(super) timed: bool,
}

/// What holds for every row of a table.
pub(super) struct Setting<'a> {
    pub(super) columns: &'a Columns,
    pub(super) dates: Option<DateOrder>,
    pub(super) zone: &'a TimeZone,
    pub(super) now: Timestamp,
}

/// One row as it is read.
pub(super) struct Row<'a> {
    setting: &'a Setting<'a>,
    row: &'a TableRow,
    pub(super) refused: Vec<Refusal>,
    /// Each field that was filled, as it was understood.
    pub(super) understood: Vec<(&'static str, String)>,
}

const YES: [&str; 4] = ["yes", "y", "true", "1"];
const NO: [&str; 4] = ["no", "n", "false", "0"];

impl<'a> Row<'a> {
    pub(super) fn new(setting: &'a Setting<'a>, row: &'a TableRow) -> Self {
        Self { setting, row, refused: Vec::new(), understood: Vec::new() }
    }

    /// Says what is wrong with a field.
    pub(super) fn refuse(
        &mut self,
        field: &str,
        why: impl Into<String>,
        remedy: impl Into<String>,
    ) {
        let place = self.setting.columns.place(field);
        let column = place.map_or_else(|| field.to_owned(), |place| place.head.clone());
        self.refused.push(Refusal { column, why: why.into(), remedy: remedy.into() });
    }

    /// Whether anything stands in a field.
    pub(super) fn is_filled(&self, field: &str) -> bool {
        self.cell(field) != Cell::Empty
    }

    /// The words in a field; none where it is empty.
    pub(super) fn text(&mut self, field: &'static str) -> Option<String> {
        let text = self.words(field)?;
        self.understood.push((field, text.clone()));
        Some(text)
    }

    /// The words in a field that must be filled.
    pub(super) fn needed(&mut self, field: &'static str) -> Option<String> {
        let text = self.text(field);
        if text.is_none() && !self.is_faulty(field) {
            self.refuse(field, "it is empty", "fill it in");
        }
        text
    }

    /// Yes or no, which must be told.
    pub(super) fn flag(&mut self, field: &'static str) -> Option<bool> {
        self.told(field, (&YES, &NO), "write yes or no")
    }

    /// Yes or no; none where the field is empty.
    pub(super) fn flag_if_told(&mut self, field: &'static str) -> Option<bool> {
        self.words(field)?;
        self.flag(field)
    }

    /// Pass or fail, or yes or no; it must be told. Only of a result: of anything else a failure
    /// may mean that the thing is there or that it is not.
    pub(super) fn outcome(&mut self, field: &'static str) -> Option<bool> {
        const PASS: [&str; 7] = ["pass", "passed", "p", "yes", "y", "true", "1"];
        const FAIL: [&str; 7] = ["fail", "failed", "f", "no", "n", "false", "0"];
        self.told(field, (&PASS, &FAIL), "write pass or fail")
    }

    fn told(
        &mut self,
        field: &'static str,
        (yes, no): (&[&str], &[&str]),
        remedy: &str,
    ) -> Option<bool> {
        let Some(text) = self.words(field) else {
            if !self.is_faulty(field) {
                self.refuse(field, "it is not told", remedy);
            }
            return None;
        };
        let word = text.to_lowercase();
        let flag = yes.contains(&word.as_str());
        if !flag && !no.contains(&word.as_str()) {
            self.refuse(field, format!("`{text}` says neither the one nor the other"), remedy);
            return None;
        }
        self.understood.push((field, if flag { "yes" } else { "no" }.to_owned()));
        Some(flag)
    }

    /// One of few words, each with what it stands for; the first of each is its name.
    pub(super) fn choice<T: Clone>(
        &mut self,
        field: &'static str,
        choices: &[(&[&str], T)],
    ) -> Option<T> {
        let text = self.words(field);
        let Some(text) = text else {
            return self.needed(field).and(None);
        };
        self.choose(field, &text, choices)
    }

    /// The same for words that stand in a field among others.
    pub(super) fn choose<T: Clone>(
        &mut self,
        field: &'static str,
        text: &str,
        choices: &[(&[&str], T)],
    ) -> Option<T> {
        let plain = |text: &str| text.to_lowercase().replace(['-', '_', ',', '.'], " ");
        let plain = |text: &str| plain(text).split_whitespace().collect::<Vec<_>>().join(" ");
        let asked = plain(text);
        let found = choices.iter().find(|(words, _)| words.iter().any(|word| plain(word) == asked));
        if let Some((words, value)) = found {
            self.understood.push((field, words.first().copied().unwrap_or_default().to_owned()));
            return Some(value.clone());
        }
        let names: Vec<&str> =
            choices.iter().filter_map(|(words, _)| words.first().copied()).collect();
        self.refuse(
            field,
            format!("`{text}` is none of the words known here"),
            format!("write one of: {}", names.join("; ")),
        );
        None
    }

    /// Something that reads itself; none where the field is empty. A number without a unit takes
    /// the one in brackets behind the head of its column.
    pub(super) fn read<T>(&mut self, field: &'static str) -> Option<T>
    where
        T: FromStr,
        T::Err: ToString,
    {
        let mut text = self.words(field)?;
        let unit = self.setting.columns.place(field).and_then(|place| place.unit.as_deref());
        if let Some(unit) = unit.filter(|_| text.parse::<f64>().is_ok()) {
            text = format!("{text} {unit}");
        }
        match text.parse() {
            Ok(value) => {
                self.understood.push((field, text));
                Some(value)
            }
            Err(_) if holds_comma(&text) => {
                let why = format!(
                    "`{text}` holds a comma, which splits thousands for some and begins the decimals for others"
                );
                self.refuse(field, why, "write the number without it: 1200, or 1.2");
                None
            }
            Err(error) => {
                let error: T::Err = error;
                let said = error.to_string();
                let (why, remedy) = said.split_once('\n').unwrap_or((&said, "write it anew"));
                self.refuse(field, why, remedy.trim());
                None
            }
        }
    }

    /// A number without a unit; none where the field is empty.
    pub(super) fn number<T: FromStr>(&mut self, field: &'static str) -> Option<T> {
        self.read::<Number<T>>(field).map(|number| number.0)
    }

    /// The same for a field that must be filled.
    pub(super) fn number_needed<T: FromStr>(&mut self, field: &'static str) -> Option<T> {
        self.read_needed::<Number<T>>(field).map(|number| number.0)
    }

    /// Something that reads itself, for a field that must be filled.
    pub(super) fn read_needed<T>(&mut self, field: &'static str) -> Option<T>
    where
        T: FromStr,
        T::Err: ToString,
    {
        if self.words(field).is_none() {
            return self.needed(field).and(None);
        }
        self.read(field)
    }

    /// A day; none where the field is empty.
    pub(super) fn day(&mut self, field: &'static str) -> Option<Date> {
        let (day, _) = self.day_and_time(field)?;
        self.understood.push((field, day.to_string()));
        Some(day)
    }

    /// A month by its first day: `2024-05`, or a day in it. It must be told.
    pub(super) fn month(&mut self, field: &'static str) -> Option<Date> {
        let written = self.words(field);
        if written.is_none() {
            return self.needed(field).and(None);
        }
        if let Some(month) = written.and_then(|text| dates::month(&text)) {
            self.understood.push((field, month.to_string()));
            return Some(month);
        }
        let (day, _) = self.day_and_time(field)?;
        let first = day.first_of_month();
        self.understood.push((field, first.to_string()));
        Some(first)
    }

    /// When it happened, which must be told: the day, with its time behind it or in the field
    /// `time`. Refuses what lies ahead, and times that the clock of the site shows twice or never.
    pub(super) fn when(&mut self, field: &'static str) -> Option<When> {
        if self.words(field).is_none() {
            return self.needed(field).and(None);
        }
        self.when_if_told(field)
    }

    /// The same where it need not be told.
    pub(super) fn when_if_told(&mut self, field: &'static str) -> Option<When> {
        let (day, beside) = self.day_and_time(field)?;
        let time = self.time_of_day()?.or(beside);
        let moment = day.to_datetime(time.unwrap_or(Time::midnight()));
        let zone = self.setting.zone;
        let at = match time {
            // Where the clock skips midnight, the day begins an hour later.
            None => zone.to_timestamp(moment).ok(),
            Some(_) => zone.to_ambiguous_timestamp(moment).unambiguous().ok(),
        };
        let Some(at) = at else {
            self.refuse(
                field,
                format!("the clock of the site shows {moment} twice or never on that day"),
                "write another time, near it",
            );
            return None;
        };
        if self.setting.now < at {
            self.refuse(field, format!("{moment} lies ahead"), "bring what has happened");
            return None;
        }
        let shown = time.map_or_else(|| day.to_string(), |_| moment.to_string());
        self.understood.push((field, shown));
        Some(When { day, at, timed: time.is_some() })
    }

    /// The words of several things in one field, split by semicolons or commas.
    pub(super) fn list(&mut self, field: &'static str) -> Vec<String> {
        let text = self.words(field).unwrap_or_default();
        let parts = text.split([';', ',', '/', '|']).map(str::trim);
        parts.filter(|part| !part.is_empty()).map(str::to_owned).collect()
    }

    /// The time in the field `time`, which only some kinds have; none outside where it is wrong.
    fn time_of_day(&mut self) -> Option<Option<Time>> {
        const TIME: &str = "time";
        let time = match self.cell(TIME) {
            Cell::Empty => return Some(None),
            Cell::Moment(moment) => Ok(moment.time()),
            other => dates::time(&other.words().unwrap_or_default()),
        };
        match time {
            Ok(time) => Some(Some(time)),
            Err((why, remedy)) => {
                self.refuse(TIME, why, remedy);
                None
            }
        }
    }

    fn day_and_time(&mut self, field: &'static str) -> Option<(Date, Option<Time>)> {
        let read = match self.cell(field) {
            Cell::Empty => return None,
            Cell::Moment(moment) => Ok(of_moment(moment)),
            Cell::Number(number) => Err((
                format!("{number} is a bare number, and which day it counts to is not told"),
                "give the column the format of a date, or write 2026-03-04".to_owned(),
            )),
            other => dates::day(&other.words().unwrap_or_default(), self.setting.dates),
        };
        match read {
            Ok((day, _)) if !is_of_our_time(day) => {
                self.refuse(field, format!("{day} is no day of our time"), "look at the year");
                None
            }
            Ok(read) => Some(read),
            Err((why, remedy)) => {
                self.refuse(field, why, remedy);
                None
            }
        }
    }

    fn cell(&self, field: &str) -> Cell {
        if let Some(value) = self.setting.columns.for_every_row(field) {
            return Cell::Text(value.to_owned());
        }
        let place = self.setting.columns.place(field);
        let cell = place.and_then(|place| self.row.cells.get(place.at));
        cell.cloned().unwrap_or(Cell::Empty)
    }

    fn words(&mut self, field: &str) -> Option<String> {
        match self.cell(field) {
            Cell::Fault(fault) => {
                if !self.is_faulty(field) {
                    self.refuse(field, format!("its formula came to {fault}"), FAULT_REMEDY);
                }
                None
            }
            cell => cell.words(),
        }
    }

    /// Whether a formula without a value was told for this field already.
    fn is_faulty(&self, field: &str) -> bool {
        let head = self.setting.columns.place(field).map(|place| place.head.as_str());
        self.refused
            .iter()
            .any(|told| Some(told.column.as_str()) == head && told.remedy == FAULT_REMEDY)
    }
}

/// A number whose refusal says what to write.
struct Number<T>(T);

impl<T: FromStr> FromStr for Number<T> {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let refused = |_| {
            format!("`{text}` is no number that can stand here\nwrite digits alone, such as 12")
        };
        text.parse().map(Self).map_err(refused)
    }
}

/// Whether a comma stands between digits.
fn holds_comma(text: &str) -> bool {
    let digit = |place: Option<char>| place.is_some_and(|sign| sign.is_ascii_digit());
    text.split_once(',')
        .is_some_and(|(before, after)| digit(before.chars().last()) && digit(after.chars().next()))
}

const FAULT_REMEDY: &str = "put the value itself into the cell";

fn of_moment(moment: DateTime) -> (Date, Option<Time>) {
    let time = Some(moment.time()).filter(|time| *time != Time::midnight());
    (moment.date(), time)
}
