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
    /// The longest time between two tests that is printed of it on any condition.
    pub longest_period: Option<Every>,
    /// How long it may serve from its making; none where that is not printed.
    pub serves: Option<Every>,
    /// Whether its life ends on a day that its design or permit sets, which no table knows.
    pub life_by_permit: bool,
    /// What is to be done.
    pub rule: String,
    /// Paragraph.
    pub citation: String,
    /// Whether it is from memory and to be confirmed.
    pub unconfirmed: bool,
    /// Whether it names a kind of cylinder of breathing apparatus that can be listed: not a rule for
    /// any cylinder, not one that no such apparatus has, and not the second row of one kind.
    pub listable: bool,
}

/// What is printed of the period and the life of one kind, in whichever of its rows.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub struct PrintedTerms {
    /// How often it is tested, and whether that is from memory.
    pub requalified_every: Option<(Every, bool)>,
    /// How long it may serve from its making, and whether that is from memory.
    pub serves: Option<(Every, bool)>,
    /// Whether its life ends on a day that its design or permit sets.
    pub life_by_permit: bool,
}

/// The longest time between two tests that is printed of any kind on any condition: no permit is known to
/// allow more.
#[must_use]
pub fn longest_period() -> Every {
    let all = cylinder_rules().iter().filter_map(|rule| rule.longest_period);
    all.reduce(longer).unwrap_or(Every::Months(0))
}

/// The rows by which a cylinder can be listed.
pub fn listable() -> impl Iterator<Item = &'static CylinderRule> {
    cylinder_rules().iter().filter(|rule| rule.listable)
}

/// What is printed of the kind of the row `id`; nothing for a row that there is not.
///
/// One kind may stand in two rows: the thin steel of aircraft has its period in the one and its life
/// in the other. Where two rows differ, the stricter counts.
#[must_use]
pub fn printed_terms(id: &str) -> PrintedTerms {
    terms_in(cylinder_rules(), id)
}

fn terms_in(rows: &[CylinderRule], id: &str) -> PrintedTerms {
    let kind = rows.iter().find(|row| row.id == id).map(|row| row.kind.as_str());
    let of_kind = || rows.iter().filter(|row| Some(row.kind.as_str()) == kind);
    let every = |row: &CylinderRule| row.requalified_every.map(|every| (every, row.unconfirmed));
    let serves = |row: &CylinderRule| row.serves.map(|serves| (serves, row.unconfirmed));
    PrintedTerms {
        requalified_every: of_kind().filter_map(every).reduce(stricter),
        serves: of_kind().filter_map(serves).reduce(stricter),
        life_by_permit: of_kind().any(|row| row.life_by_permit),
    }
}

/// The shorter of two periods; of equal ones that which was read.
fn stricter(one: (Every, bool), other: (Every, bool)) -> (Every, bool) {
    match (one.0.is_no_laxer_than(other.0), other.0.is_no_laxer_than(one.0)) {
        (true, true) => (one.0, one.1 && other.1),
        (true, false) => one,
        (false, _) => other,
    }
}

/// Every row, in the order of the table.
///
/// Source: 49 CFR 180.205 to 180.213, an older copy; confirm against the current text.
#[must_use]
pub fn cylinder_rules() -> &'static [CylinderRule] {
    static ROWS: OnceLock<Vec<CylinderRule>> = OnceLock::new();
    ROWS.get_or_init(|| {
        let text = include_str!("../../../../data/cylinders.csv");
        let mut rows = loud(read_table("cylinders.csv", text, read));
        let mut kinds = Vec::new();
        for row in &mut rows {
            row.listable &= !kinds.contains(&row.kind);
            kinds.push(row.kind.clone());
        }
        rows
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
    let alternate = row.text("alternate_years")?.split(';').filter_map(|text| years(text.trim()));
    let longest_period = alternate.chain(requalified_every).reduce(longer);
    // A life that a design or a permit sets is no number.
    let life = row.text("service_life_years")?;
    let serves = years(life);
    let life_by_permit = serves.is_none() && !life.is_empty();
    let kind = row.required("cylinder_kind")?;
    let listable = !kind.starts_with("Any ") && row.text("used_on_breathing_apparatus")? != "no";
    Ok(CylinderRule {
        id: row.required("id")?,
        kind,
        requalified_every,
        longest_period,
        serves,
        life_by_permit,
        rule: row.required("rule")?,
        citation: row.required("citation")?,
        unconfirmed,
        listable,
    })
}

fn longer(one: Every, other: Every) -> Every {
    if one.is_no_laxer_than(other) { other } else { one }
}

fn years(text: &str) -> Option<Every> {
    text.parse::<u16>().ok()?.checked_mul(12).map(Every::Months)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(id: &str, years: (Option<u16>, Option<u16>), unconfirmed: bool) -> CylinderRule {
        let every = |years: Option<u16>| years.map(|years| Every::Months(12 * years));
        CylinderRule {
            id: id.to_owned(),
            kind: "wrapped".to_owned(),
            requalified_every: every(years.0),
            longest_period: every(years.0),
            serves: every(years.1),
            life_by_permit: false,
            rule: String::new(),
            citation: String::new(),
            unconfirmed,
            listable: true,
        }
    }

    #[test]
    fn of_two_rows_of_one_kind_that_differ_the_stricter_counts() {
        let rows = [
            row("A", (Some(5), None), false),
            row("B", (Some(3), Some(15)), true),
            row("C", (None, Some(15)), false),
        ];
        let of_years = |years: u16| Every::Months(12 * years);
        for id in ["A", "B", "C"] {
            let terms = terms_in(&rows, id);
            assert_eq!(terms.requalified_every, Some((of_years(3), true)), "{id}");
            assert_eq!(terms.serves, Some((of_years(15), false)), "{id}");
        }
    }
}
