//! What is said of a bath.

use crate::{Authority, Rule};

/// The bath is too hot.
///
/// # What it asks
/// Is the water of the bath no hotter than 43 degC (110 degF)?
/// # Why
/// Hotter water ages rubber and drives the disinfectant out.
/// # Citation
/// 29 CFR 1910.134 App. B-2 I.B to I.E
/// # Example that passes
/// 43 degC.
/// # Example that stops
/// 50 degC.
/// # Remedy
/// Let the bath cool.
/// # Limits
/// Taken from either figure printed, so 110 degF passes.
pub static TEMPERATURE: Rule = Rule {
    id: "bath.temperature",
    asks: "Is the water of the bath no hotter than 43 degC (110 degF)?",
    why: "Hotter water ages rubber and drives the disinfectant out.",
    citation: "29 CFR 1910.134 App. B-2 I.B to I.E",
    authority: Authority::Read,
    says: "the bath is at {temperature}; at most 43 degC (110 degF)",
    remedy: "let it cool, or mix cold water in, before the product goes in",
};

/// The temperature of the bath is not known.
///
/// # What it asks
/// Is the temperature of the bath known?
/// # Why
/// Too hot a bath ages rubber.
/// # Citation
/// 29 CFR 1910.134 App. B-2 I.B to I.E
/// # Example that passes
/// 38 degC given.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// Measure the temperature.
/// # Limits
/// None.
pub static TEMPERATURE_NOT_GIVEN: Rule = Rule {
    id: "bath.temperature-not-given",
    asks: "Is the temperature of the bath known?",
    why: "Too hot a bath ages rubber.",
    citation: "29 CFR 1910.134 App. B-2 I.B to I.E",
    authority: Authority::Read,
    says: "the temperature of the bath is not given; at most 43 degC (110 degF)",
    remedy: "measure it before the parts go in",
};

/// The parts stay in for too short a time.
///
/// # What it asks
/// Do the parts stay in the bath long enough?
/// # Why
/// A disinfectant needs its time; a dip does nothing.
/// # Citation
/// 29 CFR 1910.134 App. B-2 I.D
/// # Example that passes
/// Two minutes.
/// # Example that stops
/// One minute.
/// # Remedy
/// Leave the parts in for the whole time.
/// # Limits
/// A label may ask for longer; the longer holds.
pub static CONTACT: Rule = Rule {
    id: "bath.contact",
    asks: "Do the parts stay in the bath long enough?",
    why: "A disinfectant needs its time; a dip does nothing.",
    citation: "29 CFR 1910.134 App. B-2 I.D",
    authority: Authority::Read,
    says: "{contact} in the bath is planned; at least {least} are needed",
    remedy: "leave the parts fully covered for at least {least}",
};

/// The bath is meant to be weaker than the rule prints.
///
/// # What it asks
/// Is the bath at least as strong as the rule prints?
/// # Why
/// A weaker bath is not shown to disinfect.
/// # Citation
/// 29 CFR 1910.134 App. B-2 I.D
/// # Example that passes
/// 50 ppm of chlorine.
/// # Example that stops
/// 20 ppm of chlorine.
/// # Remedy
/// Aim at the printed strength.
/// # Limits
/// The printed figure is approximate.
pub static TARGET_LOW: Rule = Rule {
    id: "bath.target-low",
    asks: "Is the bath at least as strong as the rule prints?",
    why: "A weaker bath is not shown to disinfect.",
    citation: "29 CFR 1910.134 App. B-2 I.D",
    authority: Authority::Read,
    says: "a bath of {target} is meant; the rule prints {least}",
    remedy: "aim at {least} or more",
};

/// The bath is meant to be much stronger than the rule prints.
///
/// # What it asks
/// Is the bath close to the strength that the rule prints?
/// # Why
/// What remains of a strong bath irritates skin, ages rubber and corrodes metal.
/// # Citation
/// 29 CFR 1910.134 App. B-2 I.E
/// # Example that passes
/// 50 ppm of chlorine.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// Aim at the printed strength.
/// # Limits
/// Twice is a judgment, not a figure of the rule.
pub static TARGET_HIGH: Rule = Rule {
    id: "bath.target-high",
    asks: "Is the bath close to the strength that the rule prints?",
    why: "What remains of a strong bath irritates skin, ages rubber and corrodes metal.",
    citation: "29 CFR 1910.134 App. B-2 I.E",
    authority: Authority::Read,
    says: "a bath of {target} is meant, more than twice the printed {least}",
    remedy: "aim at {least}, or follow the maker of the respirator; rinse all the more",
};

