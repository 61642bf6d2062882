//! What is said of a step that is not allowed.

use crate::{Authority, Rule};

/// A retired set comes back.
///
/// # What it asks
/// Is the set still in use?
/// # Why
/// A set is retired because it is not to protect anybody any more.
/// # Citation
/// 29 CFR 1910.134(h)(4)
/// # Example that passes
/// A set in service.
/// # Example that stops
/// A retired set is issued.
/// # Remedy
/// Take another set; where it was retired by mistake, correct that entry.
/// # Limits
/// None.
pub static RETIRED: Rule = Rule {
    id: "care.retired",
    asks: "Is the set still in use?",
    why: "A set is retired because it is not to protect anybody any more.",
    citation: "29 CFR 1910.134(h)(4)",
    authority: Authority::Read,
    says: "the set was retired: it cannot be {event}",
    remedy: "take another set; where it was retired by mistake, correct that entry",
};

/// A held set is used.
///
/// # What it asks
/// Is the set in service?
/// # Why
/// A set that failed or is in doubt may fail on the face.
/// # Citation
/// 29 CFR 1910.134(h)(4)
/// # Example that passes
/// Held, repaired, tested, released, inspected, then issued.
/// # Example that stops
/// Held, then issued.
/// # Remedy
/// Have it repaired where needed, tested and released by a person with current repair training, then inspected.
/// # Limits
/// None.
pub static OUT_OF_SERVICE: Rule = Rule {
    id: "care.out-of-service",
    asks: "Is the set in service?",
    why: "A set that failed or is in doubt may fail on the face.",
    citation: "29 CFR 1910.134(h)(4)",
    authority: Authority::Read,
    says: "the set is {stage} and was not released: it cannot be {event}",
    remedy: "have it repaired where needed, tested and released by a person with current repair training, then inspected",
};

/// A correction stands where a release is needed.
///
/// # What it asks
/// Was a set that was taken out of service put back by a person who may?
/// # Why
/// The fault may be there, whatever the record is made to say afterwards.
/// # Citation
/// 29 CFR 1910.134(h)(4)
/// # Example that passes
/// Held by mistake; a person with current repair training corrects the entry.
/// # Example that stops
/// An inspection failed, and somebody without that training corrects it to passed.
/// # Remedy
/// Have it tested and released by a person with current repair training, or have such a person correct
/// the entry, then have it inspected.
/// # Limits
/// Who corrected is who entered the correction. A correction by a person with that training is told.
pub static UNDONE: Rule = Rule {
    id: "care.undone-by-correction",
    asks: "Was a set that was taken out of service put back by a person who may?",
    why: "The fault may be there, whatever the record is made to say afterwards.",
    citation: "29 CFR 1910.134(h)(4)",
    authority: Authority::Read,
    says: "the set was taken out of service, and {who}, {how}, corrected that entry to say otherwise",
    remedy: "have it tested and released by a person with current repair training, or have such a person correct the entry, then have it inspected",
};

/// A used set goes on undisinfected.
///
/// # What it asks
/// Was the set disinfected since its last wearer?
/// # Why
/// What one wearer breathed out stays in the facepiece for the next.
/// # Citation
/// 29 CFR 1910.134(h)(1)(ii)-(iv)
/// # Example that passes
/// Worn by one, disinfected, issued to another.
/// # Example that stops
/// Worn by one, inspected, issued to another.
/// # Remedy
/// Take it apart, wash, disinfect, rinse and dry it, put it together and inspect it.
/// # Limits
/// A set of one wearer may go back to that wearer; shared, emergency and test sets are disinfected even for the same one.
pub static DISINFECT_FIRST: Rule = Rule {
    id: "care.disinfect-first",
    asks: "Was the set disinfected since its last wearer?",
    why: "What one wearer breathed out stays in the facepiece for the next.",
    citation: "29 CFR 1910.134(h)(1)(ii)-(iv)",
    authority: Authority::Read,
    says: "the set is {stage}, was used and not disinfected since: it cannot be {event}",
    remedy: "take it apart, wash, disinfect, rinse and dry it, put it together and inspect it",
};

