//! Rule `unit.disinfectant`: is what the set was disinfected with shown to disinfect?

use super::UnitFacts;
use crate::bath::{named, printed_strength};
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is what the set was disinfected with shown to disinfect?
/// # Why
/// Water, vinegar or a kitchen wipe leaves what the wearer before breathed out.
/// # Citation
/// 29 CFR 1910.134 App. B-2 I.D.
/// # Example that passes
/// Somebody else wore it, then it was disinfected with hypochlorite at 50 ppm.
/// # Example that stops
/// Somebody else wore it, then it was disinfected with vinegar, with bleach of a strength that is not
/// told, or with hypochlorite at 10 ppm.
/// # Remedy
/// Disinfect the set again with hypochlorite or iodine at the printed strength; or note where the
/// maker recommends or approves what was used.
/// # Limits
/// Asked where somebody else used the set before, and of emergency sets always. A record of the old
/// kind that names no disinfectant is let pass. The maker's list is as it was entered.
pub static RULE: Rule = Rule {
    id: "unit.disinfectant",
    asks: "Is what the set was disinfected with shown to disinfect?",
    why: "Water, vinegar or a kitchen wipe leaves what the wearer before breathed out.",
    citation: "29 CFR 1910.134 App. B-2 I.D",
    authority: Authority::Read,
    says: "after {other} used it the set was disinfected with `{agent}`: {doubt}",
    remedy: "disinfect it again with hypochlorite or iodine at {least} or a little more, rinse, dry \
             and inspect it, and record the strength in ppm; or note with its model, by this name, \
             where the maker recommends or approves it",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let bears = |user: &str| facts.emergency || user != facts.wearer;
    let doubtful = facts.doubtfully_disinfected.iter().find(|one| bears(one.used.person))?;
    let finding = Finding::stop(&RULE).with("other", doubtful.used.name);
    let doubt = named(doubtful.agent).doubt();
    let finding =
        finding.with("doubt", doubt.as_deref().unwrap_or("its maker does not approve it"));
    let finding = finding.with("least", printed_strength());
    let finding = finding.with("agent", doubtful.agent).resting_on(doubtful.used.entry);
    Some(finding.resting_on(doubtful.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::{DoubtfulDisinfection, Use, sample};

    fn doubtful(person: &'static str) -> Vec<DoubtfulDisinfection<'static>> {
        let used = Use { person, name: "Bo", entry: "e8" };
        vec![DoubtfulDisinfection { used, agent: "vinegar", entry: "e9" }]
    }

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(|facts| facts.doubtfully_disinfected = doubtful("p1"), check, None);
        sample::check(
            |facts| facts.doubtfully_disinfected = doubtful("p2"),
            check,
            Some("unit.disinfectant"),
        );
        sample::check(
            |facts| {
                facts.emergency = true;
                facts.doubtfully_disinfected = doubtful("p1");
            },
            check,
            Some("unit.disinfectant"),
        );
    }
}
