//! Rule `standby.posted`: does somebody stand by outside until the wear ends?

use super::StandbyFacts;
use super::Stands;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Does somebody stand by outside until the wear ends?
/// # Why
/// Who goes down in such air has minutes, and nobody sees it who is not there.
/// # Citation
/// 29 CFR 1910.134(g)(3)(i).
/// # Example that passes
/// Posted at 08:00 until 16:00, asked at 10:00 for two hours.
/// # Example that stops
/// Nobody posted today, or until 11:00 only.
/// # Remedy
/// Post somebody until the wear ends, or wear for a shorter time.
/// # Limits
/// Knows who was posted, not who stands there. The latest posting for a task counts; it stands for
/// twelve hours at most.
pub static RULE: Rule = Rule {
    id: "standby.posted",
    asks: "Does somebody stand by outside until the wear ends?",
    why: "Who goes down in such air has minutes, and nobody sees it who is not there.",
    citation: "29 CFR 1910.134(g)(3)(i)",
    authority: Authority::Read,
    says: "{state}",
    remedy: "post at least one person outside, with a set that is ready, until the wear ends, and \
          record it; leave before the posting ends. This answers no question about a rescue",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &StandbyFacts<'_>) -> Option<Finding> {
    let Some(posting) = &facts.posting else {
        let state = format!("nobody is recorded as standing by outside for {}", facts.task);
        return Some(Finding::stop(&RULE).with("state", state));
    };
    let state = match &posting.stands {
        Stands::ToTheEnd => return None,
        Stands::Ended => format!("who stood by outside for {} was stood down", facts.task),
        Stands::Until { until, wear } => format!(
            "who stands by outside for {} does so until {until}, and the wear would end at {wear}",
            facts.task
        ),
    };
    Some(Finding::stop(&RULE).with("state", state).resting_on(posting.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standby::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(|facts| facts.posting = None, check, Some(RULE.id));
        sample::of_posting(|posting| posting.stands = Stands::Ended, check, Some(RULE.id));
        let stands = Stands::Until { until: "11:00".into(), wear: "12:00".into() };
        sample::of_posting(|posting| posting.stands = stands, check, Some(RULE.id));
    }
}
