//! What is said where elements are worn again.

use super::SCHEDULE;
use crate::{Authority, Rule};

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
