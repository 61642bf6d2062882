//! Each kind of list: its fields, and what one row of it says.

pub(super) mod clearances;
pub(super) mod cylinders;
pub(super) mod element_types;
pub(super) mod fit_tests;
pub(super) mod models;
pub(super) mod respirators;
pub(super) mod stock;
pub(super) mod tasks;
pub(super) mod training;
pub(super) mod wearers;

use super::kind::Field;

/// Who a row is about.
const WEARER: Field = Field::needed(
    "wearer",
    &[
        "wearer id",
        "wearer name",
        "person",
        "person id",
        "employee",
        "employee id",
        "employee number",
        "employee no",
        "employee name",
        "worker",
        "worker id",
        "worker name",
        "name",
        "full name",
        "badge",
        "badge number",
        "staff number",
        "personnel number",
        "id",
    ],
    "the id of an enrolled wearer, or the name where only one is called so",
);

/// The time of day, where the day alone does not tell which of two came last.
const TIME: Field = Field::may(
    "time",
    &["time of day", "at", "hour"],
    "the time of day at the site, such as 14:05",
);
