use std::sync::OnceLock;

use super::Every;
use crate::Authority;
use crate::table::{Row, TableError, loud, read_table};

/// How often a rule asks for something: a row of `data/intervals.csv`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    /// The rule.
    pub rule: String,
    /// What it asks for.
    pub asks: String,
    /// How often.
    pub every: Every,
    /// Whether a published paragraph names this length or asks for more. Where none does, it is the
    /// habit of the trade, and a site sets its own.
    pub binding: bool,
    /// Paragraph.
    pub citation: String,
    /// Whether that paragraph was read.
    pub authority: Authority,
}

/// Why a site may not ask this often.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PolicyError {
    /// No rule of this name asks for anything by the calendar.
    #[error("no rule `{rule}` asks for something by the calendar\n  it is one of {known}")]
    Unknown {
        /// The name that was given.
        rule: String,
        /// The names that there are.
        known: String,
    },
    /// Less often than the rule asks.
    #[error(
        "`{rule}`: {wished} is laxer than the {asked} that {citation} asks for\n  a site may ask for more, never for less"
    )]
    Laxer {
        /// The rule.
        rule: String,
        /// What the site wished.
        wished: Every,
        /// What the rule asks.
        asked: Every,
        /// Its paragraph.
        citation: String,
    },
}

/// Everything that is asked for by the calendar.
#[must_use]
pub fn intervals() -> &'static [Asked] {
    static ROWS: OnceLock<Vec<Asked>> = OnceLock::new();
    ROWS.get_or_init(|| {
        let text = include_str!("../../../../data/intervals.csv");
        loud(read_table("intervals.csv", text, read))
    })
}

/// How often the rule with this id asks for something; none where it does not by the calendar.
#[must_use]
pub fn asked(rule: &str) -> Option<&'static Asked> {
    intervals().iter().find(|asked| asked.rule == rule)
}

/// What a site that wishes `wished` is held to. Refuses what is laxer than a published paragraph.
pub fn adopt(rule: &str, wished: Every) -> Result<Every, PolicyError> {
    let Some(asked) = asked(rule) else {
        let known: Vec<String> = intervals().iter().map(|a| format!("`{}`", a.rule)).collect();
        return Err(PolicyError::Unknown { rule: rule.to_owned(), known: known.join(", ") });
    };
    if asked.binding && !wished.is_no_laxer_than(asked.every) {
        return Err(PolicyError::Laxer {
            rule: asked.rule.clone(),
            wished,
            asked: asked.every,
            citation: asked.citation.clone(),
        });
    }
    Ok(wished)
}

fn read(row: &Row<'_>) -> Result<Asked, TableError> {
    let number = row.required("number")?;
    let number = number
        .parse()
        .map_err(|_| row.broken("number", &format!("`{number}` is no count of days or months")))?;
    let every = match row.text("unit")? {
        "days" => Every::Days(number),
        "months" => Every::Months(number),
        other => return Err(row.broken("unit", &format!("`{other}` is neither days nor months"))),
    };
    let authority = match row.text("basis")? {
        "read" => Authority::Read,
        "memory" => Authority::Memory,
        "practice" => Authority::CommonPractice,
        other => return Err(row.broken("basis", &format!("`{other}` is no known basis"))),
    };
    let binding = match row.text("binding")? {
        "yes" => true,
        "no" => false,
        other => return Err(row.broken("binding", &format!("`{other}` is neither yes nor no"))),
    };
    Ok(Asked {
        rule: row.required("rule")?,
        asks: row.required("asks")?,
        every,
        binding,
        citation: row.required("citation")?,
        authority,
    })
}
