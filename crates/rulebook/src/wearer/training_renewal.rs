//! Rule `training.renewal-asked`: was the wearer trained since something asked for new training?

use super::WearerFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the wearer trained since something asked for new training?
/// # Why
/// A change of the work or of the respirator makes old training obsolete, and what is not kept
/// must be taught again.
/// # Citation
/// 29 CFR 1910.134(k)(5)(i)-(iii).
/// # Example that passes
/// The kind of respirator changed; the wearer was trained since.
/// # Example that stops
/// Wrong use was seen; the latest training is older.
/// # Remedy
/// Train the wearer again.
/// # Limits
/// Knows what was recorded. Training in wearing only.
pub static RULE: Rule = Rule {
    id: "training.renewal-asked",
    asks: "Was the wearer trained since something asked for new training?",
    why: "A change of the work or of the respirator makes old training obsolete, and what is not kept must be taught again.",
    citation: "29 CFR 1910.134(k)(5)(i)-(iii)",
    authority: Authority::Read,
    says: "since the last training of {wearer} something was seen that asks for it anew",
    remedy: "train {wearer} again in wearing",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    let finding = Finding::stop(&RULE).with("wearer", facts.wearer);
    Some(finding.resting_on(facts.training_renewal?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wearer::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                let _ = &facts;
            },
            check,
            None,
        );
        sample::check(
            |facts| facts.training_renewal = Some("e7"),
            check,
            Some("training.renewal-asked"),
        );
    }
}
