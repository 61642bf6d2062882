//! What is said of the data that a life rests on.

use super::SCHEDULE;
use crate::{Authority, Rule};

/// Only the certification test of the elements is known.
///
/// # What it asks
/// Whether the bed of the elements is known.
/// # Why
/// The test proves a least amount held; a real element mostly holds more.
/// # Citation
/// 42 CFR 84.207 Table 11 and 84.126 Tables 5 to 7
/// # Example that passes
/// A bed described by its maker.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// Ask the maker for sorbent mass, bed area and density.
/// # Limits
/// The conditions of the test differ from those of work.
pub static CERTIFICATION_ONLY: Rule = Rule {
    id: "service-life.certification-only",
    asks: "Is the bed of the elements known?",
    why: "The certification test proves a least amount held; a real element mostly holds more.",
    citation: "42 CFR 84.207 Table 11 and 84.126 Tables 5 to 7",
    authority: Authority::Read,
    says: "the life against {contaminant} rests on the least that the certification test {test} proves",
    remedy: "ask the maker for the mass, area and density of the sorbent for a longer schedule",
};

/// A property of the contaminant was estimated and not measured.
///
/// # What it asks
/// Whether vapour pressure, density and polarisation are known.
/// # Why
/// An estimate widens the bound.
/// # Citation
/// common practice, no source
/// # Example that passes
/// Toluene.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// None needed; the bound already carries it.
/// # Limits
/// The width added is judged, not measured.
pub static ESTIMATED_PROPERTY: Rule = Rule {
    id: "service-life.estimated-property",
    asks: "Are the properties of the contaminant measured?",
    why: "An estimated property widens the bound.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "a property of {contaminant} is estimated, so the bound is wider",
    remedy: "nothing to do; a measured value would narrow the bound",
};

/// A calibration without the report that it comes from.
///
/// # What it asks
/// Whether what only a calibration yields comes with the report of it.
/// # Why
/// Such a factor moves the life by as much as it says, and nothing in the case speaks for it.
/// # Citation
/// common practice, no source
/// # Example that passes
/// The factors of a calibration with its deviations, its correlation and its report.
/// # Example that stops
/// Nothing stops; the caution names the keys.
/// # Remedy
/// Take over all that the calibration printed, or leave the factors out.
/// # Limits
/// Whether the report says so is not checked.
pub static UNCALIBRATED: Rule = Rule {
    id: "service-life.uncalibrated",
    asks: "Does what only a calibration yields come with its report?",
    why: "Such a factor moves the life by as much as it says, and nothing in the case speaks for it.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "{keys} of the carbon move this life, and no whole calibration with its report stands behind them",
    remedy: "take over all that `calibrate` printed, with the deviations and the correlation with its report, or leave {keys} out",
};

/// No life is computed, and the rule of the substance sets the time of change.
///
/// # What it asks
/// Whether the rule of a substance sets by the clock when elements are changed that no life is computed for.
/// # Why
/// Carbon hardly holds it, and the rule allows the elements for so long all the same.
/// # Citation
/// The paragraph of the row, such as 29 CFR 1910.1051(h)(3)(i) Table 1.
/// # Example that passes
/// 1,3-Butadiene at 3 ppm on organic-vapour cartridges: 4 hours at most.
/// # Example that stops
/// Nothing stops; without such a rule the life is refused.
/// # Remedy
/// Change at the time of the rule or sooner.
/// # Limits
/// Only where a row of the rule gives the minutes for the level.
pub static BY_RULE_ALONE: Rule = Rule {
    id: "service-life.by-rule-alone",
    asks: "Does the rule of a substance set the time that no life is computed for?",
    why: "Carbon hardly holds it, and the rule allows the elements for so long all the same.",
    citation: "29 CFR 1910 subpart Z",
    authority: Authority::Read,
    says: "no life against {contaminant} is computed ({reason}): the time is that of its rule, and never longer",
    remedy: "change the elements at that time, at once if its odour is noticed, and prefer supplied air",
};

