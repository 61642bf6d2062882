//! How often a cylinder is requalified and how long it may serve.

use std::sync::OnceLock;

use serde::Serialize;

use crate::interval::Every;
use crate::table::{Row, TableError, loud, read_table};

/// What is printed of one kind of cylinder: a row of `data/cylinders.csv`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CylinderRule {
    /// Row.
    pub id: String,
    /// The kind.
    pub kind: String,
    /// How often it is tested; none where that is not printed.
    pub requalified_every: Option<Every>,
    /// How long it may serve from its making; none where that is not printed.
    pub serves: Option<Every>,
    /// What is to be done.
    pub rule: String,
    /// Paragraph.
    pub citation: String,
    /// Whether it is from memory and to be confirmed.
    pub unconfirmed: bool,
}

/// Every row, in the order of the table.
///
/// Source: 49 CFR 180.205 to 180.213, an older copy; confirm against the current text.
#[must_use]
pub fn cylinder_rules() -> &'static [CylinderRule] {
    static ROWS: OnceLock<Vec<CylinderRule>> = OnceLock::new();
    ROWS.get_or_init(|| {
        loud(read_table("cylinders.csv", include_str!("../../../../data/cylinders.csv"), read))
    })
}

fn read(row: &Row<'_>) -> Result<CylinderRule, TableError> {
    let unconfirmed = match row.text("basis")? {
        "read" => false,
        "memory" => true,
        other => return Err(row.broken("basis", &format!("`{other}` is no known basis"))),
    };
    let requalified_every = match row.text("requalification_years")? {
        "" => None,
        text => Some(years(text).ok_or_else(|| {
            row.broken("requalification_years", &format!("`{text}` is no count of years"))
        })?),
    };
    // A life that a design or a permit sets is no number and stands in the rule's words.
    let serves = years(row.text("service_life_years")?);
    Ok(CylinderRule {
        id: row.required("id")?,
        kind: row.required("cylinder_kind")?,
        requalified_every,
        serves,
        rule: row.required("rule")?,
        citation: row.required("citation")?,
        unconfirmed,
    })
}

fn years(text: &str) -> Option<Every> {
    text.parse::<u16>().ok()?.checked_mul(12).map(Every::Months)
}
