//! Rule `standby.enough`: do enough people stand outside?

use super::StandbyFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Do enough people stand outside?
/// # Why
/// One person cannot bring out everybody, and in a fire not even one.
/// # Citation
/// 29 CFR 1910.134(g)(3)(i), (g)(4)(ii) and (g) Note 1.
/// # Example that passes
/// One outside a tank; two outside a fire, one of whom runs the pump and can leave it.
/// # Example that stops
/// One outside a fire, or two who both have another role.
/// # Remedy
/// Post more people outside.
/// # Limits
/// The number is that of the rule, or of the site where it asks for more of a task. Whether a role can
/// be left without danger is for whoever posts.
pub static RULE: Rule = Rule {
    id: "standby.enough",
    asks: "Do enough people stand outside?",
    why: "One person cannot bring out everybody, and in a fire not even one.",
    citation: "29 CFR 1910.134(g)(3)(i), (g)(4)(ii) and (g) Note 1",
    authority: Authority::Read,
    says: "{state}",
    remedy: "post more people outside and record it; of two outside a fire one alone may have \
          another role, which must be left at once without danger to anybody",
};

/// How many stand outside at least; what a site asks counts where it is more.
///
/// Source: 29 CFR 1910.134(g)(3)(i) and (g)(4)(ii).
#[must_use]
pub fn least(fire: bool, asked: Option<u8>) -> u8 {
    let by_rule = if fire { 2 } else { 1 };
    asked.map_or(by_rule, |asked| asked.max(by_rule))
}

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &StandbyFacts<'_>) -> Option<Finding> {
    let posting = facts.posting.as_ref()?;
    let least = least(facts.fire, facts.asked_outside);
    // Source: 29 CFR 1910.134(g) Note 1: one of the two may have another role.
    let busy = if facts.fire { posting.other_role.saturating_sub(1) } else { 0 };
    let outside = posting.outside.saturating_sub(busy);
    if usize::from(least) <= outside {
        return None;
    }
    let state = format!("{outside} stand outside who count, and {least} are needed");
    Some(Finding::stop(&RULE).with("state", state).resting_on(posting.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standby::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        let outside = |outside, other_role, expected| {
            let change = |posting: &mut crate::standby::PostingFacts<'_>| {
                (posting.outside, posting.other_role) = (outside, other_role);
            };
            sample::of_posting(change, check, expected);
        };
        outside(1, 0, Some(RULE.id));
        outside(2, 1, None);
        outside(2, 2, Some(RULE.id));
        outside(3, 2, None);
        let tank = |asked, expected| {
            let change = |facts: &mut StandbyFacts<'_>| {
                (facts.fire, facts.asked_outside) = (false, asked);
                facts.posting.as_mut().unwrap().outside = 1;
            };
            sample::check(change, check, expected);
        };
        tank(None, None);
        tank(Some(0), None);
        tank(Some(2), Some(RULE.id));
    }

    #[test]
    fn what_a_site_asks_is_never_laxer() {
        assert_eq!((least(true, Some(1)), least(false, Some(3))), (2, 3));
        assert_eq!((least(true, None), least(false, None)), (2, 1));
    }
}
