//! Every form, in the order in which a program is built up and then runs.

mod air;
mod care;
pub(super) mod desk;
mod instrument;
mod program;
mod standby;
mod store;
mod task;
mod unit;
pub(crate) mod wearer;

use super::EntryForm;

const TABLES: [&[EntryForm]; 10] = [
    program::FORMS,
    desk::FORMS,
    wearer::FORMS,
    instrument::FORMS,
    task::FORMS,
    store::FORMS,
    unit::FORMS,
    care::FORMS,
    air::FORMS,
    standby::FORMS,
];

/// Every form.
pub(crate) fn all() -> impl Iterator<Item = &'static EntryForm> {
    TABLES.into_iter().flatten()
}

/// The form at this place of the address.
pub(crate) fn at(path: &str) -> Option<&'static EntryForm> {
    all().find(|form| form.path() == path)
}

/// Forms of older versions of a fact whose later version asks what they do not tell.
const OLDER: [&EntryForm; 1] = [&wearer::FIT_OUTCOME];

/// The form of this kind of fact, or of a later version of it.
pub(crate) fn of_kind(kind: &str) -> Option<&'static EntryForm> {
    let older = OLDER.into_iter().find(|form| form.kind == kind);
    older.or_else(|| at(kind.split_once('.').map_or(kind, |(path, _)| path)))
}
