//! How often a thing is asked for by the calendar, and what a site may make of that.
//!
//! Knows nothing of clocks: every day and instant is given. A site may ask for more than the rules;
//! a wish for less is refused by name.

mod asked;
mod every;

pub use asked::{Asked, PolicyError, adopt, asked, intervals};
pub use every::Every;

/// Minutes of a day: no wear, no sampling, no bath and no supply of air that is carried lasts longer.
pub const DAY_MIN: u32 = 1440;
