//! What is said of a fit test.

use super::agent::{CITED, WHY_FRESH};
use crate::{Authority, Rule};

/// The protocol does not serve the facepiece.
///
/// # What it asks
/// Does the protocol serve this facepiece?
/// # Why
/// A test made for another facepiece shows nothing about this one.
/// # Citation
/// 29 CFR 1910.134 App. A Part I
/// # Example that passes
/// A filtering facepiece by the protocol made for it.
/// # Example that stops
/// A filtering facepiece under a held vacuum.
/// # Remedy
/// Fit test by a protocol that serves the facepiece.
/// # Limits
/// Some lines are inferred from what a test needs; `data/fit_protocol_facepieces.csv` says which.
pub static FACEPIECE_ALLOWED: Rule = Rule {
    id: "fit-test.facepiece-allowed",
    asks: "Does the protocol serve this facepiece?",
    why: "A test made for another facepiece shows nothing about this one.",
    citation: "29 CFR 1910.134 App. A Part I",
    authority: Authority::Read,
    says: "{protocol} {says} {facepiece}: {condition}",
    remedy: "fit test by a protocol that serves a {facepiece}",
};

/// The protocol serves the facepiece under a condition.
///
/// # What it asks
/// Is the condition kept under which the protocol serves this facepiece?
/// # Why
/// A test by taste, smell or irritation shows a fit factor of 100 and no more; other tests need
/// certain filters.
/// # Citation
/// 29 CFR 1910.134 App. A Part I; (f)(6)
/// # Example that passes
/// A half mask by taste.
/// # Example that stops
/// Nothing stops; the verdict for a task asks whether the condition is kept.
/// # Remedy
/// Keep the condition or take another protocol.
/// # Limits
/// Whether the condition is kept is not known here.
pub static FACEPIECE_CONDITION: Rule = Rule {
    id: "fit-test.facepiece-condition",
    asks: "Is the condition kept under which the protocol serves this facepiece?",
    why: "A test by taste, smell or irritation shows a fit factor of 100 and no more; other tests need certain filters.",
    citation: "29 CFR 1910.134 App. A Part I; (f)(6)",
    authority: Authority::Read,
    says: "{protocol} {says} {facepiece} only {condition}",
    remedy: "see to it that this holds, or fit test by another protocol",
};

/// An exercise of the protocol was not done or not measured.
///
/// # What it asks
/// Was every exercise of the protocol done?
/// # Why
/// Each exercise opens the seal in another way.
/// # Citation
/// 29 CFR 1910.134 App. A Part I.A.14
/// # Example that passes
/// All exercises of the protocol.
/// # Example that stops
/// Seven of eight, without talking.
/// # Remedy
/// Do the whole test again.
/// # Limits
/// How long each exercise took is not asked.
pub static EXERCISES_MISSING: Rule = Rule {
    id: "fit-test.exercises-missing",
    asks: "Was every exercise of the protocol done?",
    why: "Each exercise opens the seal in another way.",
    citation: "29 CFR 1910.134 App. A Part I.A.14",
    authority: Authority::Read,
    says: "exercises are missing: {missing}",
    remedy: "do the whole test again, every exercise in its order",
};

/// An exercise that does not count is not recorded at all.
///
/// # What it asks
/// Was the exercise done that does not count?
/// # Why
/// It is part of the protocol although its factor is left out.
/// # Citation
/// 29 CFR 1910.134 App. A Part I.A.14
/// # Example that passes
/// A grimace recorded without a number.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// Record the exercise.
/// # Limits
/// Whether it was done is not known.
pub static EXERCISE_NOT_RECORDED: Rule = Rule {
    id: "fit-test.exercise-not-recorded",
    asks: "Was the exercise done that does not count?",
    why: "It is part of the protocol although its factor is left out.",
    citation: "29 CFR 1910.134 App. A Part I.A.14",
    authority: Authority::Read,
    says: "exercise {exercise} ({name}) is not recorded; it does not count, but it is to be done",
    remedy: "record that the exercise was done",
};

/// The overall fit factor lies under the mark.
///
/// # What it asks
/// Does the overall fit factor reach the mark of the facepiece?
/// # Why
/// Below the mark the facepiece leaks more than its protection factor allows.
/// # Citation
/// 29 CFR 1910.134(f)(7)
/// # Example that passes
/// Half mask, overall 100.
/// # Example that stops
/// Full facepiece, overall 499.9.
/// # Remedy
/// Try another model or size.
/// # Limits
/// Compared unrounded; equal passes.
pub static BELOW_PASS_MARK: Rule = Rule {
    id: "fit-test.below-pass-mark",
    asks: "Does the overall fit factor reach the mark of the facepiece?",
    why: "Below the mark the facepiece leaks more than its protection factor allows.",
    citation: "29 CFR 1910.134(f)(7)",
    authority: Authority::Read,
    says: "the overall fit factor is {overall}; a {facepiece} needs at least {required}",
    remedy: "try another model or size and fit test it",
};

