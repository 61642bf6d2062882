//! Rule `unit.within-rated-time`: does the carried air last as long as the planned wear?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Does the carried air last as long as the planned wear?
/// # Why
/// A self-contained set gives air for its rated service time at most; hard work uses it faster.
/// # Citation
/// 42 CFR 84.53 (classes of rated service time).
/// # Example that passes
/// 25 minutes planned, rated for 30.
/// # Example that stops
/// 35 minutes planned, rated for 30.
/// # Remedy
/// Plan a shorter stay, or take a set with a longer rating or supplied air.
/// # Limits
/// Self-contained sets whose rating was entered. The rating is at a set breathing rate: leave when
/// the low-air alarm sounds, whatever time is left.
pub static RULE: Rule = Rule {
    id: "unit.within-rated-time",
    asks: "Does the carried air last as long as the planned wear?",
    why: "A self-contained set gives air for its rated service time at most.",
    citation: "42 CFR 84.53",
    authority: Authority::Read,
    says: "{planned} min of wear are planned and this set carries air for {rated} min at most",
    remedy: "plan a shorter stay, or take a set rated for longer or supplied air",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let device = facts.device.as_ref().filter(|d| d.air_source.is_self_contained())?;
    let rated = f64::from(device.rated_minutes?);
    let finding = Finding::stop(&RULE).with("planned", facts.planned_min).with("rated", rated);
    (facts.planned_min > rated).then_some(finding)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::AirSource;
    use crate::unit::sample;

    fn rated_30(facts: &mut UnitFacts<'_>, planned_min: f64) {
        if let Some(device) = &mut facts.device {
            device.air_source = AirSource::SelfContainedPressureDemand;
            device.rated_minutes = Some(30);
        }
        facts.planned_min = planned_min;
    }

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(|facts| rated_30(facts, 25.0), check, None);
        sample::check(|facts| rated_30(facts, 30.0), check, None);
        sample::check(|facts| rated_30(facts, 35.0), check, Some("unit.within-rated-time"));
    }
}
