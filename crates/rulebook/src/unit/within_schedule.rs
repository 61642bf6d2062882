//! Rule `elements.within-schedule`: do the wear so far and the planned wear stay within the change
//! schedule?

use super::UnitFacts;
use crate::{Authority, Finding, Rule, shown_beside};

/// # What it asks
/// Do the wear so far and the planned wear stay within the change schedule?
/// # Why
/// A full cartridge lets the vapour through, often without any smell.
/// # Citation
/// 29 CFR 1910.134(d)(3)(iii)(B)(2).
/// # Example that passes
/// 120 min so far, 240 min planned, 480 min allowed.
/// # Example that stops
/// 300 min so far, 240 min planned, 480 min allowed.
/// # Remedy
/// Fit new elements; with the old ones, wear no longer than what is left.
/// # Limits
/// Wear in another task counts by the share it took of that task's own schedule; where that task has
/// none, nothing counts as left. Unrecorded wear is not known.
pub static RULE: Rule = Rule {
    id: "elements.within-schedule",
    asks: "Do the wear so far and the planned wear stay within the change schedule?",
    why: "A full cartridge lets the vapour through, often without any smell.",
    citation: "29 CFR 1910.134(d)(3)(iii)(B)(2)",
    authority: Authority::Read,
    says: "{state}",
    remedy: "fit new elements; with these, wear no longer than {left}",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let life = facts.life.as_ref()?;
    let total = life.used_min + life.planned_min;
    // A share that is not a number is not within anything, and stops.
    if total <= life.allowed_min {
        return None;
    }
    let left = (life.allowed_min - life.used_min).max(0.0).floor();
    let allowed = format!(
        "their schedule allows {:.0} min (limited by {})",
        life.allowed_min.floor(),
        life.limited_by
    );
    // Wear in a task without a schedule has no share that could be known.
    let state = if total.is_finite() {
        format!(
            "the elements would reach {} min of wear; {allowed}",
            shown_beside(total, life.allowed_min.floor(), 0)
        )
    } else {
        format!(
            "the elements were worn where no change schedule says how much of them that took, so \
             nothing counts as left; {allowed}"
        )
    };
    let finding = Finding::stop(&RULE).with("state", state);
    let finding = finding.with("left", format!("{left:.0} min"));
    Some(life.worn.iter().fold(finding, |finding, entry| finding.resting_on(entry)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(|facts| sample::wear(facts, 120.0, 240.0, 480.0), check, None);
        sample::check(
            |facts| sample::wear(facts, 300.0, 240.0, 480.0),
            check,
            Some("elements.within-schedule"),
        );
        sample::check(
            |facts| sample::wear(facts, f64::NAN, 240.0, 480.0),
            check,
            Some("elements.within-schedule"),
        );
        sample::check(
            |facts| sample::wear(facts, f64::INFINITY, 0.0, 480.0),
            check,
            Some("elements.within-schedule"),
        );
        sample::check(|facts| sample::wear(facts, 240.0, 240.0, 480.0), check, None);
    }

    #[test]
    fn wear_of_which_no_share_is_known_is_said_without_a_number() {
        let mut said = String::new();
        let change = |facts: &mut UnitFacts<'static>| {
            sample::wear(facts, f64::INFINITY, 0.4, 480.0);
            said = check(facts).unwrap().text();
        };
        sample::check(change, |_| None, None);
        assert!(said.contains("nothing counts as left") && !said.contains("inf"), "{said}");
    }
}
