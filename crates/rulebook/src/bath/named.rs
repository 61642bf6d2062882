//! Which disinfectant the words of a record name.

use quantity::{Celsius, MgPerLitre};

use super::{Agent, MOST_TIMES_PRINTED, STRONG, recipe};

/// Names of the two disinfectants for which the rule prints a bath, as people write them.
///
/// Source: 29 CFR 1910.134 App. B-2 I.D.1 and I.D.2 (`data/cleaning.csv`) for hypochlorite, household
/// bleach, iodine and its tincture; the others are common practice, no source.
const NAMES: [(&str, Agent); 16] = [
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
];

/// What the words of a record say of a disinfectant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Named {
    /// Nothing: an old record that was not asked for it.
    Nothing,
    /// One for which the rule prints a bath, at the strength printed or above.
    Printed(Agent, MgPerLitre),
    /// The same, with no word of how strong the bath was.
    Unsaid(Agent),
    /// The same in a bath weaker than printed.
    TooWeak(Agent, MgPerLitre),
    /// The same in a bath so strong that none is meant so: the product itself, or a slip of the pen.
    TooStrong(Agent, MgPerLitre),
    /// Another, or one of these in a strength that cannot be read: only the respirator maker's word can
    /// vouch for it.
    Other,
}

impl Named {
    /// Why what is so named is not shown to disinfect; none where it is.
    #[must_use]
    pub fn doubt(self) -> Option<String> {
        Some(match self {
            Self::Nothing | Self::Printed(..) => return None,
            Self::Unsaid(_) => "how strong the bath was is not told".to_owned(),
            Self::TooWeak(_, told) => format!("{told} is weaker than the printed bath"),
            Self::TooStrong(_, told) => {
                format!("{told} is no strength of a bath: it harms the facepiece and the skin")
            }
            Self::Other => "nothing shows that this disinfects".to_owned(),
        })
    }

    /// The strength of a bath that is more than twice as strong as printed, which harms the facepiece and the
    /// skin where anything of it remains.
    #[must_use]
    pub fn strong(self) -> Option<MgPerLitre> {
        let (Self::Printed(agent, told) | Self::TooStrong(agent, told)) = self else { return None };
        let printed = recipe(agent).strength?;
        (printed.as_mg_per_l() * STRONG < told.as_mg_per_l()).then_some(told)
    }
}

/// Reads the words of a record: a name, and behind it the strength of the bath, such as
/// `hypochlorite, 50 ppm`. The name must stand alone, so that `bleach-free wipes` is no bleach; where
/// anything else than strengths stands behind it, the words name something else.
///
/// ```
/// use rulebook::bath::{Agent, Named, named};
///
/// assert!(matches!(named("Household bleach, 50 ppm"), Named::Printed(Agent::Hypochlorite, _)));
/// assert_eq!(named("bleach"), Named::Unsaid(Agent::Hypochlorite));
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
    let Some((agent, told)) = known.zip(strengths(rest)) else { return Named::Other };
    let weakest = told.into_iter().min_by(|a, b| a.as_mg_per_l().total_cmp(&b.as_mg_per_l()));
    let Some(told) = weakest else { return Named::Unsaid(agent) };
    let Some(printed) = recipe(agent).strength else { return Named::Other };
    if told < printed {
        Named::TooWeak(agent, told)
    } else if printed.as_mg_per_l() * MOST_TIMES_PRINTED < told.as_mg_per_l() {
        Named::TooStrong(agent, told)
    } else {
        Named::Printed(agent, told)
    }
}

