//! Rule `standby.outside`: does somebody stand by outside immediately dangerous air?

use super::StandbyFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Does somebody stand by outside immediately dangerous air?
/// # Why
/// Who falls inside cannot call for help.
/// # Citation
/// 29 CFR 1910.134(g)(3)(i) and (g)(4)(ii).
/// # Example that passes
/// One outside; two at an interior structural fire.
/// # Example that stops
/// Nobody outside.
/// # Remedy
/// Do not enter until enough people stand by outside.
/// # Limits
/// More where the work asks for it, which the employer judges.
pub static RULE: Rule = Rule {
    id: "standby.outside",
    asks: "Does somebody stand by outside immediately dangerous air?",
    why: "Who falls inside cannot call for help.",
    citation: "29 CFR 1910.134(g)(3)(i) and (g)(4)(ii)",
    authority: Authority::Read,
    says: "{outside} stand by outside; at least {least} must",
    remedy: "do not enter until enough people stand by outside",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &StandbyFacts<'_>) -> Option<Finding> {
    let least = if facts.structural_fire { 2 } else { 1 };
    let outside = facts.outside;
    (outside < least).then(|| Finding::stop(&RULE).with("outside", outside).with("least", least))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::standby::sample::check(|facts| facts.outside = 0, check, Some("standby.outside"));
        crate::standby::sample::check(
            |facts| facts.structural_fire = true,
            check,
            Some("standby.outside"),
        );
        crate::standby::sample::check(
            |facts| (facts.structural_fire, facts.outside) = (true, 2),
            check,
            None,
        );
    }
}
