//! What is said of breathing air.

use crate::{Authority, Rule};

/// A figure of the test lies outside Grade D.
///
/// # What it asks
/// Does each figure of the test lie within Grade D?
/// # Why
/// Supplied air is breathed as it is; nothing cleans it at the mask.
/// # Citation
/// 29 CFR 1910.134(i)(1)(ii)
/// # Example that passes
/// Carbon monoxide 2 ppm.
/// # Example that stops
/// Carbon monoxide 12 ppm.
/// # Remedy
/// Take the supply out of use and have it tested again.
/// # Limits
/// Judges the figures as reported; equal to a limit passes.
pub static GRADE_D: Rule = Rule {
    id: "air.grade-d",
    asks: "Does each figure of the test lie within Grade D?",
    why: "Supplied air is breathed as it is; nothing cleans it at the mask.",
    citation: "29 CFR 1910.134(i)(1)(ii)",
    authority: Authority::Read,
    says: "{what} is {measured}; Grade D asks for {limit}",
    remedy: "take the supply out of use, find the cause, and have the air tested again",
};

/// The air is too moist.
///
/// # What it asks
/// Is the air dry enough for its supply?
/// # Why
/// Water freezes in valves and rusts cylinders.
/// # Citation
/// 29 CFR 1910.134(i)(4)(iii) and (i)(5)(ii)
/// # Example that passes
/// A cylinder at -50 degF.
/// # Example that stops
/// A cylinder at -40 degF.
/// # Remedy
/// Dry the supply and test again.
/// # Limits
/// The dew point at one atmosphere is judged.
pub static MOISTURE: Rule = Rule {
    id: "air.moisture",
    asks: "Is the air dry enough for its supply?",
    why: "Water freezes in valves and rusts cylinders.",
    citation: "29 CFR 1910.134(i)(4)(iii) and (i)(5)(ii)",
    authority: Authority::Read,
    says: "the dew point at one atmosphere is {measured}; {limit}",
    remedy: "dry the supply, change the drying bed, and have the air tested again",
};

/// A figure is missing from the test.
///
/// # What it asks
/// Does the test report every figure of Grade D?
/// # Why
/// What was not measured cannot be trusted.
/// # Citation
/// 29 CFR 1910.134(i)(1)(ii)
/// # Example that passes
/// All figures reported.
/// # Example that stops
/// No figure for carbon monoxide.
/// # Remedy
/// Have it measured.
/// # Limits
/// None.
pub static NOT_REPORTED: Rule = Rule {
    id: "air.not-reported",
    asks: "Does the test report every figure of Grade D?",
    why: "What was not measured cannot be trusted.",
    citation: "29 CFR 1910.134(i)(1)(ii)",
    authority: Authority::Read,
    says: "{what} is not reported",
    remedy: "have {what} measured",
};

/// The dew point was measured under pressure.
///
/// # What it asks
/// Was the dew point measured at one atmosphere?
/// # Why
/// The same air has a far lower dew point once it has expanded.
/// # Citation
/// 29 CFR 1910.134(i)(4)(iii)
/// # Example that passes
/// Measured at one atmosphere.
/// # Example that stops
/// Nothing stops; the converted dew point is judged.
/// # Remedy
/// Measure at one atmosphere.
/// # Limits
/// Ideal gas: at high pressure air holds more water than that, so the true dew point is higher.
pub static UNDER_PRESSURE: Rule = Rule {
    id: "air.dew-point-under-pressure",
    asks: "Was the dew point measured at one atmosphere?",
    why: "The same air has a far lower dew point once it has expanded.",
    citation: "29 CFR 1910.134(i)(4)(iii)",
    authority: Authority::Read,
    says: "a dew point of {measured} at {pressure} is {atmospheric} at one atmosphere, as an ideal gas",
    remedy: "have the dew point measured at one atmosphere where it is near its limit",
};

/// The cylinder is at or below the mark at which it is to be filled.
///
/// # What it asks
/// Does the cylinder hold more than 90 % of its rated pressure?
/// # Why
/// The minutes of air in a cylinder are its pressure.
/// # Citation
/// 29 CFR 1910.134(h)(3)(iii)
/// # Example that passes
/// 285 of 300 bar.
/// # Example that stops
/// Nothing stops here; the verdict for a wearer does.
/// # Remedy
/// Fill the cylinder.
/// # Limits
/// A set in use may well be lower.
pub static CYLINDER_LOW: Rule = Rule {
    id: "air.cylinder-low",
    asks: "Does the cylinder hold more than 90 % of its rated pressure?",
    why: "The minutes of air in a cylinder are its pressure.",
    citation: "29 CFR 1910.134(h)(3)(iii)",
    authority: Authority::Read,
    says: "the cylinder holds {charge} of {rated}, not above {mark} %",
    remedy: "fill it before it is kept or issued",
};

/// The rated pressure of the cylinder was not given.
///
/// # What it asks
/// Is the rated pressure known?
/// # Why
/// A charge above the rating is refused, and one at or below 90 % is to be filled.
/// # Citation
/// 29 CFR 1910.134(h)(3)(iii)
/// # Example that passes
/// Rated 300 bar.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// Give the rated pressure.
/// # Limits
/// None.
pub static RATED_NOT_GIVEN: Rule = Rule {
    id: "air.rated-not-given",
    asks: "Is the rated pressure known?",
    why: "A charge clearly above the rating is refused, and one at or below 90 % is to be filled.",
    citation: "29 CFR 1910.134(h)(3)(iii)",
    authority: Authority::Read,
    says: "the rated pressure is not given, so the charge is not held against it",
    remedy: "give the rated pressure that is stamped on the cylinder",
};

