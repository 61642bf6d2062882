//! A fit test as it is written down: TOML, or a table of its exercises (CSV).

use quantity::Percent;
use rulebook::fit_test::{
    Conduct, Counts, FitError, Mask, Measured, Protocol, QualitativeAnswer, QualitativeTest,
    QuantitativeAnswer, QuantitativeTest, Reading, Response, TestKind, judge, measure, protocol,
};
use rulebook::wearer::FitGave;
use rulebook::{Finding, Severity};
use serde::{Deserialize, Serialize};
use toml::Spanned;

use crate::case::{CaseError, words_of_table};
use crate::entry::{FitExercise, FitRecord};

/// A fit test, ready to be judged, with the place of each exercise in what was written.
#[derive(Debug, Clone, PartialEq)]
pub struct FitSheet {
    test: Test,
    conduct: Conduct,
    lines: Vec<(u8, usize)>,
}

/// The two kinds of test.
#[derive(Debug, Clone, PartialEq)]
enum Test {
    Quantitative(QuantitativeTest),
    Qualitative(QualitativeTest),
}

/// What a written fit test came to.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum FitAnswer {
    /// By a measured fit factor.
    Quantitative(QuantitativeAnswer),
    /// By taste, smell or irritation.
    Qualitative(QualitativeAnswer),
}

/// What stands outside a table of exercises: given beside it, or in columns of the same names.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Beside {
    /// Id of the protocol.
    pub protocol: Option<String>,
    /// The facepiece.
    pub facepiece: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Sheet {
    protocol: Spanned<String>,
    facepiece: Spanned<Mask>,
    #[serde(default)]
    ambient_before: Option<f64>,
    #[serde(default)]
    ambient_after: Option<f64>,
    #[serde(default)]
    screening_passed: Option<bool>,
    #[serde(default)]
    agent_proved: Option<bool>,
    #[serde(default)]
    adjusted: Option<bool>,
    #[serde(default)]
    comfortable: Option<bool>,
    #[serde(default)]
    exercise: Vec<Spanned<ExercisePart>>,
}

/// One exercise as written.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
struct ExercisePart {
    #[serde(default)]
    number: Option<u8>,
    #[serde(default)]
    name: Option<String>,
    #[serde(default)]
    ambient_before: Option<f64>,
    #[serde(default)]
    in_mask: Option<f64>,
    #[serde(default)]
    ambient_after: Option<f64>,
    #[serde(default)]
    factor: Option<f64>,
    #[serde(default)]
    peak: Option<Percent>,
    #[serde(default)]
    noticed: Option<bool>,
}

/// The exercises, each with its line.
type Lines = Vec<(usize, ExercisePart)>;

/// What holds for the whole test.
struct Whole {
    protocol: &'static Protocol,
    mask: Mask,
    ambient: (Option<f64>, Option<f64>),
    screening_passed: Option<bool>,
    agent_proved: Option<bool>,
    conduct: Conduct,
}

impl FitAnswer {
    /// What it gave.
    #[must_use]
    pub fn gave(&self) -> FitGave {
        match self {
            Self::Quantitative(answer) => {
                answer.overall_fit_factor.map_or(FitGave::NoFactor, FitGave::Factor)
            }
            Self::Qualitative(_) => FitGave::PassOrFail,
        }
    }

    /// Whether it passed.
    #[must_use]
    pub const fn passed(&self) -> bool {
        match self {
            Self::Quantitative(answer) => answer.passed,
            Self::Qualitative(answer) => answer.passed,
        }
    }

    /// The exercises that are missing.
    #[must_use]
    pub fn missing(&self) -> &[String] {
        match self {
            Self::Quantitative(answer) => &answer.missing,
            Self::Qualitative(answer) => &answer.missing,
        }
    }

    /// What was found.
    #[must_use]
    pub fn findings(&self) -> &[Finding] {
        match self {
            Self::Quantitative(answer) => &answer.findings,
            Self::Qualitative(answer) => &answer.findings,
        }
    }

    /// How the air outside moved, where it was not steady.
    pub(crate) fn unsteady(&self) -> String {
        match self {
            Self::Quantitative(answer) => answer.unsteady(),
            Self::Qualitative(_) => String::new(),
        }
    }

    /// The same with what else was found of the test.
    fn with(mut self, found: Vec<Finding>) -> Self {
        let (findings, passed) = match &mut self {
            Self::Quantitative(answer) => (&mut answer.findings, &mut answer.passed),
            Self::Qualitative(answer) => (&mut answer.findings, &mut answer.passed),
        };
        *passed &= found.iter().all(|finding| finding.severity < Severity::Stop);
        findings.extend(found);
        self
    }
}

