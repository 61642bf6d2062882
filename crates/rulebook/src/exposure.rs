//! What is said of the readings of an exposure group.

use crate::{Authority, Rule};

/// A reading lies above the limit.
///
/// # What it asks
/// Does every reading lie at or below the limit?
/// # Why
/// One reading above the limit shows that the group is not kept below it.
/// # Citation
/// 29 CFR 1910.134(d)(1)(iii)
/// # Example that passes
/// All readings below.
/// # Example that stops
/// One reading above.
/// # Remedy
/// Bring the level down.
/// # Limits
/// A limit for a shift is held against readings of a shift; their length is not known here.
pub static ABOVE_LIMIT: Rule = Rule {
    id: "exposure.above-limit",
    asks: "Does every reading lie at or below the limit?",
    why: "One reading above the limit shows that the group is not kept below it.",
    citation: "29 CFR 1910.134(d)(1)(iii)",
    authority: Authority::Read,
    says: "the highest reading, {highest}, is above the limit of {limit}",
    remedy: "bring the level down, and wear respirators chosen for the design concentration until then",
};

/// The readings do not show that the group stays below the limit.
///
/// # What it asks
/// Do the readings show with 95 % confidence that 95 % of shifts stay below the limit?
/// # Why
/// A few low readings do not show a low group.
/// # Citation
/// common practice, no source
/// # Example that passes
/// An upper limit at half the limit.
/// # Example that stops
/// An upper limit above the limit.
/// # Remedy
/// Take more readings.
/// # Limits
/// Rests on a lognormal group.
pub static UPPER_LIMIT: Rule = Rule {
    id: "exposure.upper-limit",
    asks: "Do the readings show with 95 % confidence that 95 % of shifts stay below the limit?",
    why: "A few low readings do not show a low group.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "the 95 % upper limit of the 95th percentile, {upper}, is above the limit of {limit}",
    remedy: "take more readings of the same group, or treat it as above the limit",
};

/// There are few readings.
///
/// # What it asks
/// Are there at least six readings?
/// # Why
/// Few readings say little of the days on which it is worst.
/// # Citation
/// common practice, no source
/// # Example that passes
/// Six readings.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// Take at least six readings.
/// # Limits
/// The chance holds for readings drawn at random from one group.
pub static FEW: Rule = Rule {
    id: "exposure.few-readings",
    asks: "Are there at least six readings?",
    why: "Few readings say little of the days on which it is worst.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "{n} readings; the highest of {n} lies below the true 95th percentile in {chance} of 100 such groups",
    remedy: "take at least six readings on different shifts; until then plan with care",
};

/// A task was measured a few times only.
///
/// # What it asks
/// Was each contaminant of the task measured at least six times in the last twelve months?
/// # Why
/// Few readings say little of the days on which it is worst.
/// # Citation
/// common practice, no source
/// # Example that passes
/// Six readings.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// Take at least six readings.
/// # Limits
/// As [`FEW`]; said with the verdict for a wear.
pub static FEW_OF_TASK: Rule = Rule {
    id: "exposure.few-of-task",
    asks: "Was each contaminant of the task measured at least six times in the last twelve months?",
    why: "Few readings say little of the days on which it is worst.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "of {substance} there {n} of the last twelve months: worse days are likely; the highest of so few lies below the true 95th percentile in {chance} of 100 such cases",
    remedy: "take at least six readings on different shifts; until then plan with care",
};

/// What was sampled is too short to stand for a shift.
///
/// # What it asks
/// Was a contaminant sampled long enough to stand for the wear of a shift?
/// # Why
/// A few minutes may fall between the bad ones; the limit is an average over a shift.
/// # Citation
/// common practice, no source: two hours, or the whole of a shorter wear; 29 CFR 1910.134(d)(1)(iii)
/// asks for a reasonable estimate.
/// # Example that passes
/// 60 minutes sampled of a task of 60 minutes; 120 minutes of one of 480.
/// # Example that stops
/// Nothing stops; 5 minutes of a task of 60 are said.
/// # Remedy
/// Sample for the whole of the task, or for most of a shift.
/// # Limits
/// Asks the longest of the readings that count. Ceilings and short-term limits are not told apart here.
pub static SHORT_SAMPLE: Rule = Rule {
    id: "exposure.short-sample",
    asks: "Was a contaminant sampled long enough to stand for the wear of a shift?",
    why: "A few minutes may fall between the bad ones; the limit is an average over a shift.",
    citation: "common practice, no source (two hours, or the whole of a shorter wear); 29 CFR 1910.134(d)(1)(iii) asks for a reasonable estimate",
    authority: Authority::CommonPractice,
    says: "{substance} was {sampled}, too short to stand for {wear} of wear: the average of a shift may be higher",
    remedy: "sample {substance} for the whole of the task, or for most of a shift; until then take the reading as a low estimate",
};

/// The time for which a sample stands for a shift, or the whole of a shorter wear, minutes. Common
/// practice, no source.
pub const STANDS_FOR_SHIFT_MIN: f64 = 120.0;

/// From this many readings on few are not said. Common practice, no source.
pub const ENOUGH_READINGS: usize = 6;

/// Readings lie below what could be detected.
///
/// # What it asks
/// Were most readings above what the method can detect?
/// # Why
/// What was not detected is known only to be low.
/// # Citation
/// common practice, no source
/// # Example that passes
/// All detected.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// Ask for a lower detection limit.
/// # Limits
/// With more than half below detection the fit rests on few readings.
pub static BELOW_DETECTION: Rule = Rule {
    id: "exposure.below-detection",
    asks: "Were most readings above what the method can detect?",
    why: "What was not detected is known only to be low.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "{below} of {n} readings lie below detection; {treatment}",
    remedy: "ask the laboratory for a lower detection limit or sample for longer",
};

