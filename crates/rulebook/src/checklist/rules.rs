//! What is said of a filled checklist.

use crate::{Authority, Rule};

/// A point was left out.
///
/// # What it asks
/// Was every point of the inspection looked at?
/// # Why
/// What was not looked at may be broken.
/// # Citation
/// 29 CFR 1910.134(h)(3)(ii)
/// # Example that passes
/// Every point answered.
/// # Example that stops
/// The straps left out.
/// # Remedy
/// Look at it and record what was found.
/// # Limits
/// None.
pub static MISSING: Rule = Rule {
    id: "checklist.missing",
    asks: "Was every point of the inspection looked at?",
    why: "What was not looked at may be broken.",
    citation: "29 CFR 1910.134(h)(3)(ii)",
    authority: Authority::Read,
    says: "{part} ({point}) was not looked at",
    remedy: "look at it and record what was found",
};

/// A point has two answers.
///
/// # What it asks
/// Has every point one answer?
/// # Why
/// Of two answers one is wrong, and it is not known which.
/// # Citation
/// none: one point, one answer
/// # Example that passes
/// One answer each.
/// # Example that stops
/// The valves passed and failed.
/// # Remedy
/// Look at it again and give one answer.
/// # Limits
/// None.
pub static TWICE: Rule = Rule {
    id: "checklist.twice",
    asks: "Has every point one answer?",
    why: "Of two answers one is wrong, and it is not known which.",
    citation: "none: one point, one answer",
    authority: Authority::Necessity,
    says: "{part} ({point}) has more than one answer",
    remedy: "look at it again and give one answer",
};

/// A point failed.
///
/// # What it asks
/// Did every point pass?
/// # Why
/// A set that fails an inspection is out of service.
/// # Citation
/// 29 CFR 1910.134(h)(4)
/// # Example that passes
/// Every point passed.
/// # Example that stops
/// A torn strap.
/// # Remedy
/// Hold the set; have it repaired, tested, released and inspected again, or retire it.
/// # Limits
/// None.
pub static FAILED: Rule = Rule {
    id: "checklist.failed",
    asks: "Did every point pass?",
    why: "A set that fails an inspection is out of service.",
    citation: "29 CFR 1910.134(h)(4)",
    authority: Authority::Read,
    says: "{part} ({point}) failed: {found}",
    remedy: "hold the set; have it repaired, tested, released and inspected again, or retire it",
};

/// A point was set aside that applies.
///
/// # What it asks
/// Was a point set aside only where the respirator has no such part?
/// # Why
/// Set aside, a fault is never found.
/// # Citation
/// 29 CFR 1910.134(h)(3)(ii)
/// # Example that passes
/// No connecting tube on a mask without one.
/// # Example that stops
/// The facepiece set aside.
/// # Remedy
/// Look at it and let it pass or fail.
/// # Limits
/// None.
pub static APPLIES: Rule = Rule {
    id: "checklist.applies",
    asks: "Was a point set aside only where the respirator has no such part?",
    why: "Set aside, a fault is never found.",
    citation: "29 CFR 1910.134(h)(3)(ii)",
    authority: Authority::Read,
    says: "{part} ({point}) was answered with not applicable, and applies to this respirator",
    remedy: "look at it and let it pass or fail",
};

/// An answer to no point.
///
/// # What it asks
/// Does every answer belong to a point of this inspection?
/// # Why
/// Answers from the checklist of another kind of respirator do not show that this one was looked at.
/// # Citation
/// none: the record contradicts itself
/// # Example that passes
/// The checklist of this set.
/// # Example that stops
/// The checklist of another class.
/// # Remedy
/// Use the checklist of this respirator and this occasion.
/// # Limits
/// None.
pub static UNKNOWN_POINT: Rule = Rule {
    id: "checklist.unknown-point",
    asks: "Does every answer belong to a point of this inspection?",
    why: "Answers from the checklist of another kind of respirator do not show that this one was looked at.",
    citation: "none: the record contradicts itself",
    authority: Authority::Necessity,
    says: "`{point}` is no point of this inspection",
    remedy: "use the checklist of this respirator and this occasion",
};

/// A fault without a word.
///
/// # What it asks
/// Is what failed told in words?
/// # Why
/// The one who repairs must know what was seen.
/// # Citation
/// 29 CFR 1910.134(h)(3)(iv)(A)
/// # Example that passes
/// Strap torn at the left buckle.
/// # Example that stops
/// Nothing stops; it is asked for.
/// # Remedy
/// Write down what was found.
/// # Limits
/// Demanded for sets for emergencies; asked for all.
pub static NOTED: Rule = Rule {
    id: "checklist.noted",
    asks: "Is what failed told in words?",
    why: "The one who repairs must know what was seen.",
    citation: "29 CFR 1910.134(h)(3)(iv)(A)",
    authority: Authority::Read,
    says: "{part} ({point}) failed and it is not said how",
    remedy: "write down what was found",
};

/// A record of an emergency set that lacks something.
///
/// # What it asks
/// Does the record of an inspection of a set for emergencies hold all that it must?
/// # Why
/// Such a set is trusted unseen; the record shows that somebody looked, what was found and what is to be done.
/// # Citation
/// 29 CFR 1910.134(h)(3)(iv)(A)
/// # Example that passes
/// Date, name, findings, serial number.
/// # Example that stops
/// No name.
/// # Remedy
/// Complete the record.
/// # Limits
/// The date is that of the entry. A remedy is asked for where something failed.
pub static CERTIFIED: Rule = Rule {
    id: "checklist.certified",
    asks: "Does the record of an inspection of a set for emergencies hold all that it must?",
    why: "Such a set is trusted unseen; the record shows that somebody looked, what was found and what is to be done.",
    citation: "29 CFR 1910.134(h)(3)(iv)(A)",
    authority: Authority::Read,
    says: "the record of the inspection does not tell {missing}",
    remedy: "complete the record",
};

/// All rules of checklists.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    vec![&MISSING, &TWICE, &FAILED, &APPLIES, &UNKNOWN_POINT, &NOTED, &CERTIFIED]
}
