//! What is said of the life itself: none, too short, at the edge of what is known.

use super::SCHEDULE;
use crate::{Authority, Rule};

/// No life could be computed, so that there is no schedule.
///
/// # What it asks
/// Whether the life of the elements against each contaminant can be computed at all.
/// # Why
/// Without an indicator or a schedule based on data, air-purifying elements may not be used
/// against gases and vapours.
/// # Citation
/// 29 CFR 1910.134(d)(3)(iii)(B)(2)
/// # Example that passes
/// Toluene at 200 ppm on organic-vapour cartridges.
/// # Example that stops
/// Methanol on organic-vapour cartridges; carbon monoxide on any ordinary cartridge.
/// # Remedy
/// Data of the maker, a test of this contaminant, or supplied air.
/// # Limits
/// Says nothing of whether the maker has such data.
pub static REFUSED: Rule = Rule {
    id: "service-life.refused",
    asks: "Can the life of the elements against each contaminant be computed?",
    why: "Without an indicator or a schedule based on data, air-purifying elements may not be used against gases and vapours.",
    citation: SCHEDULE,
    authority: Authority::Read,
    says: "no service life for {contaminant}: {reason}",
    remedy: "ask the maker for data on {contaminant}, have it tested, or use supplied air",
};

/// The end level passes from the first minute, or may do so within the bound.
///
/// # What it asks
/// Whether the lower bound of the life leaves any time at all.
/// # Why
/// A bed at or under its critical mass lets the contaminant through at once.
/// # Citation
/// 29 CFR 1910.134(d)(3)(iii)(B)(2)
/// # Example that passes
/// A lower bound of 40 minutes.
/// # Example that stops
/// A lower bound below one minute.
/// # Remedy
/// Larger elements, a lower level by ventilation, or supplied air.
/// # Limits
/// Rests on the bound of the closed form.
pub static TOO_SHORT: Rule = Rule {
    id: "service-life.too-short",
    asks: "Does the lower bound of the life leave any time?",
    why: "A bed at or under its critical mass lets the contaminant through at once.",
    citation: SCHEDULE,
    authority: Authority::Read,
    says: "{contaminant} may pass the elements after {lower} min; that is too short to work with",
    remedy: "use larger elements, bring the level down, or use supplied air",
};

/// The level never reaches the end, so that no life follows from it.
///
/// # What it asks
/// Whether the contaminant can end the life at all.
/// # Why
/// A level below the end level never passes it.
/// # Citation
/// 29 CFR 1910.134(d)(3)(iii)(B)(2)
/// # Example that passes
/// A level above the end level.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// None needed.
/// # Limits
/// Holds only while the level stays as measured.
pub static NEVER_REACHED: Rule = Rule {
    id: "service-life.never-reached",
    asks: "Can the contaminant end the life?",
    why: "A level below the end level never passes it.",
    citation: SCHEDULE,
    authority: Authority::Read,
    says: "{contaminant} at this level does not reach the end level of {end}",
    remedy: "nothing to do while the level stays as measured",
};

/// The end level lets more pass than may be breathed.
///
/// # What it asks
/// Whether the end of life lies at or below the exposure limit.
/// # Why
/// What passes the elements is breathed.
/// # Citation
/// 29 CFR 1910.134(d)(3)(iii)(B)(2)
/// # Example that passes
/// Toluene, end at 50 ppm.
/// # Example that stops
/// Toluene, end at 300 ppm where the limit is 100 ppm: the times are printed, to be compared with tests, and
/// no schedule follows.
/// # Remedy
/// An end level at or below the limit.
/// # Limits
/// Says nothing where no limit is known.
pub static END_ABOVE_LIMIT: Rule = Rule {
    id: "service-life.end-above-limit",
    asks: "Does the end of life lie at or below the exposure limit?",
    why: "What passes the elements is breathed.",
    citation: SCHEDULE,
    authority: Authority::Read,
    says: "{contaminant} ends at {end}, above its exposure limit of {limit}: that is a figure to compare tests with, and no schedule to work by",
    remedy: "leave out the penetration, or give one at or below {limit}",
};

/// The selection rules stop these elements in this air.
///
/// # What it asks
/// Whether the selection rules allow the elements in this air at all.
/// # Why
/// A service life is no permission to enter.
/// # Citation
/// That of the rule that stops.
/// # Example that passes
/// Toluene at 200 ppm, oxygen 20.9 %.
/// # Example that stops
/// Toluene at 600 ppm, above the level that is immediately dangerous. The times are printed all the same.
/// # Remedy
/// That of the rule that stops.
/// # Limits
/// Judged for the respirator of the case; `select` judges every class.
pub static NOT_SELECTED: Rule = Rule {
    id: "service-life.not-selected",
    asks: "Do the selection rules allow these elements in this air?",
    why: "A service life is no permission to enter.",
    citation: "29 CFR 1910.134(d)",
    authority: Authority::Read,
    says: "these elements may not be used in this air, whatever their life: {reason}",
    remedy: "{remedy}",
};

/// The case stands at the edge of what the method was shown to hold for.
///
/// # What it asks
/// Whether the case lies well inside the range of the method.
/// # Why
/// Near the edges the error of the method is less known.
/// # Citation
/// common practice, no source
/// # Example that passes
/// Toluene at 200 ppm, half humid air, end at 10 %.
/// # Example that stops
/// Nothing stops; the edge is said.
/// # Remedy
/// Prefer data of the maker near this edge.
/// # Limits
/// Outside the range the answer is a refusal, not this caution.
pub static EDGE: Rule = Rule {
    id: "service-life.edge",
    asks: "Does the case lie well inside the range of the method?",
    why: "Near the edges the error of the method is less known.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "{contaminant}: {edge}",
    remedy: "prefer data of the maker here",
};

/// Estimates support and never replace the maker and the professional.
///
/// # What it asks
/// Nothing; it goes with every computed life.
/// # Why
/// Lives depend on it.
/// # Citation
/// common practice, no source
/// # Example that passes
/// None.
/// # Example that stops
/// None.
/// # Remedy
/// Have a qualified industrial hygienist review the schedule.
/// # Limits
/// None.
pub static CARE: Rule = Rule {
    id: "service-life.care",
    asks: "What stands above every computed life?",
    why: "Estimates support, and never replace, those who know the place and the product.",
    citation: "29 CFR 1910.134(d)(3)(iii)(B)(2)",
    authority: Authority::Read,
    says: "this is an estimate; the maker's instructions, the law and a qualified industrial hygienist stand above it",
    remedy: "leave the area at once if you smell, taste or feel anything, and hold the set",
};
