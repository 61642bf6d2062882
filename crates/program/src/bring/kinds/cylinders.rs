use quantity::{Kilopascal, Litres};
use rulebook::breathing_air::listable;

use super::super::kind::Field;
use super::super::row::{Draft, Row};
use crate::entry::{CylinderTerms, Every, Fact};
use crate::ids::CylinderId;

pub(in super::super) const FIELDS: &[Field] = &[
    Field::needed(
        "tag",
        &["id", "cylinder", "cylinder id", "cylinder number", "asset", "asset number", "number"],
        "what stands on its tag; it stays for good",
    ),
    Field::needed(
        "serial",
        &["serial number", "serial no", "s/n", "sn"],
        "the maker's serial number",
    ),
    Field::needed(
        "marking",
        &["kind", "type", "specification"],
        "the row of the table of cylinders that its marking names, such as CY02",
    ),
    Field::needed(
        "rated pressure",
        &["rated", "service pressure", "working pressure", "pressure"],
        "such as 31000 kPa",
    ),
    Field::needed("water volume", &["volume", "water capacity"], "such as 6.8 L"),
    Field::needed(
        "made",
        &["date made", "manufactured", "date of manufacture"],
        "the month, such as 2024-05",
    ),
    Field::needed(
        "requalified",
        &["last requalified", "last test", "hydrostatic test", "retested", "test date"],
        "the month of the last test on its shoulder; that of its making for a new one",
    ),
    Field::may(
        "period in months",
        &["period", "test period", "requalification period"],
        "between two tests, by its permit or maker; needed where the table has none",
    ),
    Field::may("life ends", &["end of life", "service life ends"], "the last day, by its permit"),
    Field::may("permit", &["special permit", "terms", "stands in"], "where period and life stand"),
    Field::may("permit read", &["confirmed", "read"], "whether the site has read it there itself"),
    Field::may(
        "part number",
        &["part no", "part", "model number"],
        "the part number on it, by which the approval of a set names it",
    ),
];

pub(in super::super) fn read(row: &mut Row<'_>) -> Option<Draft> {
    let (tag, serial) = (row.needed("tag"), row.needed("serial"));
    let marking = marking(row);
    let rated = row.read_needed::<Kilopascal>("rated pressure");
    let water_volume = row.read_needed::<Litres>("water volume");
    let (made, requalified) = (row.month("made"), row.month("requalified"));
    let terms = terms(row);
    let part = row.text("part number").unwrap_or_default();
    let fact = Fact::CylinderListed {
        cylinder: CylinderId::new(tag?),
        serial: serial?,
        marking: marking?,
        rated: rated?,
        water_volume: water_volume?,
        made: made?,
        requalified: requalified?,
        terms: terms?,
        part,
    };
    Some(Draft { fact, when: None })
}

/// Period and life of its own; none within where nothing is told of them, none outside where they are
/// told by half.
fn terms(row: &mut Row<'_>) -> Option<Option<CylinderTerms>> {
    let period = row.read::<u16>("period in months");
    let (life_ends, permit) = (row.day("life ends"), row.text("permit"));
    let confirmed = row.flag_if_told("permit read");
    if period.is_none() && life_ends.is_none() && permit.is_none() && confirmed.is_none() {
        return Some(None);
    }
    let Some((months, stands_in)) = period.zip(permit) else {
        let why = "the terms of its permit are told by half";
        row.refuse("period in months", why, "fill in the period in months and the permit");
        return None;
    };
    let (every, confirmed) = (Every::Months(months), confirmed.unwrap_or(false));
    Some(Some(CylinderTerms { every, life_ends, stands_in, confirmed }))
}

fn marking(row: &mut Row<'_>) -> Option<String> {
    let asked = row.needed("marking")?;
    let found = listable().find(|rule| rule.id.eq_ignore_ascii_case(&asked));
    if found.is_none() {
        let known = listable().map(|rule| format!("{} ({})", rule.id, rule.kind));
        let known = known.collect::<Vec<_>>().join("; ");
        row.refuse(
            "marking",
            format!("`{asked}` is no row of the table by which a cylinder is listed"),
            format!("write one of: {known}"),
        );
    }
    found.map(|rule| rule.id.clone())
}