impl FitSheet {
    /// Reads a fit test from TOML: `protocol`, `facepiece`, and an `[[exercise]]` for each exercise
    /// with `number` (or `name`) and either `ambient_before`, `in_mask`, `ambient_after`, or
    /// `factor`, or `noticed`; the counts outside may stand once for the whole test.
    ///
    /// Refuses, with line and key, what cannot be read.
    pub fn read_toml(text: &str) -> Result<Self, CaseError> {
        let sheet: Sheet = toml::from_str(text).map_err(|e| CaseError::from_toml(&e, text))?;
        let refused = |e: FitError| {
            CaseError::at(text, sheet.protocol.span().start, "protocol", e.to_string())
        };
        let whole = Whole {
            protocol: protocol(sheet.protocol.get_ref()).map_err(refused)?,
            mask: *sheet.facepiece.get_ref(),
            ambient: (sheet.ambient_before, sheet.ambient_after),
            screening_passed: sheet.screening_passed,
            agent_proved: sheet.agent_proved,
            conduct: Conduct { adjusted: sheet.adjusted, comfortable: sheet.comfortable },
        };
        let lines = sheet.exercise.into_iter().map(|part| {
            let line = CaseError::at(text, part.span().start, "", String::new()).line;
            (line, part.into_inner())
        });
        Self::build(&whole, lines.collect())
    }

    /// Reads a fit test from a table (CSV with a header line): a column `exercise` with number or
    /// name, and `ambient_before`, `in_mask`, `ambient_after`, or `factor`, or `noticed` (yes or
    /// no); `peak` where it was watched. A cell that is empty or `-` was not measured. `protocol` and
    /// `facepiece` stand beside the table or in columns; `screening_passed`, `agent_proved`, `adjusted`
    /// and `comfortable` in columns.
    ///
    /// Refuses, with line and column, what cannot be read.
    pub fn read_csv(text: &str, beside: &Beside) -> Result<Self, CaseError> {
        let table = Table::read(text)?;
        let id = table.once("protocol", beside.protocol.as_deref())?;
        let word = table.once("facepiece", beside.facepiece.as_deref())?;
        let id = id.ok_or_else(|| table.lacks("protocol", "such as QNFT-CNC"))?;
        let word = word.ok_or_else(|| table.lacks("facepiece", &Mask::words()))?;
        let unknown = || {
            let message = format!("`{word}` is no facepiece\n  write one of: {}", Mask::words());
            table.refusal(0, "facepiece", message)
        };
        let flag = |name| table.once(name, None)?.map(|cell| table.yes(0, name, &cell)).transpose();
        let whole = Whole {
            protocol: protocol(&id).map_err(|e| table.refusal(0, "protocol", e.to_string()))?,
            mask: Mask::read(&word).ok_or_else(unknown)?,
            ambient: (None, None),
            screening_passed: flag("screening_passed")?,
            agent_proved: flag("agent_proved")?,
            conduct: Conduct { adjusted: flag("adjusted")?, comfortable: flag("comfortable")? },
        };
        let lines = (0..table.rows.len()).map(|row| Ok((table.line(row), table.part(row)?)));
        Self::build(&whole, lines.collect::<Result<_, CaseError>>()?)
    }

    /// A fit test as an entry keeps it; an exercise stands at the line of its place.
    ///
    /// Refuses an unknown protocol and what the protocol does not ask for.
    pub fn of_record(record: &FitRecord) -> Result<Self, CaseError> {
        let whole = Whole {
            protocol: protocol(&record.protocol)
                .map_err(|e| refusal(1, "protocol", e.to_string()))?,
            mask: record.facepiece,
            ambient: (None, None),
            screening_passed: record.screening_passed,
            agent_proved: record.agent_proved,
            conduct: record.conduct(),
        };
        let part = |done: &FitExercise| ExercisePart {
            number: Some(done.number),
            name: None,
            ambient_before: done.ambient_before,
            in_mask: done.in_mask,
            ambient_after: done.ambient_after,
            factor: done.factor,
            peak: done.peak,
            noticed: done.noticed,
        };
        let lines = record.exercises.iter().map(part).enumerate();
        Self::build(&whole, lines.map(|(place, part)| (place + 1, part)).collect())
    }