/// No distribution could be fitted.
///
/// # What it asks
/// Can a lognormal distribution be fitted?
/// # Why
/// A spread needs readings that differ.
/// # Citation
/// common practice, no source
/// # Example that passes
/// Six readings that differ.
/// # Example that stops
/// Nothing stops; the highest reading is the design concentration.
/// # Remedy
/// Take more readings.
/// # Limits
/// At least two readings, and three above detection where some are below.
pub static NO_FIT: Rule = Rule {
    id: "exposure.no-fit",
    asks: "Can a lognormal distribution be fitted?",
    why: "A spread needs readings that differ.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "no distribution is fitted: {reason}",
    remedy: "take more readings",
};

/// The readings do not look lognormal.
///
/// # What it asks
/// Do the logarithms of the readings look normal?
/// # Why
/// Percentiles and limits rest on that form.
/// # Citation
/// common practice, no source
/// # Example that passes
/// p of 0.4.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// Split the group.
/// # Limits
/// A high p does not prove the form, least of all with few readings.
pub static NOT_LOGNORMAL: Rule = Rule {
    id: "exposure.not-lognormal",
    asks: "Do the logarithms of the readings look normal?",
    why: "Percentiles and limits rest on that form.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "the logarithms do not look normal (Shapiro-Wilk W {w}, p {p})",
    remedy: "look for two groups in one: another task, place or day; split them",
};

/// The readings are spread wide.
///
/// # What it asks
/// Is the geometric standard deviation at most three?
/// # Why
/// A wide spread often means that two groups were thrown together.
/// # Citation
/// common practice, no source
/// # Example that passes
/// 1.8.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// Split the group.
/// # Limits
/// Three is a judgment.
pub static WIDE: Rule = Rule {
    id: "exposure.wide-spread",
    asks: "Is the geometric standard deviation at most three?",
    why: "A wide spread often means that two groups were thrown together.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "the geometric standard deviation is {gsd}, more than 3",
    remedy: "look for another task, place or day in the readings and split the group",
};

/// All readings are the same.
///
/// # What it asks
/// Do the readings differ?
/// # Why
/// Real levels differ from shift to shift.
/// # Citation
/// common practice, no source
/// # Example that passes
/// Readings that differ.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// Check the readings.
/// # Limits
/// None.
pub static EQUAL: Rule = Rule {
    id: "exposure.equal-readings",
    asks: "Do the readings differ?",
    why: "Real levels differ from shift to shift.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "all {n} readings are {value}; limits of confidence have no meaning then",
    remedy: "check whether they were copied or rounded",
};

/// The test of a European standard, for comparison.
///
/// # What it asks
/// What does the test of EN 689 say?
/// # Why
/// Some sites and customers ask for it.
/// # Citation
/// EN 689:2018 (from memory, unconfirmed)
/// # Example that passes
/// Three readings below a tenth of the limit.
/// # Example that stops
/// Nothing stops here.
/// # Remedy
/// Confirm against the standard.
/// # Limits
/// The figures are from memory.
pub static EN_689: Rule = Rule {
    id: "exposure.en-689",
    asks: "What does the test of EN 689 say?",
    why: "Some sites and customers ask for it.",
    citation: "EN 689:2018 (from memory, unconfirmed)",
    authority: Authority::Memory,
    says: "EN 689, from memory and unconfirmed: {outcome}",
    remedy: "confirm against the text of the standard before relying on it",
};

/// What the design concentration rests on.
///
/// # What it asks
/// What does the design concentration rest on?
/// # Why
/// A schedule and a choice of respirator are made for the high days.
/// # Citation
/// common practice, no source
/// # Example that passes
/// Upper limit of the 95th percentile of ten readings.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// Use it as the level of the place.
/// # Limits
/// Holds for the work that was sampled.
pub static DESIGN: Rule = Rule {
    id: "exposure.design",
    asks: "What does the design concentration rest on?",
    why: "A schedule and a choice of respirator are made for the high days.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "design concentration {design}: {basis}",
    remedy: "use it as the level of the place, and take new readings when the work changes",
};

/// What stands above these figures.
///
/// # What it asks
/// Who judges the readings?
/// # Why
/// Whether readings belong to one group is a judgment that no formula makes.
/// # Citation
/// 29 CFR 1910.134(d)(1)(iii)
/// # Example that passes
/// None.
/// # Example that stops
/// None.
/// # Remedy
/// Have them reviewed.
/// # Limits
/// None.
pub static CARE: Rule = Rule {
    id: "exposure.care",
    asks: "Who judges the readings?",
    why: "Whether readings belong to one group is a judgment that no formula makes.",
    citation: "29 CFR 1910.134(d)(1)(iii)",
    authority: Authority::Read,
    says: "a qualified industrial hygienist judges whether these readings stand for the group",
    remedy: "have the readings reviewed before a schedule rests on them",
};

/// All rules of exposure groups.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    vec![
        &ABOVE_LIMIT,
        &UPPER_LIMIT,
        &FEW,
        &FEW_OF_TASK,
        &SHORT_SAMPLE,
        &BELOW_DETECTION,
        &NO_FIT,
        &NOT_LOGNORMAL,
        &WIDE,
        &EQUAL,
        &EN_689,
        &DESIGN,
        &CARE,
    ]
}
