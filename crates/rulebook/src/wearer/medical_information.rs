//! Rule `medical.information`: was the health professional told of the respirator and the work before the
//! recommendation?

use super::{Allows, ClearanceFact, WearerFacts};
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the health professional told of the respirator and the work before the recommendation?
/// # Why
/// Whether a person can carry a respirator through the work cannot be said by one who knows neither.
/// # Citation
/// 29 CFR 1910.134(e)(5)(i)-(iii).
/// # Example that passes
/// The sheet and copies of the program and of the standard were given last spring, before the
/// recommendation, to the professional who made it.
/// # Example that stops
/// It cautions: nothing is recorded; the sheet says nothing of heat and humidity; another professional
/// was told; the respirator gets its air otherwise than those on the sheet.
/// # Remedy
/// Give the professional the sheet of the wearer with copies of the written program and of the standard,
/// record it, and record the recommendation that is made or confirmed with it.
/// # Limits
/// It cautions and does not stop: the paragraph asks for the information before the recommendation, and
/// does not say that one made without it is void. What was told is not judged. Nothing needs to be sent
/// again while neither it nor the professional changed; whether the work changed is seen by people.
pub static RULE: Rule = Rule {
    id: "medical.information",
    asks: "Was the health professional told of the respirator and the work before the recommendation?",
    why: "Whether a person can carry a respirator through the work cannot be said by one who knows \
          neither.",
    citation: "29 CFR 1910.134(e)(5)(i)-(iii)",
    authority: Authority::Read,
    says: "the recommendation for {wearer}: {what}",
    remedy: "give the professional the sheet of {wearer} with copies of the written program and of \
             the standard, record it, and record the recommendation that is made or confirmed with it",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    let clearance = facts.clearance.as_ref()?;
    // Who may not wear at all is told so whatever was known.
    if clearance.allows == Allows::Nothing {
        return None;
    }
    let finding = Finding::caution(&RULE).with("wearer", facts.wearer);
    let finding = finding.with("what", lacking(facts, clearance)?).resting_on(clearance.entry);
    Some(match &clearance.told {
        Some(told) => finding.resting_on(told.entry),
        None => finding,
    })
}

/// What was not told before the recommendation, in words.
fn lacking(facts: &WearerFacts<'_>, clearance: &ClearanceFact<'_>) -> Option<String> {
    let Some(told) = &clearance.told else {
        let what = "nothing shows that the professional was told before it of the respirator and \
                    the work";
        return Some(what.to_owned());
    };
    if let Some(other) = told.another {
        return Some(format!(
            "{other} was told of the respirator and the work, and not who made it"
        ));
    }
    if !told.missing.is_empty() {
        return Some(format!("before it nothing was given of {}", told.missing.join(", ")));
    }
    let worn = facts.device.as_ref().map(|device| device.air_source)?;
    let told_of = told.air_sources.contains(&worn);
    (!told_of).then(|| format!("it was made without word of a respirator that is {worn}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::AirSource;
    use crate::wearer::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        let cautions = Some("medical.information");
        sample::check(|facts| sample::clearance(facts).told = None, check, cautions);
        sample::check(
            |facts| sample::told(facts).missing = vec!["extremes of temperature and humidity"],
            check,
            cautions,
        );
        sample::check(|facts| sample::told(facts).another = Some("Bo"), check, cautions);
        sample::check(
            |facts| sample::device(facts).air_source = AirSource::SelfContainedPressureDemand,
            check,
            cautions,
        );
    }

    #[test]
    fn who_may_not_wear_is_told_that_alone() {
        sample::check(
            |facts| {
                sample::clearance(facts).allows = Allows::Nothing;
                sample::clearance(facts).told = None;
            },
            check,
            None,
        );
    }

    #[test]
    fn nothing_of_it_stops() {
        let mut facts = sample::good();
        sample::clearance(&mut facts).told = None;
        assert_eq!(check(&facts).map(|found| found.severity), Some(crate::Severity::Caution));
    }
}
