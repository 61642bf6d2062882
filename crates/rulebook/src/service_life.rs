//! What is said of a computed service life: refusals, edges and the caution that goes with it.

use crate::{Authority, Rule};

const SCHEDULE: &str = "29 CFR 1910.134(d)(3)(iii)(B)(2)";

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

/// One set is meant to serve more than one shift.
///
/// # What it asks
/// Whether elements are worn again after a night.
/// # Why
/// Held vapour spreads through the bed between uses and can pass at the first breath.
/// # Citation
/// common practice, no source
/// # Example that passes
/// New elements every shift.
/// # Example that stops
/// Nothing stops; a substance rule or a low boiling point does.
/// # Remedy
/// Seal the elements between uses, or change every shift.
/// # Limits
/// The closed form does not compute the rest between two uses.
pub static REUSE: Rule = Rule {
    id: "service-life.reuse",
    asks: "Are elements worn again on another shift?",
    why: "Held vapour spreads through the bed between uses and can pass at the first breath.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "one set is planned for {shifts} shifts; what it holds spreads between uses, and this estimate does not compute that",
    remedy: "seal the elements between uses, or change them every shift",
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

/// One set serves several shifts, and the nights between them were computed.
///
/// # What it asks
/// For how many shifts the levels at the outlet stay below their ends, nights included.
/// # Why
/// Held vapour spreads through the bed between uses and can pass at the first breath.
/// # Citation
/// common practice, no source
/// # Example that passes
/// Toluene at 50 ppm, two hours a day, kept sealed.
/// # Example that stops
/// Nothing stops; the schedule gives fewer shifts.
/// # Remedy
/// Seal the elements between uses; change them when the shifts are over.
/// # Limits
/// Rests on the pattern that was told, at the temperature of the place.
pub static REUSE_COMPUTED: Rule = Rule {
    id: "service-life.reuse-computed",
    asks: "For how many shifts do the levels stay below their ends, nights included?",
    why: "Held vapour spreads through the bed between uses and can pass at the first breath.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "with 95 % confidence one set serves {shifts} of {asked} shifts, the first minutes after each night included",
    remedy: "keep the elements as the pattern says, and change them when the shifts are over",
};

/// The common practice of one shift is lifted by a named person.
///
/// # What it asks
/// Whether a named person accepts, on a calibrated calculation, that elements are worn again.
/// # Why
/// A vapour that boils below 65 degC wanders through the bed; only a calculation calibrated on a test
/// of these elements can say that it does not come through.
/// # Citation
/// common practice, no source
/// # Example that passes
/// A calibrated case that a named person accepted for two shifts.
/// # Example that stops
/// Nothing stops; without both the elements are for one shift.
/// # Remedy
/// Have the elements tested, and the calculation accepted.
/// # Limits
/// Lifts no rule of a substance and no cap of the site.
pub static REUSE_ACCEPTED: Rule = Rule {
    id: "service-life.reuse-accepted",
    asks: "Does a named person accept a calibrated calculation of reuse?",
    why: "A vapour that boils below 65 degC wanders through the bed; only a calculation calibrated on a test of these elements can say that it does not come through.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "{who} accepted on {when}, on the report {report}, that elements are worn for up to {shifts} shifts",
    remedy: "nothing to do while elements, pattern and levels stay as calibrated",
};

/// Reuse was accepted on a calculation that was not calibrated.
///
/// # What it asks
/// Whether what a named person accepted is a calibrated calculation of every vapour.
/// # Why
/// The usual error of the calculation is too wide to lift a rule of caution.
/// # Citation
/// common practice, no source
/// # Example that passes
/// A case with the micropore volume, energy, rate and correlation of a calibration.
/// # Example that stops
/// Nothing stops; the elements are for one shift.
/// # Remedy
/// Calibrate on a test of these elements and put the result into the case.
/// # Limits
/// Of what is on record, the kind of set, the flow and the number of elements must be those that were
/// calculated with, and who accepted it must have run the program then.
pub static REUSE_NOT_LIFTED: Rule = Rule {
    id: "service-life.reuse-not-lifted",
    asks: "Is the calculation that was accepted a calibrated one?",
    why: "The usual error of the calculation is too wide to lift a rule of caution.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "{who} accepted reuse, but {reason}: elements stay for one shift",
    remedy: "calibrate on a test of these elements, march the bed for the set and the flow that they \
             are worn at, and have the administrator of the program accept the result",
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

/// Nothing is told of the nights between shifts.
///
/// # What it asks
/// Whether it is told how long and how the elements are kept between two shifts.
/// # Why
/// The load spreads through the bed meanwhile.
/// # Citation
/// common practice, no source
/// # Example that passes
/// Three shifts with between_shifts = "16 h" and storage = "sealed".
/// # Example that stops
/// Nothing stops; the note says what is taken.
/// # Remedy
/// Tell how long and how they are kept.
/// # Limits
/// None.
pub static NIGHT_ASSUMED: Rule = Rule {
    id: "service-life.night-assumed",
    asks: "Is it told how elements are kept between shifts?",
    why: "The load spreads through the bed meanwhile.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "not all is said of the time between shifts: {hours} h are taken, with the elements sealed unless they are said to lie open",
    remedy: "give between_shifts and storage in [work], and keep the elements so",
};

/// Elements lie open between two uses.
///
/// # What it asks
/// Whether elements are closed while they are not worn.
/// # Why
/// Open elements take up water and whatever is in the air of the room.
/// # Citation
/// 29 CFR 1910.134(h)(2)(i)
/// # Example that passes
/// Elements in a closed bag overnight.
/// # Example that stops
/// Nothing stops; nothing that may leave by the open faces is counted on.
/// # Remedy
/// Seal them.
/// # Limits
/// Contaminants in the room where they lie are not computed.
pub static OPEN_STORAGE: Rule = Rule {
    id: "service-life.open-storage",
    asks: "Are elements closed while they are not worn?",
    why: "Open elements take up water and whatever is in the air of the room.",
    citation: "29 CFR 1910.134(h)(2)(i)",
    authority: Authority::Read,
    says: "the elements lie open between uses: they take up water and what else is in the room, and no recovery is counted on",
    remedy: "keep them sealed, away from contaminants, dust, sunlight, heat and moisture",
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

/// Elements of the same kind, lot and opening were worn on another set.
///
/// # What it asks
/// Whether elements that were opened some time before they were fitted may have been worn on another set.
/// # Why
/// What elements took up on one set they hold on the next.
/// # Citation
/// 29 CFR 1910.134(d)(3)(iii)(B)(2)
/// # Example that passes
/// Elements whose seal was opened when they were fitted.
/// # Example that stops
/// Nothing stops by itself: what was worn of them there before they were fitted here counts here as well.
/// # Remedy
/// Fit elements from a sealed pack.
/// # Limits
/// Told by kind, lot and the instant of opening, which others of one pack share: these count too, whenever
/// others took their place on the other set. Those that are told to be on it still count only where the
/// instant of opening is the very same.
pub static WORN_ELSEWHERE: Rule = Rule {
    id: "service-life.worn-elsewhere",
    asks: "May elements that were opened before they were fitted have been worn on another set?",
    why: "What elements took up on one set they hold on the next.",
    citation: SCHEDULE,
    authority: Authority::Read,
    says: "elements of the same kind and lot `{lot}`, opened at about the same time, were worn for {worn} min on `{set}`{sensed}: {counted}",
    remedy: "if they are these, or nobody knows, fit new ones from a sealed pack and record when that was opened",
};

/// All rules of this file.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    vec![
        &REFUSED,
        &TOO_SHORT,
        &CHANGE_WITHIN_SHIFT,
        &CERTIFICATION_ONLY,
        &EDGE,
        &ESTIMATED_PROPERTY,
        &REUSE,
        &NEVER_REACHED,
        &CARE,
        &END_ABOVE_LIMIT,
        &NOT_SELECTED,
        &PATTERN_OVER,
        &NOT_SHARED,
        &BREATHED,
        &REUSE_COMPUTED,
        &REUSE_ACCEPTED,
        &REUSE_NOT_LIFTED,
        &PLACE_UNTOLD,
        &NIGHT_ASSUMED,
        &OPEN_STORAGE,
        &SEGMENTS_BELOW_READINGS,
        &USUAL_SHIFT,
        &BLOWER,
        &WORN_ELSEWHERE,
        &UNCALIBRATED,
        &BY_RULE_ALONE,
    ]
}