/// The maker of the respirator has not approved the cleaner.
///
/// # What it asks
/// Has the maker of the respirator recommended or approved this cleaner?
/// # Why
/// Another cleaner may not disinfect as well, or may harm the facepiece.
/// # Citation
/// 29 CFR 1910.134 App. B-2 I.D.3
/// # Example that passes
/// A cleaner named in the instructions.
/// # Example that stops
/// A cleaner from the kitchen.
/// # Remedy
/// Ask the maker, or use hypochlorite or iodine.
/// # Limits
/// Rests on what is declared.
pub static MAKER_APPROVAL: Rule = Rule {
    id: "bath.maker-approval",
    asks: "Has the maker of the respirator recommended or approved this cleaner?",
    why: "Another cleaner may not disinfect as well, or may harm the facepiece.",
    citation: "29 CFR 1910.134 App. B-2 I.D.3",
    authority: Authority::Read,
    says: "nothing shows that the maker of the respirator approves this cleaner",
    remedy: "ask the maker, or use hypochlorite or iodine",
};

/// How the strength on the label was read.
///
/// # What it asks
/// How was the strength of the product read?
/// # Why
/// The same per cent sign stands for different things on different labels.
/// # Citation
/// common practice, no source
/// # Example that passes
/// A label that says what its per cent are of.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// Compare with the label.
/// # Limits
/// None.
pub static STRENGTH_READ: Rule = Rule {
    id: "bath.strength-read",
    asks: "How was the strength of the product read?",
    why: "The same per cent sign stands for different things on different labels.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "{reading}",
    remedy: "compare with the label; {other}",
};

/// The printed recipe would give another strength.
///
/// # What it asks
/// Would the printed recipe give this bath?
/// # Why
/// The printed recipe holds for the products of its time.
/// # Citation
/// 29 CFR 1910.134 App. B-2 I.D
/// # Example that passes
/// 5.25 % bleach.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// Measure out the computed volume.
/// # Limits
/// The printed recipe is approximate.
pub static RECIPE_DIFFERS: Rule = Rule {
    id: "bath.recipe-differs",
    asks: "Would the printed recipe give this bath?",
    why: "The printed recipe holds for the products of its time.",
    citation: "29 CFR 1910.134 App. B-2 I.D",
    authority: Authority::Read,
    says: "the printed recipe, {recipe}, would give {gives} with this product",
    remedy: "measure out the volume computed here",
};

/// What comes after the bath.
///
/// # What it asks
/// Are the parts rinsed after the bath?
/// # Why
/// What remains of cleaner or disinfectant causes skin rash, ages rubber and corrodes metal.
/// # Citation
/// 29 CFR 1910.134 App. B-2 I.E
/// # Example that passes
/// Rinsed, drained, dried.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// Rinse, drain, dry.
/// # Limits
/// None.
pub static RINSE: Rule = Rule {
    id: "bath.rinse",
    asks: "Are the parts rinsed after the bath?",
    why: "What remains of cleaner or disinfectant causes skin rash, ages rubber and corrodes metal.",
    citation: "29 CFR 1910.134 App. B-2 I.E",
    authority: Authority::Read,
    says: "after {contact} rinse the parts very thoroughly, best in running water of at most 43 degC, and drain them",
    remedy: "dry by hand with a clean lint-free cloth or in air, then put together, test and inspect",
};

/// The product and the bath lose strength with time.
///
/// # What it asks
/// Is the product in date and the bath fresh?
/// # Why
/// Hypochlorite loses strength in the bottle and faster in the bath.
/// # Citation
/// common practice, no source
/// # Example that passes
/// A bath made this morning and checked.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// Make it fresh and check it.
/// # Limits
/// No figure for the loss is used.
pub static FRESH: Rule = Rule {
    id: "bath.fresh",
    asks: "Is the product in date and the bath fresh?",
    why: "Hypochlorite loses strength in the bottle and faster in the bath.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "the label holds for product in date and stored cool; a bath loses strength as it is used",
    remedy: "make the bath fresh for each session and check it with test strips",
};

/// Hypochlorite gives off gas with acids and ammonia.
///
/// # What it asks
/// Is hypochlorite kept apart from acids and ammonia?
/// # Why
/// Chlorine and chloramines are poisonous.
/// # Citation
/// common practice, no source
/// # Example that passes
/// Bleach in clean water.
/// # Example that stops
/// Nothing stops.
/// # Remedy
/// Use it alone.
/// # Limits
/// What else is in the water is not known.
pub static NEVER_MIX: Rule = Rule {
    id: "bath.never-mix",
    asks: "Is hypochlorite kept apart from acids and ammonia?",
    why: "Chlorine and chloramines are poisonous.",
    citation: "common practice, no source",
    authority: Authority::CommonPractice,
    says: "hypochlorite gives off poisonous gas with acids, ammonia and many cleaners",
    remedy: "use it alone, in clean water, in a ventilated room",
};

/// All rules of baths.
#[must_use]
pub fn rules() -> Vec<&'static Rule> {
    vec![
        &TEMPERATURE,
        &TEMPERATURE_NOT_GIVEN,
        &CONTACT,
        &TARGET_LOW,
        &TARGET_HIGH,
        &MAKER_APPROVAL,
        &STRENGTH_READ,
        &RECIPE_DIFFERS,
        &RINSE,
        &FRESH,
        &NEVER_MIX,
    ]
}
