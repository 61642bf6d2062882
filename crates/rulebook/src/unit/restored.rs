//! Rule `unit.restored`: was undone what was changed on the facepiece for a fit test?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was undone what was changed on the facepiece for a fit test?
/// # Why
/// A facepiece with filters where its air comes in, or with an adapter in it, is not the one that was
/// approved.
/// # Citation
/// 29 CFR 1910.134(f)(8)(iii).
/// # Example that passes
/// Tested with a sampling adapter in the morning, put back into its approved configuration after it.
/// # Example that stops
/// Filters put on for a fit test, and nothing recorded since.
/// # Remedy
/// Undo every change, put the set back as it is approved, and record that.
/// # Limits
/// Knows of changes that a fit test names the set of.
pub static RULE: Rule = Rule {
    id: "unit.restored",
    asks: "Was undone what was changed on the facepiece for a fit test?",
    why: "A facepiece with filters where its air comes in, or with an adapter in it, is not the one \
          that was approved.",
    citation: "29 CFR 1910.134(f)(8)(iii)",
    authority: Authority::Read,
    says: "{unit} was changed for a fit test ({how}) and is not recorded as put back",
    remedy: "take every change off, put {unit} back as it is approved, and record that it was restored",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let changed = facts.changed_for_test?;
    let finding = Finding::stop(&RULE).with("unit", facts.unit).with("how", changed.tested_as);
    Some(finding.resting_on(changed.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit_test::TestedAs;
    use crate::unit::{Changed, sample};

    #[test]
    fn the_examples_of_the_doc_hold() {
        for tested_as in [TestedAs::OwnConverted, TestedAs::OwnWithAdapter] {
            let changed = Some(Changed { tested_as, entry: "e9" });
            sample::check(|facts| facts.changed_for_test = changed, check, Some("unit.restored"));
        }
        sample::check(|facts| facts.changed_for_test = None, check, None);
    }
}