/// A single peak inside was too high.
///
/// # What it asks
/// Did any single peak inside stay under its limit?
/// # Why
/// A peak is a seal that opens for a moment.
/// # Citation
/// 29 CFR 1910.134 App. A Part I.C.2
/// # Example that passes
/// A peak of 2 % in a half mask.
/// # Example that stops
/// A peak of 2 % in a full facepiece.
/// # Remedy
/// Seat the facepiece again and repeat the test.
/// # Limits
/// Generated aerosol only.
pub static PEAK: Rule = Rule {
    id: "fit-test.peak",
    asks: "Did any single peak inside stay under its limit?",
    why: "A peak is a seal that opens for a moment.",
    citation: "29 CFR 1910.134 App. A Part I.C.2",
    authority: Authority::Read,
    says: "exercise {exercise}: a peak of {peak} inside; a {facepiece} may have at most {limit} %",
    remedy: "seat the facepiece again and repeat the test, or try another size",
};

/// The peaks of a generated-aerosol test were not given.
///
/// # What it asks
/// Were the peaks inside watched?
/// # Why
/// The protocol passes only without a peak above its limit.
/// # Citation
/// 29 CFR 1910.134 App. A Part I.C.2
/// # Example that passes
/// A peak for every exercise.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// Give the highest peak of each exercise.
/// # Limits
/// The factor alone is judged.
pub static PEAKS_NOT_GIVEN: Rule = Rule {
    id: "fit-test.peaks-not-given",
    asks: "Were the peaks inside watched?",
    why: "The protocol passes only without a peak above its limit.",
    citation: "29 CFR 1910.134 App. A Part I.C.2",
    authority: Authority::Read,
    says: "the highest peak inside is not given for every exercise, so peaks are not judged",
    remedy: "read the highest peak of each exercise from the record of the test",
};

/// The concentration in the chamber drifted.
///
/// # What it asks
/// Did the concentration in the chamber stay within 10 %?
/// # Why
/// A factor against a moving outside is uncertain.
/// # Citation
/// 29 CFR 1910.134 App. A Part I.C.2
/// # Example that passes
/// 100 before, 95 after.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// Steady the chamber and repeat the test.
/// # Limits
/// Seen from two readings only.
pub static CHAMBER_STEADY: Rule = Rule {
    id: "fit-test.chamber-steady",
    asks: "Did the concentration in the chamber stay within 10 %?",
    why: "A factor against a moving outside is uncertain.",
    citation: "29 CFR 1910.134 App. A Part I.C.2",
    authority: Authority::Read,
    says: "exercise {exercise}: the concentration outside moved by {drift} % from its mean, more than 10 %",
    remedy: "steady the chamber and repeat the test",
};

/// The count outside changed much during an exercise.
///
/// # What it asks
/// Did the count outside stay within a factor of two during each exercise?
/// # Why
/// The factor rests on the mean of two counts; where they lie far apart, the true one is anywhere
/// between.
/// # Citation
/// common practice, no source
/// # Example that passes
/// 2400 before, 1900 after.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// Wait until the air of the room is steady, and repeat the test.
/// # Limits
/// Seen from two readings only. In a chamber the rule asks for less than 10 %, by a finding of its own.
pub static AMBIENT_STEADY: Rule = Rule {
    id: "fit-test.ambient-steady",
    asks: "Did the count outside stay within a factor of two during each exercise?",
    why: "The factor rests on the mean of two counts; where they lie far apart, the true one is anywhere between.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "exercise {exercise}: the count outside went from {before} to {after}, more than a factor of two",
    remedy: "wait until the air of the room is steady, or bring a source of particles, and repeat the test",
};

/// The count outside changed much over the test.
///
/// # What it asks
/// Did the count outside stay within a factor of two over the whole test?
/// # Why
/// Where the air of the room moves so much, what is counted outside is not what the wearer stands in.
/// # Citation
/// common practice, no source
/// # Example that passes
/// Between 1900 and 2400 over all exercises.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// Wait until the air of the room is steady, and repeat the test.
/// # Limits
/// Not said where an exercise of its own is told to be unsteady.
pub static AMBIENT_ACROSS: Rule = Rule {
    id: "fit-test.ambient-across",
    asks: "Did the count outside stay within a factor of two over the whole test?",
    why: "Where the air of the room moves so much, what is counted outside is not what the wearer stands in.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "the counts outside lay between {low} and {high} during the test, more than a factor of two apart",
    remedy: "wait until the air of the room is steady, or bring a source of particles, and repeat the test",
};