/// The alarm would come too late.
///
/// # What it asks
/// Does the low-air alarm sound with enough air left?
/// # Why
/// The rest is the way out.
/// # Citation
/// 42 CFR 84.83(f)
/// # Example that passes
/// Alarm at 33 %.
/// # Example that stops
/// Alarm at 20 %.
/// # Remedy
/// Have the alarm set.
/// # Limits
/// The rule counts rated service time; here it is a part of the usable air. An approval may ask for
/// more.
pub static ALARM_FRACTION: Rule = Rule {
    id: "air.alarm-fraction",
    asks: "Does the low-air alarm sound with enough air left?",
    why: "The rest is the way out.",
    citation: "42 CFR 84.83(f)",
    authority: Authority::Read,
    says: "the alarm is set to {given}; at least {least} is needed, and {least} is used here",
    remedy: "have the alarm set by the maker or a trained person",
};

/// What a duration means.
///
/// # What it asks
/// What does a duration of air rest on?
/// # Why
/// Breathing changes with the work, the person and the heat.
/// # Citation
/// common practice, no source
/// # Example that passes
/// A steady walk.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// Read the gauge often.
/// # Limits
/// The rated service time of a set is not a promise for this work.
pub static DURATION: Rule = Rule {
    id: "air.duration",
    asks: "What does a duration of air rest on?",
    why: "Breathing changes with the work, the person and the heat.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "{to_alarm} to the alarm and {to_empty} to the end hold at {minute_volume} only; hard work takes two to three times as much",
    remedy: "plan the way out within the time after the alarm, and read the gauge often",
};

/// The hose is longer than its type may have.
///
/// # What it asks
/// Is the hose within the length of its type?
/// # Why
/// A longer hose may not carry enough air.
/// # Citation
/// 42 CFR part 84 subpart J Table 8
/// # Example that passes
/// Type C, 60 m.
/// # Example that stops
/// Type B, 30 m.
/// # Remedy
/// Shorten the hose.
/// # Limits
/// The maker may approve less, and only his own hose.
pub static HOSE_LENGTH: Rule = Rule {
    id: "air.hose-length",
    asks: "Is the hose within the length of its type?",
    why: "A longer hose may not carry enough air.",
    citation: "42 CFR part 84 subpart J Table 8",
    authority: Authority::Read,
    says: "the hose is {length}; {airline} may have at most {limit}",
    remedy: "shorten the hose or bring the source nearer",
};

/// The pressure at the inlet of the hose is too high.
///
/// # What it asks
/// Is the pressure at the inlet of the hose within its limit?
/// # Why
/// Too much pressure can burst the hose or force the valve.
/// # Citation
/// 42 CFR 84.148(b) and 84.149(c)-(d)
/// # Example that passes
/// 5 bar.
/// # Example that stops
/// 10 bar.
/// # Remedy
/// Turn the regulator down.
/// # Limits
/// The range that the maker approved stands above this.
pub static HOSE_PRESSURE: Rule = Rule {
    id: "air.hose-pressure",
    asks: "Is the pressure at the inlet of the hose within its limit?",
    why: "Too much pressure can burst the hose or force the valve.",
    citation: "42 CFR 84.148(b) and 84.149(c)-(d)",
    authority: Authority::Read,
    says: "{pressure} at the inlet of the hose; {airline} may have at most {limit}{relief}",
    remedy: "turn the regulator down to the range that the maker approved",
};

/// The flow lies outside the range of continuous flow.
///
/// # What it asks
/// Does the flow at the facepiece lie within its range?
/// # Why
/// Too little lets room air in; too much chills and deafens.
/// # Citation
/// 42 CFR part 84 subpart J Table 8
/// # Example that passes
/// 150 L/min at a tight facepiece.
/// # Example that stops
/// 90 L/min at a tight facepiece.
/// # Remedy
/// Set the pressure for this length of hose.
/// # Limits
/// Continuous flow and demand at a single point only.
pub static HOSE_FLOW: Rule = Rule {
    id: "air.hose-flow",
    asks: "Does the flow at the facepiece lie within its range?",
    why: "Too little lets room air in; too much chills and deafens.",
    citation: "42 CFR part 84 subpart J Table 8",
    authority: Authority::Read,
    says: "the flow is {flow}; {airline} needs {limit}",
    remedy: "set the pressure within the range of the maker for this length of hose",
};

/// What stands above these figures.
///
/// # What it asks
/// What stands above every figure of breathing air?
/// # Why
/// Approvals, makers and fillers know the set and the source.
/// # Citation
/// 29 CFR 1910.134(i)
/// # Example that passes
/// None.
/// # Example that stops
/// None.
/// # Remedy
/// Ask them.
/// # Limits
/// None.
pub static CARE: Rule = Rule {
    id: "air.care",
    asks: "What stands above every figure of breathing air?",
    why: "Approvals, makers and fillers know the set and the source.",
    citation: "29 CFR 1910.134(i)",
    authority: Authority::Read,
    says: "the certificate of the filler, the approval of the set and its maker stand above this",
    remedy: "ask them where the figures are close",
};

/// All rules of breathing air.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    vec![
        &GRADE_D,
        &MOISTURE,
        &NOT_REPORTED,
        &UNDER_PRESSURE,
        &CYLINDER_LOW,
        &RATED_NOT_GIVEN,
        &ALARM_FRACTION,
        &DURATION,
        &HOSE_LENGTH,
        &HOSE_PRESSURE,
        &HOSE_FLOW,
        &CARE,
    ]
}
