//! Which disinfectant the words of a record name.

use quantity::MgPerLitre;

use super::{Agent, recipe};

/// Names of the two disinfectants for which the rule prints a bath, as people write them.
///
/// Source: 29 CFR 1910.134 App. B-2 I.D.1 and I.D.2 (`data/cleaning.csv`) for hypochlorite, household
/// bleach, iodine and its tincture; the others are common practice, no source.
const NAMES: [(&str, Agent); 17] = [
    ("hypochlorite", Agent::Hypochlorite),
    ("hypochlorite solution", Agent::Hypochlorite),
    ("hypochlorite bath", Agent::Hypochlorite),
    ("sodium hypochlorite", Agent::Hypochlorite),
    ("sodium hypochlorite solution", Agent::Hypochlorite),
    ("calcium hypochlorite", Agent::Hypochlorite),
    ("bleach", Agent::Hypochlorite),
    ("household bleach", Agent::Hypochlorite),
    ("chlorine bleach", Agent::Hypochlorite),
    ("iodine", Agent::Iodine),
    ("iodine solution", Agent::Iodine),
    ("iodine bath", Agent::Iodine),
    ("aqueous iodine", Agent::Iodine),
    ("aqueous iodine solution", Agent::Iodine),
    ("iodine tincture", Agent::Iodine),
    ("tincture of iodine", Agent::Iodine),
    ("tincture", Agent::Iodine),
];

/// What the words of a record say of a disinfectant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Named {
    /// Nothing: an old record that was not asked for it.
    Nothing,
    /// One for which the rule prints a bath, of the strength printed or of none that is told.
    Printed(Agent),
    /// The same in a bath weaker than printed.
    TooWeak(Agent, MgPerLitre),
    /// Another, which only its maker's or the respirator maker's word can vouch for.
    Other,
}

/// Reads the words of a record: a name, and behind it the strength of the bath, such as
/// `hypochlorite, 50 ppm`. The name must stand alone, so that `bleach-free wipes` is no bleach. A
/// strength in per cent is that of a product and says nothing of the bath.
///
/// ```
/// use rulebook::bath::{Agent, Named, named};
///
/// assert_eq!(named("Household bleach, 50 ppm"), Named::Printed(Agent::Hypochlorite));
/// assert_eq!(named("vinegar"), Named::Other);
/// ```
#[must_use]
pub fn named(words: &str) -> Named {
    let plain = words.trim().to_lowercase();
    if plain.is_empty() {
        return Named::Nothing;
    }
    let (name, rest) = name_and_rest(&plain);
    let known = NAMES.iter().find(|(known, _)| *known == name).map(|(_, agent)| *agent);
    match (known, known.and_then(|agent| recipe(agent).strength), strength(rest)) {
        (None, ..) => Named::Other,
        (Some(agent), Some(printed), Some(told)) if told < printed => Named::TooWeak(agent, told),
        (Some(agent), ..) => Named::Printed(agent),
    }
}

/// Whether the words of a record name the same thing as a list does, with or without a strength behind
/// it.
#[must_use]
pub fn is_called(words: &str, listed: &str) -> bool {
    let (words, listed) = (words.trim().to_lowercase(), listed.trim().to_lowercase());
    !listed.is_empty() && (words == listed || name_and_rest(&words).0 == listed)
}

fn name_and_rest(plain: &str) -> (&str, &str) {
    let ends = |letter: char| letter.is_ascii_digit() || [',', ';', ':', '('].contains(&letter);
    let (name, rest) = plain.split_at(plain.find(ends).unwrap_or(plain.len()));
    (name.trim().trim_end_matches(" at").trim_end_matches(" of").trim(), rest)
}

/// The strength of a bath in the words behind its name.
fn strength(words: &str) -> Option<MgPerLitre> {
    let spaced = words.replace(['(', ')', ',', ';', ':'], " ");
    let parts: Vec<&str> = spaced.split_whitespace().collect();
    let pair = |at: usize| parts.get(at..at + 2).map(|pair| pair.join(" "));
    let written = (0..parts.len()).filter_map(pair);
    let together = parts.iter().map(|part| (*part).to_owned());
    let read = |text: String| text.replace("mg/l", "mg/L").parse::<MgPerLitre>().ok();
    written.chain(together).find_map(read)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_name_that_stands_alone_is_a_disinfectant() {
        for (words, expected) in [
            ("", Named::Nothing),
            ("  ", Named::Nothing),
            ("hypochlorite", Named::Printed(Agent::Hypochlorite)),
            ("Hypochlorite, 50 ppm", Named::Printed(Agent::Hypochlorite)),
            ("hypochlorite, 50.0 mg/L", Named::Printed(Agent::Hypochlorite)),
            ("bleach (5.25 %) at 60 ppm", Named::Printed(Agent::Hypochlorite)),
            ("Iodine 50 ppm", Named::Printed(Agent::Iodine)),
            ("bleach-free wipes", Named::Other),
            ("water", Named::Other),
            ("chlorine dioxide", Named::Other),
            ("no hypochlorite", Named::Other),
        ] {
            assert_eq!(named(words), expected, "{words}");
        }
    }

    #[test]
    fn a_name_on_a_list_is_met_with_and_without_a_strength() {
        assert!(is_called("Bath salts, 400 ppm", "bath salts"));
        assert!(is_called("cleaner no. 9", "Cleaner no. 9"));
        assert!(!is_called("vinegar", "bath salts") && !is_called("vinegar", ""));
    }

    #[test]
    fn a_bath_weaker_than_printed_is_told_as_such() {
        let weak = |words: &str| matches!(named(words), Named::TooWeak(..));
        assert!(weak("hypochlorite, 10 ppm") && weak("iodine 49 mg/l"));
        assert!(!weak("hypochlorite, 50 ppm") && !weak("hypochlorite, 0.1 %"));
    }
}
