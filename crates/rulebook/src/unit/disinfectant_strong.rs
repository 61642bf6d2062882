//! Rule `unit.disinfectant-strong`: was the last bath close to the printed strength?

use super::UnitFacts;
use crate::bath::printed_strength;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the last bath of the set close to the printed strength?
/// # Why
/// What remains of a strong bath irritates skin, ages rubber and corrodes metal.
/// # Citation
/// 29 CFR 1910.134 App. B-2 I.E.
/// # Example that passes
/// Disinfected with hypochlorite at 50 ppm.
/// # Example that stops
/// Nothing stops; at 1000 ppm and in the undiluted product caution is said.
/// # Remedy
/// Rinse it well, look for damage, and keep to the printed strength.
/// # Limits
/// Twice the printed strength is a judgment, not a figure of the rule. So strong that none is meant so,
/// the bath does not count for the next wearer. It is due until an inspection passes after the bath.
pub static RULE: Rule = Rule {
    id: "unit.disinfectant-strong",
    asks: "Was the last bath of the set close to the printed strength?",
    why: "What remains of a strong bath irritates skin, ages rubber and corrodes metal.",
    citation: "29 CFR 1910.134 App. B-2 I.E",
    authority: Authority::Read,
    says: "the set was last disinfected in a bath of {strength}; printed are {printed}",
    remedy: "rinse it well and look for damage before it is worn; disinfect at {printed}, or as the \
             maker of the respirator says",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let disinfection = facts.disinfection.as_ref()?;
    let finding = Finding::caution(&RULE).with("strength", disinfection.strong?);
    Some(finding.with("printed", printed_strength()).resting_on(disinfection.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::sample;
    use quantity::MgPerLitre;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(|facts| sample::disinfect(facts, 2.0), check, None);
        sample::check(
            |facts| {
                sample::disinfect(facts, 2.0);
                let strong = MgPerLitre::from_mg_per_l(1000.0).ok();
                facts.disinfection.as_mut().unwrap().strong = strong;
            },
            check,
            Some("unit.disinfectant-strong"),
        );
    }
}
