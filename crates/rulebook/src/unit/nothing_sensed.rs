//! Rule `unit.nothing-sensed`: has nobody smelled, tasted or felt anything inside the set since it
//! was last put right?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Has nobody smelled, tasted or felt anything inside the set since it was last put right?
/// # Why
/// A smell, a taste, an irritation or hard breathing means that it leaks, is spent or is clogged.
/// # Citation
/// 29 CFR 1910.134(g)(2)(ii)(B), (g)(2)(iii).
/// # Example that passes
/// A smell was reported, then new cartridges were fitted.
/// # Example that stops
/// A smell was reported and the cartridges are still on.
/// # Remedy
/// Leave the area; fit new elements, or have the set repaired; inspect it.
/// # Limits
/// Put right means new elements on a set that has them, a passed inspection on one that supplies
/// air; nothing on a filtering facepiece. No smell is never a proof that all is well.
pub static RULE: Rule = Rule {
    id: "unit.nothing-sensed",
    asks: "Has nobody smelled, tasted or felt anything inside the set since it was last put right?",
    why: "A smell, a taste, an irritation or hard breathing means that it leaks, is spent or is \
           clogged.",
    citation: "29 CFR 1910.134(g)(2)(ii)(B), (g)(2)(iii)",
    authority: Authority::Read,
    says: "{sign} was reported inside this set and it was not put right since",
    remedy: "{do_this}",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let sensed = facts.sensed?;
    let purifies = facts.device.as_ref().is_none_or(|device| device.air_source.purifies_air());
    let facepiece = facts.device.as_ref().is_some_and(|device| device.filtering_facepiece);
    let put_right = if facepiece {
        "leave the area and take another facepiece"
    } else if purifies {
        "leave the area, fit new elements and have the set inspected"
    } else {
        "leave the area and have the set repaired and inspected"
    };
    let finding = Finding::stop(&RULE).with("sign", sensed.words).with("do_this", put_right);
    Some(finding.resting_on(sensed.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ask::Noted;
    use crate::unit::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                let _ = &facts;
            },
            check,
            None,
        );
        sample::check(
            |facts| facts.sensed = Some(Noted { words: "a smell", entry: "e9" }),
            check,
            Some("unit.nothing-sensed"),
        );
    }
}
