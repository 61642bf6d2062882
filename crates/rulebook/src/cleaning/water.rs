//! Rule `cleaning.water`: was the water of washing and rinsing no hotter than 43 degC (110 degF)?

use super::WashFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the water of washing and rinsing no hotter than 43 degC (110 degF)?
/// # Why
/// Hotter water ages rubber and bends what should keep its shape.
/// # Citation
/// 29 CFR 1910.134 App. B-2 I.B, I.C and I.E.
/// # Example that passes
/// 43 degC.
/// # Example that stops
/// 50 degC.
/// # Remedy
/// Inspect the set for damage; let the water cool to 43 degC before the next wash.
/// # Limits
/// Taken from either figure printed, so 110 degF passes. A wear stops until the set passed an inspection
/// after it.
pub static RULE: Rule = Rule {
    id: "cleaning.water",
    asks: "Was the water of washing and rinsing no hotter than 43 degC (110 degF)?",
    why: "Hotter water ages rubber and bends what should keep its shape.",
    citation: "29 CFR 1910.134 App. B-2 I.B, I.C and I.E",
    authority: Authority::Read,
    says: "the water was at {temperature}; at most 43 degC (110 degF)",
    remedy: "inspect the set for damage; let the water cool to 43 degC before the next wash",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WashFacts<'_>) -> Option<Finding> {
    let water = facts.water?;
    let hottest = fahrenheit(HOTTEST_FAHRENHEIT);
    (hottest < water.as_celsius())
        .then(|| Finding::stop(&RULE).with("temperature", water).resting_on(facts.entry))
}

/// The hotter of the two figures printed, 43 degC and 110 degF.
const HOTTEST_FAHRENHEIT: f64 = 110.0;

fn fahrenheit(degrees: f64) -> f64 {
    (degrees - 32.0) / 1.8
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::Celsius;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::cleaning::sample::check(
            |facts| facts.water = Some(Celsius::from_celsius(43.3).unwrap()),
            check,
            None,
        );
        crate::cleaning::sample::check(
            |facts| facts.water = Some(Celsius::from_celsius(44.0).unwrap()),
            check,
            Some("cleaning.water"),
        );
        crate::cleaning::sample::check(|facts| facts.water = None, check, None);
    }
}
