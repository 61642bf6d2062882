use quantity::{Kilopascal, Litres};
use rulebook::breathing_air::cylinder_rules;

use super::super::kind::Field;
use super::super::row::{Draft, Row};
use crate::entry::Fact;
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
];

pub(in super::super) fn read(row: &mut Row<'_>) -> Option<Draft> {
    let (tag, serial) = (row.needed("tag"), row.needed("serial"));
    let marking = marking(row);
    let rated = row.read_needed::<Kilopascal>("rated pressure");
    let water_volume = row.read_needed::<Litres>("water volume");
    let (made, requalified) = (row.month("made"), row.month("requalified"));
    if made.zip(requalified).is_some_and(|(made, tested)| tested < made) {
        row.refuse("requalified", "it was tested before it was made", "look at both months");
    }
    let fact = Fact::CylinderListed {
        cylinder: CylinderId::new(tag?),
        serial: serial?,
        marking: marking?,
        rated: rated?,
        water_volume: water_volume?,
        made: made?,
        requalified: requalified?,
    };
    Some(Draft { fact, when: None })
}

fn marking(row: &mut Row<'_>) -> Option<String> {
    let asked = row.needed("marking")?;
    let found = cylinder_rules().iter().find(|rule| rule.id.eq_ignore_ascii_case(&asked));
    if found.is_none() {
        let known = cylinder_rules().iter().map(|rule| format!("{} ({})", rule.id, rule.kind));
        let known = known.collect::<Vec<_>>().join("; ");
        row.refuse(
            "marking",
            format!("`{asked}` is no row of the table of cylinders"),
            format!("write one of: {known}"),
        );
    }
    found.map(|rule| rule.id.clone())
}
