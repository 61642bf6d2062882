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
mod sorter;
mod store;

pub(crate) use catch_up::{catch_up, rebuild};
pub(crate) use due::due;
pub use due::{DueAnswer, DueCount, DueQuestion};
pub use listed::{ListQuestion, ListedThing, SetsInUse};
pub(crate) use listed::{called, list, sets_in_use, state_about, with};
pub(crate) use load::for_verdict;
pub(crate) use page::Page;
pub(crate) use store::{AboutRow, Counted, Derived, DueRow, ROWS_OF_A_PAGE, Through};

use crate::hash::{Hash, Hasher};
use crate::store::{ReadError, Store};

/// The hash of the derived tables in the order of their keys. What bears on a thing is hashed as a
/// whole: into which pieces it was cut depends on the steps.
pub(crate) async fn digest<S: Store>(store: &S) -> Result<Hash, ReadError> {
    let mut reading = store.reading().await?;
    let mut hasher = Hasher::new();
    let mut whole = about::Whole::default();
    let mut after = (i64::MIN, i64::MIN);
    loop {
        let page = reading.about_after(after).await?;
        let Some(last) = page.last() else { break };
        after = (last.thing, last.first);
        for row in &page {
            if let Some(line) = whole.add(row)? {
                hasher.update(line.as_bytes());
            }
        }
    }
    hasher.update(whole.line().as_bytes());
    let mut after = DueRow::BEFORE_ALL;
    loop {
        let page = reading.due_after(&after).await?;
        page.iter().for_each(|row| hasher.update(format!("{row:?}\n").as_bytes()));
        let Some(last) = page.into_iter().last() else { break };
        after = last;
    }
    for row in reading.counts().await? {
        hasher.update(format!("{row:?}\n").as_bytes());
    }
    for kind in 0..=u8::MAX {
        listed::digest(&mut *reading, i64::from(kind), &mut hasher).await?;
    }
    hasher.update(format!("{:?}", reading.through().await?).as_bytes());
    Ok(hasher.finish())
}