/// A step out of order.
///
/// # What it asks
/// Do the steps of cleaning come in their order?
/// # Why
/// Dirt shields what lies under it from the bath, and what remains of the bath harms skin and rubber.
/// # Citation
/// 29 CFR 1910.134 App. B-2 I.A to I.H
/// # Example that passes
/// Taken apart, washed, rinsed, disinfected, rinsed, dried, reassembled.
/// # Example that stops
/// Disinfected without having been washed.
/// # Remedy
/// Keep the order: take apart, wash, rinse, disinfect, rinse, dry, put together, inspect.
/// # Limits
/// A maker's own procedure of equal effect is not known here.
pub static ORDER: Rule = Rule {
    id: "care.order",
    asks: "Do the steps of cleaning come in their order?",
    why: "Dirt shields what lies under it from the bath, and what remains of the bath harms skin and rubber.",
    citation: "29 CFR 1910.134 App. B-2 I.A to I.H",
    authority: Authority::Read,
    says: "the set is {stage}: it cannot be {event} now",
    remedy: "keep the order: take apart, wash, rinse, disinfect, rinse, dry, put together, inspect",
};

/// Taken from the bath too soon.
///
/// # What it asks
/// Did the disinfectant stay on for its time?
/// # Why
/// A disinfectant needs its time; a dip does nothing.
/// # Citation
/// 29 CFR 1910.134 App. B-2 I.D
/// # Example that passes
/// Left in the bath for the full time.
/// # Example that stops
/// Taken out at once.
/// # Remedy
/// Put it back into the bath for the full time.
/// # Limits
/// The time itself is judged where the bath is recorded.
pub static CONTACT: Rule = Rule {
    id: "care.contact",
    asks: "Did the disinfectant stay on for its time?",
    why: "A disinfectant needs its time; a dip does nothing.",
    citation: "29 CFR 1910.134 App. B-2 I.D",
    authority: Authority::Read,
    says: "the set is {stage}; it was {event} and does not count as disinfected",
    remedy: "put it back into the bath for the full time",
};

/// Issued without an inspection.
///
/// # What it asks
/// Was the set inspected since it was received or put together?
/// # Why
/// What is put together wrongly leaks.
/// # Citation
/// 29 CFR 1910.134(h)(3)(i)(A)
/// # Example that passes
/// Reassembled, inspected, issued.
/// # Example that stops
/// Reassembled, then issued.
/// # Remedy
/// Inspect it and record what was found.
/// # Limits
/// None.
pub static INSPECT_FIRST: Rule = Rule {
    id: "care.inspect-first",
    asks: "Was the set inspected since it was received or put together?",
    why: "What is put together wrongly leaks.",
    citation: "29 CFR 1910.134(h)(3)(i)(A)",
    authority: Authority::Read,
    says: "the set is {stage}: it cannot be {event} before an inspection passed",
    remedy: "inspect it and record what was found",
};

/// It is not in those hands.
///
/// # What it asks
/// Is the set in the hands of the person who uses it or gives it back?
/// # Why
/// A set that nobody answers for is in no known state.
/// # Citation
/// none: the record must say who has the set
/// # Example that passes
/// Issued to a wearer, worn by that wearer.
/// # Example that stops
/// Worn by one to whom it was not issued.
/// # Remedy
/// Record who has it: an issue or a return is missing, or names another person.
/// # Limits
/// None.
pub static IN_HANDS: Rule = Rule {
    id: "care.in-hands",
    asks: "Is the set in the hands of the person who uses it or gives it back?",
    why: "A set that nobody answers for is in no known state.",
    citation: "none: the record must say who has the set",
    authority: Authority::Necessity,
    says: "the set is {stage}: by the record {what}",
    remedy: "record who has it: an issue or a return is missing, or names another person",
};

/// A filtering facepiece in the bath.
///
/// # What it asks
/// Is a filtering facepiece left uncleaned?
/// # Why
/// It is the filter itself: water and cleaner take away its charge and its shape.
/// # Citation
/// common practice; 29 CFR 1910.134 App. B-2 I.A has filters taken off before washing
/// # Example that passes
/// Inspected and kept by its wearer, or thrown away.
/// # Example that stops
/// Washed.
/// # Remedy
/// Throw it away.
/// # Limits
/// Wiping its face seal, where its maker allows that, is not recorded as cleaning.
pub static FILTERING_FACEPIECE_CLEANED: Rule = Rule {
    id: "care.filtering-facepiece-cleaned",
    asks: "Is a filtering facepiece left uncleaned?",
    why: "It is the filter itself: water and cleaner take away its charge and its shape.",
    citation: "common practice; 29 CFR 1910.134 App. B-2 I.A has filters taken off before washing",
    authority: Authority::CommonPractice,
    says: "a filtering facepiece is never cleaned, and this one was {event}",
    remedy: "throw it away",
};