/// Which inputs matter is not told of a life against a gas held by reaction.
///
/// # What it asks
/// Whether the parts of the variance that were asked for can be told.
/// # Why
/// Such a life rests on one test or one report; its bound counts level and flow, and how sure a report is.
/// # Citation
/// common practice, no source
/// # Example that passes
/// Toluene on a described bed.
/// # Example that stops
/// Nothing stops; ammonia is bounded by all that is uncertain of it, and their parts are not told.
/// # Remedy
/// None is needed.
/// # Limits
/// None.
pub static NOT_SHARED: Rule = Rule {
    id: "service-life.not-shared",
    asks: "Which uncertain inputs matter most?",
    why: "A life against a gas held by reaction rests on one test or one report.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "{contaminant} is held by reaction: its copies move all that is uncertain of it, and which matters more is not told",
    remedy: "none is needed: its bound counts all of them",
};

/// Breath comes and goes, and a bed breathed through lasts less than one with its steady mean.
///
/// # What it asks
/// By how much breathing shortens the life that steady air of the same volume would have.
/// # Why
/// At the height of a breath the air passes the bed at three times its mean.
/// # Citation
/// common practice, no source
/// # Example that passes
/// A blower, which draws steadily.
/// # Example that stops
/// Nothing stops; the lower bound is shortened once.
/// # Remedy
/// None is needed.
/// # Limits
/// For half a sine of inhalation; the rate grows with the velocity as published.
pub static BREATHED: Rule = Rule {
    id: "service-life.breathed",
    asks: "By how much does breathing shorten the life in steady air?",
    why: "At the height of a breath the air passes the bed at three times its mean.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "drawn by breathing in place of steadily, the elements last {ratio} times as long against {contaminant}",
    remedy: "none is needed: the lower bound counts it once",
};

/// The flow of a blower that a life is computed with.
///
/// # What it asks
/// With which flow of the blower the life of the elements was computed.
/// # Why
/// A blower that moves more air spends its elements sooner.
/// # Citation
/// 29 CFR 1910.134(d)(3)(iii)(B)(2)
/// # Example that passes
/// A set whose blower gave 120 L/min at its check: computed with that.
/// # Example that stops
/// Nothing stops; the flow is said.
/// # Remedy
/// Check the flow of the set: the greatest that is measured counts.
/// # Limits
/// Where no set is in hand, the least flow at which such sets are certified counts; a set that gives more
/// lasts shorter, and is judged by its own flow when it is asked whether it may be worn.
pub static BLOWER: Rule = Rule {
    id: "service-life.blower",
    asks: "With which flow of the blower is the life computed?",
    why: "A blower that moves more air spends its elements sooner.",
    citation: SCHEDULE,
    authority: Authority::Read,
    says: "computed with a flow of {flow}",
    remedy: "check the flow of the set: where its blower gives more, its elements last shorter",
};

/// Nothing is told of the place.
///
/// # What it asks
/// Whether oxygen, oil in the air and the rest of the place are told.
/// # Why
/// A life is computed without them; whether the elements may be used at all is not judged without them.
/// # Citation
/// 29 CFR 1910.134(d)(1)(iii)
/// # Example that passes
/// A case with oxygen of 20.9 %.
/// # Example that stops
/// Nothing stops; enough oxygen is taken, and the note says so.
/// # Remedy
/// Tell of the place.
/// # Limits
/// None.
pub static PLACE_UNTOLD: Rule = Rule {
    id: "service-life.place-untold",
    asks: "Is the place told of?",
    why: "Whether elements may be used at all depends on the place.",
    citation: "29 CFR 1910.134(d)(1)(iii)",
    authority: Authority::Read,
    says: "nothing is said of the place: enough oxygen, and nothing immediately dangerous but the levels told, are taken for granted and not judged",
    remedy: "add a [place] with oxygen = \"20.9 %\" as measured, oil_aerosol and irritates_eyes",
};
