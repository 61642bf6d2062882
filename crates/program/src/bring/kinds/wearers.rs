use super::super::kind::Field;
use super::super::row::{Draft, Row};
use crate::entry::Fact;
use crate::ids::PersonId;

pub(in super::super) const FIELDS: &[Field] = &[
    Field::needed(
        "id",
        &[
            "wearer",
            "wearer id",
            "person id",
            "employee id",
            "employee number",
            "employee no",
            "worker id",
            "badge",
            "badge number",
            "staff number",
            "personnel number",
            "number",
            "no",
        ],
        "the number or short name by which the person is known; it stays for good",
    ),
    Field::may(
        "name",
        &[
            "full name",
            "wearer name",
            "employee name",
            "worker name",
            "person",
            "employee",
            "worker",
        ],
        "the name to show",
    ),
    Field::may("first name", &["given name", "forename"], "where the name stands in two columns"),
    Field::may("last name", &["family name", "surname"], "where the name stands in two columns"),
    Field::may(
        "enrolled",
        &["enrolled on", "date enrolled", "since", "start", "start date", "joined", "date"],
        "the day of enrolment; now where it is left out",
    ),
];

pub(in super::super) fn read(row: &mut Row<'_>) -> Option<Draft> {
    let id = row.needed("id");
    let name = row.text("name");
    let (first, last) = (row.text("first name"), row.text("last name"));
    let when = row.when_if_told("enrolled");
    let parts: Vec<String> = first.into_iter().chain(last).collect();
    let name = name.or_else(|| Some(parts.join(" ")).filter(|name| !name.is_empty()));
    if name.is_none() {
        row.refuse("name", "the name is empty", "fill it in, or the first and the last name");
    }
    let fact = Fact::WearerEnrolled { wearer: PersonId::new(id?), name: name? };
    Some(Draft { fact, when })
}
