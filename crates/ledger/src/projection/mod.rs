//! What follows from the entries, kept beside them so that no answer reads more than it needs: which
//! entries bear on which thing, from which day on each duty stands in the way, and how each thing
//! stands in the list of its kind.
//!
//! INVARIANT (derived): these tables are a function of the entries up to the position noted in
//! them, whatever steps they were derived in. They hold no clock, no verdict and no words: what is
//! due is told by the functions of `program` from the entries that the tables point to.

mod about;
mod anew;
mod carried;
mod catch_up;
mod derive;
mod due;
mod listed;
mod listed_sql;
mod load;
mod page;
mod replace;
mod sorter;
mod store;

pub(crate) use catch_up::{catch_up, is_derived, rebuild};
pub(crate) use due::due;
pub use due::{DueAnswer, DueCount, DueQuestion};
pub use listed::{ListQuestion, ListedThing, SetsInUse};
pub(crate) use listed::{called, list, sets_in_use, state_about, with};
pub(crate) use load::for_verdict;
pub(crate) use page::Page;
pub(crate) use store::{AboutRow, Counted, Derived, DueRow, ROWS_OF_A_PAGE, Through, in_turn};

use std::fmt::Debug;

use listed::ThingRow;

use crate::hash::{Hash, Hasher};
use crate::store::{ReadError, Store};

/// The hash of the derived tables in the order of their keys. What bears on a thing is hashed as a
/// whole: into which pieces it was cut depends on the steps.
pub(crate) async fn digest<S: Store>(store: &S) -> Result<Hash, ReadError> {
    let mut reading = store.reading().await?;
    let mut hasher = Hasher::new();
    let mut whole = about::Whole::default();
    let mut lines = Ok(());
    replace::each::<AboutRow, _>(&mut *reading, |row| match whole.add(row) {
        Ok(line) => line.iter().for_each(|line| hasher.update(line.as_bytes())),
        Err(error) => lines = Err(error),
    })
    .await?;
    lines?;
    hasher.update(whole.line().as_bytes());
    let mut of_row = |row: &dyn Debug| hasher.update(format!("{row:?}\n").as_bytes());
    replace::each::<DueRow, _>(&mut *reading, |row| of_row(row)).await?;
    reading.counts().await?.iter().for_each(|row| of_row(row));
    replace::each::<ThingRow, _>(&mut *reading, |row| of_row(row)).await?;
    hasher.update(format!("{:?}", reading.through().await?).as_bytes());
    Ok(hasher.finish())
}
