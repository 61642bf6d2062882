use jiff::Timestamp;
use jiff::civil::Date;
use quantity::Minutes;

use super::At;
use crate::ids::{ElementTypeId, PersonId, TaskId};

/// What is fitted to a set now.
#[derive(Debug, Clone, PartialEq)]
pub struct FittedElements {
    /// Their kind.
    pub element_type: ElementTypeId,
    /// The maker's lot.
    pub lot: String,
    /// Last day of their shelf life.
    pub shelf_life_until: Date,
    /// When their seal was opened.
    pub opened: Timestamp,
    /// Where that stands.
    pub at: At,
    /// Every wear since they were fitted, in the order of time.
    pub worn: Vec<Stint>,
}

/// One wear.
#[derive(Debug, Clone, PartialEq)]
pub struct Stint {
    /// By whom.
    pub wearer: PersonId,
    /// For which task.
    pub task: TaskId,
    /// How long in contaminated air.
    pub time: Minutes,
    /// Where that stands.
    pub at: At,
}

impl FittedElements {
    /// Whether these are the same pieces, taken off and put back: kind, lot and the instant of
    /// opening are the same.
    pub(super) fn are_the_same_pieces_as(&self, other: &Self) -> bool {
        (&self.element_type, &self.lot, self.opened)
            == (&other.element_type, &other.lot, other.opened)
    }

    /// The wear so far, minutes.
    #[must_use]
    pub fn worn_min(&self) -> f64 {
        // Not `sum`, which makes minus zero of no wear at all.
        self.worn.iter().fold(0.0, |sum, stint| sum + stint.time.as_min())
    }
}