    /// The answer; refuses what no test can give, at its line.
    pub fn judge(&self) -> Result<FitAnswer, CaseError> {
        let answer = match &self.test {
            Test::Quantitative(test) => measure(test).map(FitAnswer::Quantitative),
            Test::Qualitative(test) => judge(test).map(FitAnswer::Qualitative),
        };
        answer.map(|answer| answer.with(self.conduct.found())).map_err(|error| {
            let number = match error {
                FitError::UnknownExercise { exercise, .. }
                | FitError::ExerciseTwice { exercise }
                | FitError::ImpossibleCount { exercise, .. }
                | FitError::FactorBelowOne { exercise, .. }
                | FitError::BeyondResolution { exercise, .. } => Some(exercise),
                FitError::UnknownProtocol { .. } | FitError::WrongKind { .. } => None,
            };
            // The last line of an exercise: where it stands twice, the second is the wrong one.
            let line = self.lines.iter().rev().find(|(known, _)| Some(*known) == number);
            refusal(line.map_or(1, |(_, line)| *line), "exercise", error.to_string())
        })
    }

    fn build(whole: &Whole, parts: Lines) -> Result<Self, CaseError> {
        let mut numbered: Vec<(u8, usize, ExercisePart)> = Vec::new();
        for (line, part) in parts {
            let taken: Vec<u8> = numbered.iter().map(|(number, ..)| *number).collect();
            let number = number(whole.protocol, &part, &taken);
            numbered.push((number.map_err(|m| refusal(line, "exercise", m))?, line, part));
        }
        let lines = numbered.iter().map(|(number, line, _)| (*number, *line)).collect();
        let test = match whole.protocol.kind {
            TestKind::Quantitative => Test::Quantitative(quantitative(whole, &numbered)?),
            TestKind::Qualitative => Test::Qualitative(qualitative(whole, &numbered)?),
        };
        Ok(Self { test, conduct: whole.conduct, lines })
    }
}

/// The number of an exercise written by number or by name; of two with one name the first not taken.
fn number(protocol: &Protocol, part: &ExercisePart, taken: &[u8]) -> Result<u8, String> {
    match (part.number, &part.name) {
        (Some(number), _) => Ok(number),
        (None, Some(name)) => {
            let same = protocol.exercises.iter().filter(|known| known.name.starts_with(name));
            let free = same.map(|known| known.number).find(|number| !taken.contains(number));
            free.ok_or_else(|| {
                let names: Vec<&str> = protocol.exercises.iter().map(|e| e.name.as_str()).collect();
                let (id, names) = (&protocol.id, names.join("; "));
                format!("`{id}` has no exercise `{name}` left\n  its exercises are: {names}")
            })
        }
        (None, None) => Err("give the number or the name of the exercise".to_owned()),
    }
}

type Numbered<'a> = &'a [(u8, usize, ExercisePart)];

fn quantitative(whole: &Whole, parts: Numbered<'_>) -> Result<QuantitativeTest, CaseError> {
    let exercises = parts.iter().map(|(exercise, line, part)| {
        let refuse = |key: &str, message: &str| Err(refusal(*line, key, message.to_owned()));
        if part.noticed.is_some() {
            return refuse("noticed", "this protocol measures\n  give counts or a factor");
        }
        let before = part.ambient_before.or(whole.ambient.0);
        let after = part.ambient_after.or(whole.ambient.1);
        let reading = match (part.factor, before, part.in_mask, after) {
            (Some(_), _, Some(_), _) => {
                return refuse("factor", "give either counts or a factor, not both");
            }
            (Some(factor), ..) => Reading::Factor(factor),
            (None, Some(ambient_before), Some(in_mask), Some(ambient_after)) => {
                Reading::Counts(Counts { ambient_before, in_mask, ambient_after })
            }
            (None, None, Some(_), _) => return refuse("ambient_before", LACKS_OUTSIDE),
            (None, Some(_), Some(_), None) => return refuse("ambient_after", LACKS_OUTSIDE),
            (None, _, None, _) => Reading::NotMeasured,
        };
        Ok(Measured { exercise: *exercise, reading, peak: part.peak })
    });
    let exercises = exercises.collect::<Result<_, _>>()?;
    Ok(QuantitativeTest { protocol: whole.protocol, mask: whole.mask, exercises })
}

const LACKS_OUTSIDE: &str =
    "the count outside is missing\n  give it for the exercise, or once for the whole test";

fn qualitative(whole: &Whole, parts: Numbered<'_>) -> Result<QualitativeTest, CaseError> {
    let responses = parts.iter().map(|(exercise, line, part)| {
        let measured = part.factor.or(part.in_mask).is_some();
        match part.noticed {
            Some(noticed) if !measured => Ok(Response { exercise: *exercise, noticed }),
            _ => {
                let message = "this protocol asks the wearer\n  say whether the agent was noticed, and give no counts";
                Err(refusal(*line, "noticed", message.to_owned()))
            }
        }
    });
    Ok(QualitativeTest {
        protocol: whole.protocol,
        mask: whole.mask,
        screening_passed: whole.screening_passed,
        agent_proved: whole.agent_proved,
        responses: responses.collect::<Result<_, _>>()?,
    })
}

