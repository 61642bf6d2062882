//! Rule `standby.retrieval`: how would who is inside be brought out?

use super::Retrieval;
use super::StandbyFacts;
use crate::{Authority, Finding, Rule, is_blank};

/// # What it asks
/// How would who is inside be brought out?
/// # Why
/// Nobody lifts a person out of a tank with bare hands in time.
/// # Citation
/// 29 CFR 1910.134(g)(3)(vi)(B)-(C).
/// # Example that passes
/// Harness, tripod and winch; or, among pipes that a line would catch on, two rescuers with a
/// stretcher.
/// # Example that stops
/// Neither equipment nor another means.
/// # Remedy
/// Have equipment, or equivalent means, at hand.
/// # Limits
/// Whether the means are equivalent is for whoever posts.
pub static RULE: Rule = Rule {
    id: "standby.retrieval",
    asks: "How would who is inside be brought out?",
    why: "Nobody lifts a person out of a tank with bare hands in time.",
    citation: "29 CFR 1910.134(g)(3)(vi)(B)-(C)",
    authority: Authority::Read,
    says: "it is not recorded how who is inside would be brought out: {what}",
    remedy: "have retrieval equipment at hand, or equivalent means and the reason why equipment \
          would not help or add risk, and record the posting anew",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &StandbyFacts<'_>) -> Option<Finding> {
    let posting = facts.posting.as_ref()?;
    let what = match posting.retrieval {
        Retrieval::Equipment(what) if is_blank(what) => "no equipment is named",
        Retrieval::Otherwise { means, .. } if is_blank(means) => "no means are named",
        Retrieval::Otherwise { why, .. } if is_blank(why) => "no reason is given for no equipment",
        _ => return None,
    };
    Some(Finding::stop(&RULE).with("what", what).resting_on(posting.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standby::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        let (means, why) = ("two with a stretcher", "a line would catch on the pipes");
        sample::of_posting(
            |posting| posting.retrieval = Retrieval::Otherwise { means, why },
            check,
            None,
        );
        for retrieval in [
            Retrieval::Equipment(" "),
            Retrieval::Equipment("\u{200b}"),
            Retrieval::Otherwise { means: "", why },
            Retrieval::Otherwise { means, why: "" },
        ] {
            sample::of_posting(|posting| posting.retrieval = retrieval, check, Some(RULE.id));
        }
    }
}
