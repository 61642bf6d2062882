//! The photos that an entry speaks of.

use program::{Fact, PointFound, PointResult};
use rulebook::checklist::point;

/// A photo, what it is of and what was found there.
pub(crate) struct Picture {
    /// The hash under which the ledger keeps it.
    pub(crate) hash: String,
    pub(crate) of: String,
    pub(crate) found: String,
}

/// Every photo of this fact, in the order of its points.
pub(crate) fn pictures(fact: &Fact) -> Vec<Picture> {
    let Fact::InspectedByPoints { points, .. } = fact else { return Vec::new() };
    points.iter().filter_map(picture).collect()
}

/// The part that was looked at, or the id of the point where no list has it any more.
pub(super) fn looks_at(found: &PointFound) -> &str {
    point(&found.point).map_or(&found.point, |point| &point.looks_at)
}

fn picture(found: &PointFound) -> Option<Picture> {
    let hash = found.picture.clone()?;
    let of = looks_at(found).to_owned();
    let result = match found.result {
        PointResult::Pass => "passed",
        PointResult::Fail => "FAILED",
        PointResult::NotApplicable => "not applicable",
    };
    let note = if found.note.is_empty() { String::new() } else { format!(", {}", found.note) };
    Some(Picture { hash, of, found: format!("{result}{note}") })
}
