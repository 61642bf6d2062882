//! Rule `repair.trained`: was the repair or the release done by a person with current repair
//! training?

use super::{RepairFacts, Standing};
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the repair or the release done by a person with current repair training?
/// # Why
/// A repair by one who does not know the set may leave it worse, unseen.
/// # Citation
/// 29 CFR 1910.134(h)(4)(i).
/// # Example that passes
/// Trained in repair a year ago to the day.
/// # Example that stops
/// Never trained in repair, or over a year ago.
/// # Remedy
/// Have it repaired, tested and released by a person with current repair training.
/// # Limits
/// The paragraph asks for suitable training and gives no time; the site's time is taken, and a
/// year where it has none. The maker and technicians whom the maker trained need no training of
/// the site.
pub static RULE: Rule = Rule {
    id: "repair.trained",
    asks: "Was the repair or the release done by a person with current repair training?",
    why: "A repair by one who does not know the set may leave it worse, unseen.",
    citation: "29 CFR 1910.134(h)(4)(i)",
    authority: Authority::Read,
    says: "{who} {state}",
    remedy: "have it repaired, tested and released by a person with current repair training",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &RepairFacts<'_>) -> Option<Finding> {
    if facts.standing != Standing::OfTheSite {
        return None;
    }
    let finding = Finding::stop(&RULE).with("who", facts.by).resting_on(facts.entry);
    let Some(training) = facts.training else {
        return Some(finding.with("state", "was never trained in repair"));
    };
    let finding = finding.resting_on(training.entry);
    if !training.understood {
        return Some(finding.with("state", "did not show that the training was understood"));
    }
    let until = facts.training_counts.last_day(training.day);
    if training.day <= facts.day && facts.day <= until {
        return None;
    }
    let state = format!("was trained in repair on {}, which holds until {until}", training.day);
    Some(finding.with("state", state))
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::repair::sample::check(|facts| facts.day = date(2026, 5, 4), check, None);
        crate::repair::sample::check(
            |facts| facts.day = date(2026, 5, 5),
            check,
            Some("repair.trained"),
        );
        crate::repair::sample::check(
            |facts| facts.day = date(2025, 5, 3),
            check,
            Some("repair.trained"),
        );
        crate::repair::sample::check(|facts| facts.training = None, check, Some("repair.trained"));
        crate::repair::sample::check(
            |facts| facts.training.as_mut().unwrap().understood = false,
            check,
            Some("repair.trained"),
        );
        crate::repair::sample::check(
            |facts| (facts.standing, facts.training) = (Standing::Maker, None),
            check,
            None,
        );
    }
}
