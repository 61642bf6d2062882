//! Rule `supply.sorbent-tag`: does the tag of a compressor's sorbent beds and filters bear a date
//! and a signature, and are they in date?

use super::SupplyFacts;
use crate::{Authority, Finding, Rule, Severity, is_blank};

/// # What it asks
/// Does the tag of a compressor's sorbent beds and filters bear a date and a signature, and are
/// they in date?
/// # Why
/// A spent bed lets oil, odour and water through, unseen.
/// # Citation
/// 29 CFR 1910.134(i)(5)(iii)-(iv).
/// # Example that passes
/// Changed on 2 March, signed, good until September.
/// # Example that stops
/// No tag, no signature, or past its date.
/// # Remedy
/// Change beds and filters by the maker's instructions; date and sign the tag, and keep it at the
/// compressor.
/// # Limits
/// The date until which they serve is the maker's, as entered.
pub static RULE: Rule = Rule {
    id: "supply.sorbent-tag",
    asks: "Does the tag of a compressor's sorbent beds and filters bear a date and a signature, \
           and are they in date?",
    why: "A spent bed lets oil, odour and water through, unseen.",
    citation: "29 CFR 1910.134(i)(5)(iii)-(iv)",
    authority: Authority::Read,
    says: "{supply}: {state}",
    remedy: "change beds and filters by the maker's instructions; date and sign the tag, and keep \
             it at the compressor",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &SupplyFacts<'_>) -> Option<Finding> {
    if !facts.source.is_compressor() {
        return None;
    }
    let finding = Finding::stop(&RULE).with("supply", facts.supply);
    let Some(tag) = facts.bed_tag else {
        return Some(finding.with("state", "no change of sorbent beds and filters is on record"));
    };
    let finding = finding.resting_on(tag.entry);
    if is_blank(tag.signed) {
        return Some(finding.with("state", "the tag of the sorbent beds is not signed"));
    }
    if tag.serves_until.is_none() {
        let state = "it is not recorded until when the sorbent beds serve";
        return Some(Finding { severity: Severity::Caution, ..finding.with("state", state) });
    }
    let until = tag.serves_until.filter(|until| *until < facts.day)?;
    let state = format!("the sorbent beds served until {until}");
    Some(finding.with("state", state).after(until))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::supply::Source;
    use jiff::civil::date;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::supply::sample::check(
            |facts| facts.bed_tag = None,
            check,
            Some("supply.sorbent-tag"),
        );
        crate::supply::sample::check(
            |facts| facts.bed_tag.as_mut().unwrap().signed = " ",
            check,
            Some("supply.sorbent-tag"),
        );
        crate::supply::sample::check(
            |facts| facts.day = date(2026, 9, 2),
            check,
            Some("supply.sorbent-tag"),
        );
        crate::supply::sample::check(
            |facts| facts.bed_tag.as_mut().unwrap().serves_until = None,
            check,
            Some("supply.sorbent-tag"),
        );
        crate::supply::sample::check(
            |facts| {
                facts.source = Source::PurchasedCylinders;
                facts.bed_tag = None;
            },
            check,
            None,
        );
    }
}
