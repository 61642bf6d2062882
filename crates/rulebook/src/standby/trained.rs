//! Rule `standby.trained`: is who stands by trained to stand by and to rescue?

use super::PostedFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is who stands by trained to stand by and to rescue?
/// # Why
/// A rescuer who does not know how becomes the second to be brought out.
/// # Citation
/// 29 CFR 1910.134(g)(3)(iii).
/// # Example that passes
/// Trained in standing by and rescue half a year ago.
/// # Example that stops
/// Never trained in it, or over a year ago.
/// # Remedy
/// Post a person who is trained.
/// # Limits
/// The paragraph gives no time; the time of the site is taken, and a year where it has none (common
/// practice, no source).
pub static RULE: Rule = Rule {
    id: "standby.trained",
    asks: "Is who stands by trained to stand by and to rescue?",
    why: "A rescuer who does not know how becomes the second to be brought out.",
    citation: "29 CFR 1910.134(g)(3)(iii)",
    authority: Authority::Read,
    says: "{who} {state}",
    remedy: "post a person with current training in standing by and rescue, or train {who} and \
          record it",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &PostedFacts<'_>) -> Option<Finding> {
    let finding = Finding::stop(&RULE).with("who", facts.who).resting_on(facts.entry);
    let Some(training) = facts.training else {
        return Some(finding.with("state", "was never trained in standing by and rescue"));
    };
    let finding = finding.resting_on(training.entry);
    if !training.understood {
        let state = "did not show that the training in standing by and rescue was understood";
        return Some(finding.with("state", state));
    }
    let until = facts.training_counts.last_day(training.day);
    if training.day <= facts.day && facts.day <= until {
        return None;
    }
    let day = training.day;
    let state =
        format!("was trained in standing by and rescue on {day}, which holds until {until}");
    Some(finding.with("state", state))
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    use crate::standby::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::of_posted(|facts| facts.training = None, check, Some(RULE.id));
        let unclear = |facts: &mut PostedFacts<'_>| {
            facts.training.as_mut().unwrap().understood = false;
        };
        sample::of_posted(unclear, check, Some(RULE.id));
        sample::of_posted(|facts| facts.day = date(2027, 2, 2), check, None);
        sample::of_posted(|facts| facts.day = date(2027, 2, 3), check, Some(RULE.id));
        sample::of_posted(|facts| facts.day = date(2026, 2, 1), check, Some(RULE.id));
    }
}