/// The protocol prints no formula for the overall factor.
///
/// # What it asks
/// Does the protocol print the formula?
/// # Why
/// The harmonic mean is printed for two protocols and used for all.
/// # Citation
/// 29 CFR 1910.134 App. A Part I.C.2(b)(8)
/// # Example that passes
/// Generated aerosol.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// Compare with the factor that the instrument shows.
/// # Limits
/// The instrument may average otherwise.
pub static FORMULA_BY_ANALOGY: Rule = Rule {
    id: "fit-test.formula-by-analogy",
    asks: "Does the protocol print the formula?",
    why: "The harmonic mean is printed for two protocols and used for all.",
    citation: "29 CFR 1910.134 App. A Part I.C.2(b)(8)",
    authority: Authority::Read,
    says: "{protocol} prints no formula for the overall fit factor; the harmonic mean of the others is used",
    remedy: "compare with the overall factor that the instrument shows",
};

/// The wearer was not shown to notice the agent.
///
/// # What it asks
/// Did the wearer notice the weak agent in the screening?
/// # Why
/// One who cannot taste or smell the agent would pass with any leak.
/// # Citation
/// 29 CFR 1910.134 App. A Part I.B
/// # Example that passes
/// Tasted after ten squeezes.
/// # Example that stops
/// Not tasted after thirty.
/// # Remedy
/// Screen first, or test by another protocol.
/// # Limits
/// The number of squeezes is not asked.
pub static SCREENING: Rule = Rule {
    id: "fit-test.screening",
    asks: "Did the wearer notice the weak agent in the screening?",
    why: "One who cannot taste or smell the agent would pass with any leak.",
    citation: "29 CFR 1910.134 App. A Part I.B",
    authority: Authority::Read,
    says: "{state}",
    remedy: "screen first; one who does not notice the agent is tested by another protocol",
};

/// The agent came through.
///
/// # What it asks
/// Did the agent stay unnoticed in every exercise?
/// # Why
/// Noticed means that it leaks.
/// # Citation
/// 29 CFR 1910.134 App. A Part I.B
/// # Example that passes
/// Nothing noticed.
/// # Example that stops
/// Tasted while talking.
/// # Remedy
/// Seat it again or try another size, and test anew.
/// # Limits
/// Rests on the word of the wearer.
pub static NOTICED: Rule = Rule {
    id: "fit-test.noticed",
    asks: "Did the agent stay unnoticed in every exercise?",
    why: "Noticed means that it leaks.",
    citation: "29 CFR 1910.134 App. A Part I.B",
    authority: Authority::Read,
    says: "exercise {exercise}: {agent} was noticed",
    remedy: "seat the facepiece again, or try another model or size, and test anew",
};

/// Nothing shows that the agent was there.
///
/// # What it asks
/// Was the agent shown to be there after the exercises?
/// # Why
/// Silence passes only where there was something to notice.
/// # Citation
/// 29 CFR 1910.134 App. A Part I.B.2 and B.5
/// # Example that passes
/// Smelled as the seal was broken.
/// # Example that stops
/// No reaction to the second check with smoke.
/// # Remedy
/// Repeat the test with fresh agent.
/// # Limits
/// Isoamyl acetate and irritant smoke only.
pub static AGENT_PROVED: Rule = Rule {
    id: "fit-test.agent-proved",
    asks: "Was the agent shown to be there after the exercises?",
    why: "Silence passes only where there was something to notice.",
    citation: "29 CFR 1910.134 App. A Part I.B.2 and B.5",
    authority: Authority::Read,
    says: "{state}",
    remedy: "repeat the test with fresh agent; this one is void",
};

