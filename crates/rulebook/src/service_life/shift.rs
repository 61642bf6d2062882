//! What is said of a life in the pattern of its work.

use super::SCHEDULE;
use crate::{Authority, Rule};

/// The planned wear is longer than one set of elements lasts.
///
/// # What it asks
/// Whether one set of elements lasts the planned wear of a shift.
/// # Why
/// Elements are changed before their service life ends.
/// # Citation
/// 29 CFR 1910.134(d)(3)(iii)(B)(2)
/// # Example that passes
/// Four hours planned, a bound of five.
/// # Example that stops
/// Nothing stops; the schedule tells when to change within the shift.
/// # Remedy
/// Change within the shift as the schedule says.
/// # Limits
/// None beyond those of the bound.
pub static CHANGE_WITHIN_SHIFT: Rule = Rule {
    id: "service-life.change-within-shift",
    asks: "Does one set of elements last the planned wear?",
    why: "Elements are changed before their service life ends.",
    citation: SCHEDULE,
    authority: Authority::Read,
    says: "{planned} min of wear are planned and one set lasts {max} min",
    remedy: "leave the area and change the elements after at most {max} min of wear",
};

/// The pattern of work is over before the elements are.
///
/// # What it asks
/// Whether the end of life lies within the pattern that was told.
/// # Why
/// What happens after the pattern was not computed.
/// # Citation
/// common practice, no source
/// # Example that passes
/// A pattern in which the end is reached.
/// # Example that stops
/// Nothing stops; the schedule ends with the pattern.
/// # Remedy
/// A longer pattern, if the elements are to be worn longer.
/// # Limits
/// Says nothing of another pattern.
pub static PATTERN_OVER: Rule = Rule {
    id: "service-life.pattern-over",
    asks: "Does the life end within the pattern of work?",
    why: "What happens after the pattern was not computed.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "no end is reached in the {worn} min of wear that the pattern tells of; the schedule ends with the pattern",
    remedy: "tell a longer pattern if the elements are to be worn longer",
};

/// The levels of the segments are lower than those of the readings, which count.
///
/// # What it asks
/// Whether the segments of the usual shift give a longer life than the level of the readings in each of
/// them.
/// # Why
/// What was measured stands above what was told of the shift: no level of a segment stretches a schedule.
/// # Citation
/// common practice, no source
/// # Example that passes
/// Readings of 100 ppm; a third of the wear at 250 ppm and the rest at 25 ppm.
/// # Example that stops
/// Nothing stops; the shorter life counts.
/// # Remedy
/// None is needed; where a segment lies above the mean of the shift, tell its level.
/// # Limits
/// The mean is that over the minutes with the mask on.
pub static SEGMENTS_BELOW_READINGS: Rule = Rule {
    id: "service-life.segments-below-readings",
    asks: "Do levels of the usual shift stretch the life beyond what the readings give?",
    why: "What was measured stands above what was told of the shift.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "over the wear of the usual shift the segments put {contaminant} at {share} % of the level of the readings; the life at that level in every segment is shorter, and counts",
    remedy: "none is needed: the shorter life counts; where a segment lies above the mean of the shift, tell its level, such as 150 %",
};

/// The life counts minutes of wear in the order of the usual shift.
///
/// # What it asks
/// Of which shift the minutes of wear are, and from which moment they are counted.
/// # Why
/// An hour of heavy work uses up more of a bed than an hour of light work, and a set may be opened at any
/// moment of the shift.
/// # Citation
/// common practice, no source
/// # Example that passes
/// A set that is opened before the heaviest segment and worn as the shift goes.
/// # Example that stops
/// Nothing stops; the worst moment counts.
/// # Remedy
/// Change earlier where the work goes otherwise than told.
/// # Limits
/// A day that is worse than the usual shift is not foreseen.
pub static USUAL_SHIFT: Rule = Rule {
    id: "service-life.usual-shift",
    asks: "Of which shift are the minutes of wear?",
    why: "An hour of heavy work uses up more of a bed than an hour of light work.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "the minutes of wear are those of the usual shift in its order, for a set opened at the worst moment: {into} min into segment {segment}",
    remedy: "change earlier where the work goes otherwise than the segments tell",
};