fn refusal(line: usize, key: &str, message: String) -> CaseError {
    CaseError { line, key: key.to_owned(), message }
}

/// Columns that a table may have.
const COLUMNS: [&str; 13] = [
    "exercise",
    "ambient_before",
    "in_mask",
    "ambient_after",
    "factor",
    "peak",
    "noticed",
    "protocol",
    "facepiece",
    "screening_passed",
    "agent_proved",
    "adjusted",
    "comfortable",
];

/// A table of exercises.
struct Table {
    headers: Vec<String>,
    rows: Vec<(usize, Vec<String>)>,
}

impl Table {
    fn read(text: &str) -> Result<Self, CaseError> {
        let text = text.trim_start_matches('\u{feff}');
        let mut reader =
            csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(text.as_bytes());
        let broken = |error: csv::Error| {
            let line = error.position().map_or(1, csv::Position::line);
            let message = words_of_table(&error);
            refusal(usize::try_from(line).unwrap_or(1), "table", message)
        };
        let headers: Vec<String> =
            reader.headers().map_err(broken)?.iter().map(str::to_ascii_lowercase).collect();
        if let Some(odd) = headers.iter().find(|header| !COLUMNS.contains(&header.as_str())) {
            let message =
                format!("no such column is read\n  name columns of: {}", COLUMNS.join(", "));
            return Err(refusal(1, odd, message));
        }
        if !headers.iter().any(|header| header == "exercise") {
            return Err(refusal(
                1,
                "exercise",
                "the column with the exercises is missing".to_owned(),
            ));
        }
        let mut rows = Vec::new();
        for record in reader.records() {
            let record = record.map_err(broken)?;
            let line = record.position().map_or(1, csv::Position::line);
            let cells = record.iter().map(str::to_owned).collect();
            rows.push((usize::try_from(line).unwrap_or(1), cells));
        }
        Ok(Self { headers, rows })
    }

    fn line(&self, row: usize) -> usize {
        self.rows.get(row).map_or(1, |(line, _)| *line)
    }

    fn refusal(&self, row: usize, key: &str, message: String) -> CaseError {
        refusal(self.line(row), key, message)
    }

    /// A cell with something in it.
    fn cell(&self, row: usize, name: &str) -> Option<&str> {
        let column = self.headers.iter().position(|header| header == name)?;
        let cell = self.rows.get(row)?.1.get(column)?.as_str();
        (!cell.is_empty() && cell != "-").then_some(cell)
    }

    /// What holds for the whole test: given beside the table, or the same in every row that has it.
    fn once(&self, name: &str, beside: Option<&str>) -> Result<Option<String>, CaseError> {
        let mut found = beside.map(str::to_owned);
        for row in 0..self.rows.len() {
            let Some(cell) = self.cell(row, name) else { continue };
            match &found {
                Some(known) if known != cell => {
                    let message =
                        format!("`{cell}` here and `{known}` before\n  one table is one test");
                    return Err(self.refusal(row, name, message));
                }
                _ => found = Some(cell.to_owned()),
            }
        }
        Ok(found)
    }

    fn lacks(&self, name: &str, example: &str) -> CaseError {
        let message =
            format!("it is not given\n  name it beside the file or in a column: {example}");
        refusal(1, name, message)
    }

    fn part(&self, row: usize) -> Result<ExercisePart, CaseError> {
        let number = |name: &str| {
            let read = |cell: &str| {
                let message = || format!("`{cell}` is no number");
                cell.parse::<f64>().map_err(|_| self.refusal(row, name, message()))
            };
            self.cell(row, name).map(read).transpose()
        };
        let exercise = self.cell(row, "exercise");
        let read = |cell: &str| {
            cell.parse::<Percent>().map_err(|e| self.refusal(row, "peak", e.to_string()))
        };
        let noticed = self.cell(row, "noticed");
        Ok(ExercisePart {
            number: exercise.and_then(|cell| cell.parse().ok()),
            name: exercise.map(str::to_owned),
            ambient_before: number("ambient_before")?,
            in_mask: number("in_mask")?,
            ambient_after: number("ambient_after")?,
            factor: number("factor")?,
            peak: self.cell(row, "peak").map(read).transpose()?,
            noticed: noticed.map(|cell| self.yes(row, "noticed", cell)).transpose()?,
        })
    }

    fn yes(&self, row: usize, name: &str, cell: &str) -> Result<bool, CaseError> {
        match cell.to_ascii_lowercase().as_str() {
            "yes" | "true" | "1" => Ok(true),
            "no" | "false" | "0" => Ok(false),
            _ => Err(self.refusal(row, name, format!("`{cell}` is neither yes nor no"))),
        }
    }
}