/// The facepiece was adjusted during the test.
///
/// # What it asks
/// Did the facepiece stay as it was once the exercises had begun?
/// # Why
/// What was pulled tight during the test does not sit so at work.
/// # Citation
/// 29 CFR 1910.134 App. A Part I.A.14(b)
/// # Example that passes
/// Seated five minutes before, untouched during the exercises.
/// # Example that stops
/// A strap pulled while bending over.
/// # Remedy
/// Do the whole test again without touching the facepiece.
/// # Limits
/// Where it is not told, nothing is said.
pub static ADJUSTED: Rule = Rule {
    id: "fit-test.adjusted",
    asks: "Did the facepiece stay as it was once the exercises had begun?",
    why: "What was pulled tight during the test does not sit so at work.",
    citation: "29 CFR 1910.134 App. A Part I.A.14(b)",
    authority: Authority::Read,
    says: "the facepiece was adjusted after the exercises had begun, which voids the test",
    remedy: "do the whole test again without touching the facepiece",
};

/// The facepiece became uncomfortable.
///
/// # What it asks
/// Did the wearer still find the facepiece comfortable after the exercises?
/// # Why
/// A mask that hurts is loosened or taken off in bad air.
/// # Citation
/// 29 CFR 1910.134 App. A Part I.A.14(b)
/// # Example that passes
/// Asked after the last exercise, comfortable.
/// # Example that stops
/// It pressed on the nose.
/// # Remedy
/// Try another model or size and fit test it.
/// # Limits
/// Where it is not told, nothing is said.
pub static COMFORT: Rule = Rule {
    id: "fit-test.comfort",
    asks: "Did the wearer still find the facepiece comfortable after the exercises?",
    why: "A mask that hurts is loosened or taken off in bad air.",
    citation: "29 CFR 1910.134 App. A Part I.A.14(b)",
    authority: Authority::Read,
    says: "the facepiece was no longer comfortable after the exercises",
    remedy: "try another model or size and fit test it",
};

/// What the test is done with was past its time.
///
/// # What it asks
/// Is what tests by taste or smell are done with within its time?
/// # Why
/// An old solution is weaker or stronger than it should be, and a nebuliser that was not rinsed clogs: then
/// nothing is noticed whatever the fit.
/// # Citation
/// 29 CFR 1910.134 App. A Part I.B.2(a)(3), B.2(a)(5), B.3(a)(14), B.4(a)(14)
/// # Example that passes
/// Stock solution made on Monday, asked on Friday.
/// # Example that stops
/// Odour test solution made yesterday.
/// # Remedy
/// Throw it away and record that nothing is left of it, or make it anew and record that.
/// # Limits
/// Asked by the day. A nebuliser is asked by the hour in each fit test that was done with it.
pub static AGENT_RENEWED: Rule = Rule {
    id: "fit-test.agent-renewed",
    asks: "Is what tests by taste or smell are done with within its time?",
    why: WHY_FRESH,
    citation: CITED,
    authority: Authority::Read,
    says: "{item} ({agent}) could be used until {until}: it {term}",
    remedy: "make it anew and record that, or throw it away and record that 0 are left",
};

/// An instrument or a test kit is not in order.
///
/// # What it asks
/// Is each instrument and test kit of fit tests calibrated and in order?
/// # Why
/// Until it is, no fit test that is made with it counts.
/// # Citation
/// 29 CFR 1910.134 App. A Part I.B.1(b) and I.C.1(b)
/// # Example that passes
/// Calibrated in March by a maker who asks for it each year, asked in May.
/// # Example that stops
/// The same in April of the next year; one that failed its latest check.
/// # Remedy
/// Calibrate it, or mend and check it, and record that; or take it out of use and record that.
/// # Limits
/// The interval is that of its maker, as the site wrote it down. Whether it is calibrated well is not judged.
pub static INSTRUMENT_READY: Rule = Rule {
    id: "fit-test.instrument-ready",
    asks: "Is each instrument and test kit of fit tests calibrated and in order?",
    why: "Until it is, no fit test that is made with it counts.",
    citation: "29 CFR 1910.134 App. A Part I.B.1(b) and I.C.1(b)",
    authority: Authority::Read,
    says: "{instrument} {why}",
    remedy: "calibrate it, or mend and check it, and record that; or take it out of use and record that",
};

/// All rules of fit tests.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    vec![
        &FACEPIECE_ALLOWED,
        &FACEPIECE_CONDITION,
        &EXERCISES_MISSING,
        &EXERCISE_NOT_RECORDED,
        &BELOW_PASS_MARK,
        &PEAK,
        &PEAKS_NOT_GIVEN,
        &CHAMBER_STEADY,
        &AMBIENT_STEADY,
        &AMBIENT_ACROSS,
        &FORMULA_BY_ANALOGY,
        &SCREENING,
        &NOTICED,
        &AGENT_PROVED,
        &ADJUSTED,
        &COMFORT,
        &AGENT_RENEWED,
        &INSTRUMENT_READY,
    ]
}