/// A filtering facepiece for a second wearer.
///
/// # What it asks
/// Is a filtering facepiece kept by one wearer?
/// # Why
/// It cannot be disinfected between two.
/// # Citation
/// 29 CFR 1910.134(h)(1)(ii)
/// # Example that passes
/// Issued again to the same wearer after an inspection.
/// # Example that stops
/// Issued to another.
/// # Remedy
/// Throw it away and take a new one.
/// # Limits
/// One marked as shared, for emergencies or for tests is for a single use.
pub static FILTERING_FACEPIECE_ONE_WEARER: Rule = Rule {
    id: "care.filtering-facepiece-one-wearer",
    asks: "Is a filtering facepiece kept by one wearer?",
    why: "It cannot be disinfected between two.",
    citation: "29 CFR 1910.134(h)(1)(ii)",
    authority: Authority::Read,
    says: "this filtering facepiece was used: it cannot be {event} again for this person",
    remedy: "throw it away and take a new one",
};

/// Released untested.
///
/// # What it asks
/// Was the set held, tested and found good before its release?
/// # Why
/// Only a test shows that the fault is gone.
/// # Citation
/// common practice, no source; a test ends each cleaning in 29 CFR 1910.134 App. B-2 I.H
/// # Example that passes
/// Held, repaired, tested, released.
/// # Example that stops
/// Held, then released.
/// # Remedy
/// Test its function and tightness, then release it.
/// # Limits
/// None.
pub static TEST_FIRST: Rule = Rule {
    id: "care.test-first",
    asks: "Was the set held, tested and found good before its release?",
    why: "Only a test shows that the fault is gone.",
    citation: "common practice, no source; a test ends each cleaning in 29 CFR 1910.134 App. B-2 I.H",
    authority: Authority::CommonPractice,
    says: "the set is {stage}: it is released only from a hold, after a test that it passed",
    remedy: "test its function and tightness, then release it",
};

/// Elements on a filtering facepiece.
///
/// # What it asks
/// Has the set elements that can be changed?
/// # Why
/// A facepiece that is the filter itself carries none; an entry that says so is about another set.
/// # Citation
/// none: the record contradicts itself
/// # Example that passes
/// Cartridges changed on a half mask.
/// # Example that stops
/// Cartridges changed on a filtering facepiece.
/// # Remedy
/// Correct the entry, or the model of the set.
/// # Limits
/// None.
pub static NO_ELEMENTS: Rule = Rule {
    id: "care.no-elements",
    asks: "Has the set elements that can be changed?",
    why: "A facepiece that is the filter itself carries none; an entry that says so is about another set.",
    citation: "none: the record contradicts itself",
    authority: Authority::Necessity,
    says: "a filtering facepiece cannot be {event}",
    remedy: "correct the entry, or the model of the set",
};

/// A repair or release by an untrained person.
///
/// # What it asks
/// Was the set repaired and released by a person with current repair training?
/// # Why
/// A repair by one who does not know the set may leave it worse, unseen.
/// # Citation
/// 29 CFR 1910.134(h)(4)(i)
/// # Example that passes
/// Released by a person trained in repair this year.
/// # Example that stops
/// Released by the one who needed it.
/// # Remedy
/// Have it tested and released by a person with current repair training.
/// # Limits
/// Whether a training is current is judged by rule `repair.trained`.
pub static REPAIR_TRAINED: Rule = Rule {
    id: "care.repair-trained",
    asks: "Was the set repaired and released by a person with current repair training?",
    why: "A repair by one who does not know the set may leave it worse, unseen.",
    citation: "29 CFR 1910.134(h)(4)(i)",
    authority: Authority::Read,
    says: "the set is {stage}: {event}, it stays out of service",
    remedy: "have it tested and released by a person with current repair training",
};

/// All rules of care.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    vec![
        &RETIRED,
        &OUT_OF_SERVICE,
        &UNDONE,
        &DISINFECT_FIRST,
        &ORDER,
        &CONTACT,
        &INSPECT_FIRST,
        &IN_HANDS,
        &FILTERING_FACEPIECE_CLEANED,
        &FILTERING_FACEPIECE_ONE_WEARER,
        &TEST_FIRST,
        &NO_ELEMENTS,
        &REPAIR_TRAINED,
    ]
}
