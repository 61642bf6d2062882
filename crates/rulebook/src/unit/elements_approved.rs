//! Rule `elements.approved-with-model`: is the set approved with the elements that are on it?

use super::UnitFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the set approved with the elements that are on it?
/// # Why
/// Facepiece and elements are tested and approved together; with others it is another respirator, of
/// which nobody knows how it protects.
/// # Citation
/// 29 CFR 1910.134(d)(1)(ii), (j).
/// # Example that passes
/// The listing of the model names the cartridges that are on it.
/// # Example that stops
/// The listing names cartridges, and others are on it.
/// # Remedy
/// Fit elements that the approval label names; where it names these, put them into the listing of the
/// model.
/// # Limits
/// Knows what was listed by the approval label; where the listing names no elements at all it cautions.
/// A filtering facepiece needs none named, and may have its own filter named.
pub static RULE: Rule = Rule {
    id: "elements.approved-with-model",
    asks: "Is the set approved with the elements that are on it?",
    why: "Facepiece and elements are tested and approved together; with others it is another \
           respirator, of which nobody knows how it protects.",
    citation: "29 CFR 1910.134(d)(1)(ii), (j)",
    authority: Authority::Read,
    says: "{model} is not shown to be approved with the elements `{kind}`: its listing names {named}",
    remedy: "fit elements that its approval label names; where the label names `{kind}`, put that \
           into the listing of the model",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let elements = facts.elements_in_use()?;
    let own_filter = facts.device.as_ref()?.filtering_facepiece;
    let finding = found(facts.model, elements.kind, &elements.named, own_filter)?;
    Some(finding.resting_on(elements.entry))
}

/// What stands against elements of `kind` on a `model` whose listing names the kinds `named`.
#[must_use]
pub fn found(model: &str, kind: &str, named: &[&str], own_filter: bool) -> Option<Finding> {
    let finding = match named {
        [] if own_filter => return None,
        [] => Finding::caution(&RULE),
        named if named.contains(&kind) => return None,
        _ => Finding::stop(&RULE),
    };
    let words = if named.is_empty() { "none".to_owned() } else { named.join(", ") };
    Some(finding.with("model", model).with("kind", kind).with("named", words))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Severity;
    use crate::unit::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                let kind = sample::elements(facts).kind;
                sample::elements(facts).named = vec!["another", kind];
            },
            check,
            None,
        );
        sample::check(
            |facts| sample::elements(facts).named = vec!["another"],
            check,
            Some("elements.approved-with-model"),
        );
    }

    #[test]
    fn a_listing_that_names_nothing_cautions_and_a_filtering_facepiece_needs_none() {
        let cautions = found("model A", "ov", &[], false).unwrap();
        assert_eq!(cautions.severity, Severity::Caution);
        assert_eq!(found("model A", "n95-body", &[], true), None);
        let of_another = found("model A", "ov", &["n95-body"], true).unwrap();
        assert_eq!(of_another.severity, Severity::Stop);
    }
}
