//! Rule `unit.cylinder-approved`: is the set approved with the cylinder that is mounted on it?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the set approved with the cylinder that is mounted on it?
/// # Why
/// The cylinder is a part of the set that was tested and approved; with another it is another set.
/// # Citation
/// 29 CFR 1910.134(d)(1)(ii); the container as a part of the set: 42 CFR 84.71, from memory,
/// unconfirmed.
/// # Example that passes
/// The approval names `P-4530`, and the cylinder is listed with that part number.
/// # Example that stops
/// The approval names `P-4530`, and the cylinder is listed with another part number, or with none.
/// # Remedy
/// Mount a cylinder that the approval names; where it is one, put its part number into its listing.
/// # Limits
/// Asked only where cylinders were named with the model; what was named is not compared with the label.
pub static RULE: Rule = Rule {
    id: "unit.cylinder-approved",
    asks: "Is the set approved with the cylinder that is mounted on it?",
    why: "The cylinder is a part of the set that was tested and approved; with another it is another \
          set.",
    citation: "29 CFR 1910.134(d)(1)(ii); the container as a part of the set: 42 CFR 84.71, from \
               memory, unconfirmed",
    authority: Authority::Read,
    says: "{model} is not shown to be approved with cylinder {cylinder}, {part}: its approval names \
           {named}",
    remedy: "mount a cylinder that the approval names; where {cylinder} is one, put the part number \
             on it into its listing",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    facts.device.as_ref().filter(|device| device.carries_cylinder())?;
    let mounted = facts.mounted.as_ref()?;
    let listed = mounted.listed.as_ref()?;
    let finding = found(facts.model, (mounted.cylinder, listed.part), &mounted.named)?;
    Some(finding.resting_on(mounted.entry).resting_on(listed.entry))
}

/// What stands against a cylinder, by its tag and its part number, on a `model` whose approval names
/// the part numbers `named`. An empty part number is one that was not told.
#[must_use]
pub fn found(model: &str, (cylinder, part): (&str, &str), named: &[&str]) -> Option<Finding> {
    let same = |one: &&str| one.trim().to_lowercase() == part.trim().to_lowercase();
    if named.is_empty() || (!part.trim().is_empty() && named.iter().any(same)) {
        return None;
    }
    let part = match part.trim() {
        "" => "whose part number is not on record".to_owned(),
        part => format!("part number {part}"),
    };
    let finding = Finding::stop(&RULE).with("model", model).with("cylinder", cylinder);
    Some(finding.with("part", part).with("named", named.join(", ")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::AirSource;
    use crate::unit::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        for (named, part, expected) in [
            (vec![], "", None),
            (vec![], "P-1", None),
            (vec!["P-1", "P-4530"], " p-4530", None),
            (vec!["P-4530"], "P-1", Some("unit.cylinder-approved")),
            (vec!["P-4530"], "", Some("unit.cylinder-approved")),
            (vec![""], "", Some("unit.cylinder-approved")),
        ] {
            let change = |facts: &mut UnitFacts<'static>| {
                sample::cylinder(facts, 30_000.0, 30_000.0);
                let mounted = sample::mounted(facts);
                mounted.named = named;
                mounted.listed.as_mut().unwrap().part = part;
            };
            sample::check(change, check, expected);
        }
    }

    #[test]
    fn what_carries_no_cylinder_is_not_asked() {
        let change = |facts: &mut UnitFacts<'static>| {
            sample::cylinder(facts, 30_000.0, 30_000.0);
            sample::mounted(facts).named = vec!["P-4530"];
            sample::device(facts).air_source = AirSource::AirPurifying;
        };
        sample::check(change, check, None);
    }
}
