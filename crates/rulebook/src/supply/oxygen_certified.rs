//! Rule `supply.oxygen-certified`: did the oxygen in a cylinder come with proof that it may be breathed?

use super::CylinderFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Did the oxygen in a cylinder come with proof that it may be breathed?
/// # Why
/// Oxygen for welding may hold what no lung should.
/// # Citation
/// 29 CFR 1910.134(i)(1)(i).
/// # Example that passes
/// Filled with oxygen whose certificate says that it meets the pharmacopoeia for medical or breathing
/// oxygen.
/// # Example that stops
/// Filled with oxygen, and no certificate is recorded since; the certificate says that it does not meet it.
/// # Remedy
/// Ask the supplier for the certificate of this lot and record it; do not breathe the oxygen without it.
/// # Limits
/// Knows the certificate, not the oxygen. Of oxygen that was let in anew the certificate of the oxygen
/// before says nothing.
pub static RULE: Rule = Rule {
    id: "supply.oxygen-certified",
    asks: "Did the oxygen in a cylinder come with proof that it may be breathed?",
    why: "Oxygen for welding may hold what no lung should.",
    citation: "29 CFR 1910.134(i)(1)(i)",
    authority: Authority::Read,
    says: "cylinder {cylinder} is filled with oxygen {state}",
    remedy: "ask the supplier for the certificate of this lot and record it; do not breathe the oxygen \
             without it",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &CylinderFacts<'_>) -> Option<Finding> {
    // What is about to be filled is certified afterwards, with its lot.
    let oxygen = facts.oxygen?;
    let filled = oxygen.filled?;
    let finding = Finding::stop(&RULE).with("cylinder", facts.cylinder).resting_on(filled);
    match oxygen.certificate {
        None => Some(finding.with("state", "of which no certificate is on record")),
        Some(given) if given.meets => None,
        Some(given) => {
            let state = "that does not meet the pharmacopoeia for medical or breathing oxygen";
            Some(finding.with("state", state).resting_on(given.entry))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::supply::{OxygenCertificate, OxygenFill, sample};

    const FILLED: OxygenFill<'static> =
        OxygenFill { after_air: None, set: None, filled: Some("e2"), certificate: None };

    #[test]
    fn the_examples_of_the_doc_hold() {
        let with = |meets| {
            let certificate = Some(OxygenCertificate { meets, entry: "e3" });
            move |facts: &mut CylinderFacts<'static>| {
                facts.oxygen = Some(OxygenFill { certificate, ..FILLED });
            }
        };
        let stops = Some("supply.oxygen-certified");
        sample::check(with(true), check, None);
        sample::check(with(false), check, stops);
        sample::check(|facts| facts.oxygen = Some(FILLED), check, stops);
        let about_to = OxygenFill { filled: None, ..FILLED };
        sample::check(|facts| facts.oxygen = Some(about_to), check, None);
    }
}
