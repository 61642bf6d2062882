//! Rule `fit.protocol`: was the fit test run for this kind of facepiece, by a protocol that serves it?

use super::WearerFacts;
use crate::fit_test::{Mask, Suits, protocol};
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Was the fit test run for this kind of facepiece, by a protocol that serves it?
/// # Why
/// A test made for another facepiece, or with filters that let its agent through, shows nothing.
/// # Citation
/// 29 CFR 1910.134(f)(5) and App. A Part I.
/// # Example that passes
/// A half mask by irritant smoke, whose model takes filters of class P100.
/// # Example that stops
/// A filtering facepiece whose test was run as for a half mask; one of class N95 by irritant smoke.
/// # Remedy
/// Fit test the same model and size for the wearer by a protocol that serves it.
/// # Limits
/// Asked of tests that were written down with their protocol. Which elements were fitted at the test is
/// not written: a model that takes one of the class is taken to have had it, and one that names no
/// elements is a caution.
pub static RULE: Rule = Rule {
    id: "fit.protocol",
    asks: "Was the fit test run for this kind of facepiece, by a protocol that serves it?",
    why: "A test made for another facepiece, or with filters that let its agent through, shows \
          nothing.",
    citation: "29 CFR 1910.134(f)(5) and App. A Part I",
    authority: Authority::Read,
    says: "the fit test of {wearer} with {model} size {size} {why}",
    remedy: "fit test {model} size {size} for {wearer} by a protocol that serves it",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    let test = facts.tight_fit_test()?;
    let device = facts.device.as_ref()?;
    let run = test.run_by?;
    let told = |finding: Finding, why: String| {
        let finding = finding.with("wearer", facts.wearer).with("model", facts.model);
        Some(finding.with("size", facts.size).with("why", why).resting_on(test.entry))
    };
    let worn = Mask::of(device)?;
    if run.facepiece != worn {
        let why = format!("was run as for a {}, and this is a {worn}", run.facepiece);
        return told(Finding::stop(&RULE), why);
    }
    // A protocol that nobody knows was judged not to pass.
    let by = protocol(run.protocol).ok()?;
    match by.suits(device, facts.approved.as_deref()) {
        Suits::Yes => None,
        Suits::No(why) => told(Finding::stop(&RULE), format!("cannot count: {why}")),
        Suits::Unknown(why) => told(Finding::caution(&RULE), format!("counts only {why}")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wearer::{RunBy, sample};
    use crate::{ElementKind, Elements, FilterClass, Mounting, Severity};

    fn elements(class: Option<&str>, against: &[ElementKind]) -> Elements {
        Elements {
            against: against.to_vec(),
            filter: class.map(|class| class.parse::<FilterClass>().unwrap()),
            mounting: Mounting::Cartridge,
            end_of_service_indicator: false,
        }
    }

    /// What is found of a test of a half mask, or of a filtering facepiece, that names these elements.
    fn found(
        filtering: bool,
        (protocol, facepiece): (&'static str, Mask),
        approved: Option<&'static [Elements]>,
    ) -> Option<Severity> {
        let mut found = None;
        let change = |facts: &mut WearerFacts<'static>| {
            sample::device(facts).filtering_facepiece = filtering;
            sample::fit_test(facts).run_by = Some(RunBy { protocol, facepiece });
            facts.approved = approved.map(|all| all.iter().collect());
            found = check(facts).map(|finding| finding.severity);
        };
        sample::check(change, |_| None, None);
        found
    }

    // Source: 29 CFR 1910.134 App. A Part I.B.2, B.5, C.2, C.4 and C.5.
    #[test]
    fn the_examples_of_the_doc_hold() {
        let leak = |all: Vec<Elements>| -> Option<&'static [Elements]> { Some(all.leak()) };
        let of = |class: &str| leak(vec![elements(Some(class), &[])]);
        let vapour = || leak(vec![elements(None, &[ElementKind::OrganicVapour])]);
        let (half, filtering) = (Mask::HalfMask, Mask::FilteringFacepiece);
        let (stop, caution) = (Some(Severity::Stop), Some(Severity::Caution));
        for (number, (is_filtering, run, approved, expected)) in [
            // Run as for another facepiece.
            (true, ("QLFT-IAA", half), of("N95"), stop),
            (true, ("QNFT-CNC-MOD-ELAST", half), of("N95"), stop),
            (false, ("QNFT-CNC-MOD-FFR", filtering), vapour(), stop),
            // Not for this facepiece at all.
            (true, ("QLFT-IAA", filtering), of("N95"), stop),
            (false, ("QNFT-CNC-MOD-FFR", half), vapour(), stop),
            // The class that the facepiece is of, or that the model takes.
            (true, ("QLFT-SMOKE", filtering), of("N95"), stop),
            (true, ("QNFT-GEN", filtering), of("N95"), stop),
            (true, ("QNFT-GEN", filtering), of("P100"), None),
            (true, ("QNFT-GEN", filtering), None, caution),
            (false, ("QLFT-SMOKE", half), vapour(), stop),
            (false, ("QLFT-SMOKE", half), of("P100"), None),
            (false, ("QLFT-IAA", half), of("P100"), stop),
            (false, ("QLFT-IAA", half), vapour(), None),
            (false, ("QLFT-IAA", half), None, caution),
            // No filter is asked for.
            (true, ("QNFT-CNC-MOD-FFR", filtering), None, None),
            (false, ("QNFT-CNC", half), None, None),
        ]
        .into_iter()
        .enumerate()
        {
            assert_eq!(found(is_filtering, run, approved), expected, "case {number}: {run:?}");
        }
    }

    #[test]
    fn a_test_without_its_protocol_is_not_asked() {
        sample::check(|facts| sample::fit_test(facts).run_by = None, check, None);
        let change = |facts: &mut WearerFacts<'static>| {
            let facepiece = Mask::FullFacepiece;
            sample::fit_test(facts).run_by = Some(RunBy { protocol: "QNFT-CNC", facepiece });
        };
        sample::check(change, check, Some("fit.protocol"));
    }
}