/// Whether a maker's word for what is `listed` vouches for what the words of a record name. Of what the
/// rule prints a bath for it vouches for the very words alone, because a strength stands in them; for a
/// bare name it does not.
#[must_use]
pub fn vouches(listed: &str, words: &str) -> bool {
    let plain = words.trim().to_lowercase();
    let (name, rest) = name_and_rest(&plain);
    if NAMES.iter().any(|(known, _)| *known == name) {
        return listed.trim().to_lowercase() == plain
            && strengths(rest).is_none_or(|all| !all.is_empty());
    }
    is_called(words, listed)
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

/// Words that say nothing of how strong a bath is.
const FILLING: [&str; 7] = ["at", "of", "free", "available", "chlorine", "iodine", "water"];

/// The strengths in the words behind a name, a per cent as ten grams in a litre; none where anything
/// else stands there but the temperature of the bath.
fn strengths(words: &str) -> Option<Vec<MgPerLitre>> {
    let digit = |at: Option<usize>| {
        at.and_then(|at| words.as_bytes().get(at)).is_some_and(u8::is_ascii_digit)
    };
    // `1,50 ppm` may be one and a half or fifty.
    if words.match_indices(',').any(|(at, _)| digit(at.checked_sub(1)) && digit(Some(at + 1))) {
        return None;
    }
    let spaced = words.replace(['(', ')', ',', ';', ':'], " ").replace('%', " % ");
    let mut parts = spaced.split_whitespace().filter(|part| !FILLING.contains(part)).peekable();
    let mut found = Vec::new();
    while let Some(number) = parts.next() {
        let joined = parts.peek().map_or_else(String::new, |unit| format!("{number} {unit}"));
        if let Some(strength) = read(&joined) {
            parts.next();
            found.push(strength);
        } else if joined.replace("degc", "degC").replace("degf", "degF").parse::<Celsius>().is_ok()
        {
            parts.next();
        } else {
            found.push(read(number)?);
        }
    }
    Some(found)
}

fn read(text: &str) -> Option<MgPerLitre> {
    match text.strip_suffix(" %") {
        Some(per_cent) => MgPerLitre::from_mg_per_l(per_cent.parse::<f64>().ok()? * 1e4).ok(),
        None => text.replace("mg/l", "mg/L").parse().ok(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const CHLORINE: Agent = Agent::Hypochlorite;

    fn printed(agent: Agent, told: f64) -> Named {
        Named::Printed(agent, MgPerLitre::from_mg_per_l(told).unwrap())
    }

    #[test]
    fn only_a_name_that_stands_alone_is_a_disinfectant() {
        for (words, expected) in [
            ("", Named::Nothing),
            ("  ", Named::Nothing),
            ("hypochlorite", Named::Unsaid(CHLORINE)),
            ("bleach", Named::Unsaid(CHLORINE)),
            ("iodine", Named::Unsaid(Agent::Iodine)),
            ("Hypochlorite, 50 ppm", printed(CHLORINE, 50.0)),
            ("hypochlorite, 50.0 mg/L", printed(CHLORINE, 50.0)),
            ("bleach (5.25 %) at 60 ppm", printed(CHLORINE, 60.0)),
            ("Iodine 50 ppm", printed(Agent::Iodine, 50.0)),
            ("bleach-free wipes", Named::Other),
            ("water", Named::Other),
            ("chlorine dioxide", Named::Other),
            ("no hypochlorite", Named::Other),
            ("hypochlorite, 50 ppm chlorine at 43 degC", printed(CHLORINE, 50.0)),
            ("hypochlorite at 43 degC", Named::Unsaid(CHLORINE)),
            ("hypochlorite, 10 parts per million", Named::Other),
            ("bleach, 1:1000", Named::Other),
            ("bleach; none left", Named::Other),
            ("hypochlorite 1,50 ppm", Named::Other),
            ("tincture", Named::Other),
            ("iodine, one drop", Named::Other),
            ("hypochlorite 50 ppm expired", Named::Other),
            ("hypochlorite 50 ppb 100 ppm", Named::Other),
        ] {
            assert_eq!(named(words), expected, "{words}");
        }
    }

    #[test]
    fn a_name_on_a_list_is_met_with_and_without_a_strength() {
        assert!(is_called("Bath salts, 400 ppm", "bath salts"));
        assert!(is_called("cleaner no. 9", "Cleaner no. 9"));
        assert!(!is_called("vinegar", "bath salts") && !is_called("vinegar", ""));
        assert!(vouches("bath salts", "Bath salts, 400 ppm"));
        assert!(vouches("hypochlorite, 10 ppm", "Hypochlorite, 10 ppm"));
        assert!(!vouches("hypochlorite", "hypochlorite, 10 ppm"));
        assert!(!vouches("bleach", "bleach"));
        assert!(!vouches("bleach", "bleach, 1:1000"));
        assert!(is_called("Iodine (50 ppm)", "iodine"));
    }

    #[test]
    fn a_bath_weaker_than_printed_is_told_as_such() {
        let weak = |words: &str| matches!(named(words), Named::TooWeak(..));
        assert!(weak("hypochlorite, 10 ppm") && weak("iodine 49 mg/l"));
        assert!(weak("hypochlorite 0.0001 %") && weak("bleach 5.25 % at 10 ppm"));
        assert!(!weak("hypochlorite, 50 ppm") && !weak("hypochlorite, 0.1 %"));
    }
    #[test]
    fn what_no_bath_is_meant_to_hold_does_not_count_and_a_strong_bath_is_told() {
        for words in
            ["hypochlorite 500000 ppm", "hypochlorite, 5 %", "iodine 2 %", "bleach, 5.25 %"]
        {
            assert!(matches!(named(words), Named::TooStrong(..)), "{words}");
            assert!(named(words).doubt().unwrap().contains("harms"), "{words}");
        }
        let strong = |words: &str| named(words).strong().map(MgPerLitre::as_mg_per_l);
        assert_eq!(strong("hypochlorite, 200 ppm"), Some(200.0));
        assert_eq!(strong("hypochlorite, 0.1 %"), Some(1000.0));
        assert_eq!((strong("hypochlorite, 100 ppm"), strong("bleach")), (None, None));
        assert_eq!(named("hypochlorite, 100 ppm").doubt(), None);
    }
}
