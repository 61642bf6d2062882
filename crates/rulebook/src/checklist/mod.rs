//! Inspection checklists: which points an inspection looks at, and what a filled one comes to.
//!
//! Knows nothing of how inspections are kept. The points are data (`data/inspection_points.csv`),
//! told apart by the class of the respirator and the occasion.

mod judge;
mod points;
pub mod rules;

pub use judge::{Certification, Filled, Judged, Mark, certified, judge};
pub use points::{Occasion, Point, point, points};
pub use rules::rules;
