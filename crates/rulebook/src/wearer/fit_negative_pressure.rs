//! Rule `fit.negative-pressure`: was a facepiece that is fed with air fit tested without that air?

use super::WearerFacts;
use crate::fit_test::{TestKind, TestedAs, protocol};
use crate::{AirSource, Authority, Finding, Rule};

/// # What it asks
/// Was a facepiece that is fed with air fit tested in negative-pressure mode, by a way that the rule has?
/// # Why
/// Air that flows in hides every leak: the test passes whatever the fit, and the leak opens where the
/// blower stops or the wearer breathes harder than the air flows.
/// # Citation
/// 29 CFR 1910.134(f)(8), (f)(8)(i), (f)(8)(ii).
/// # Example that passes
/// A powered full facepiece whose fit was measured on an air-purifying facepiece with the same sealing
/// surfaces and a sampling probe.
/// # Example that stops
/// A self-contained set that was tested with its air on; one whose record does not say.
/// # Remedy
/// Where it is known how it was tested, have the administrator of the program correct the entry; otherwise
/// fit test again, without the air.
/// # Limits
/// A test of which the outcome alone was brought says nothing of it and is a caution. Asked of every
/// tight-fitting set with a blower, an airline or carried air.
pub static RULE: Rule = Rule {
    id: "fit.negative-pressure",
    asks: "Was a facepiece that is fed with air fit tested in negative-pressure mode, by a way that the \
           rule has?",
    why: "Air that flows in hides every leak: the test passes whatever the fit, and the leak opens \
          where the blower stops or the wearer breathes harder than the air flows.",
    citation: "29 CFR 1910.134(f)(8)",
    authority: Authority::Read,
    says: "{model} is fed with air, and the fit test of {wearer} with size {size} {why}",
    remedy: "fit test {model} size {size} for {wearer} again in negative-pressure mode; where it is \
             known how it was tested, the administrator of the program may correct the entry and say \
             so",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    let test = facts.tight_fit_test()?;
    let source = facts.device.as_ref()?.air_source;
    if source == AirSource::AirPurifying {
        return None;
    }
    let (finding, why) = match (test.tested_as, test.run_by) {
        (None, None) => (Finding::caution(&RULE), NOT_TOLD.to_owned()),
        (None, Some(_)) => (Finding::stop(&RULE), NOT_TOLD.to_owned()),
        (Some(TestedAs::AirOn), _) => (Finding::stop(&RULE), "was done with its air on".to_owned()),
        (Some(way), run) => {
            // A protocol that nobody knows was judged not to pass.
            let kind = run.and_then(|run| protocol(run.protocol).ok())?.kind;
            if way.serves(kind) {
                return None;
            }
            let lacks = match kind {
                TestKind::Quantitative => "from which no air can be sampled",
                TestKind::Qualitative => "which does not serve this kind of test",
            };
            (Finding::stop(&RULE), format!("was measured on {way}, {lacks}"))
        }
    };
    let finding = finding.with("wearer", facts.wearer).with("model", facts.model);
    Some(finding.with("size", facts.size).with("why", why).resting_on(test.entry))
}

const NOT_TOLD: &str = "does not say that it was done in negative-pressure mode";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Severity;
    use crate::fit_test::Mask;
    use crate::wearer::{RunBy, sample};

    fn found(
        source: AirSource,
        protocol: Option<&'static str>,
        tested_as: Option<TestedAs>,
    ) -> Option<Severity> {
        let mut found = None;
        let change = |facts: &mut WearerFacts<'static>| {
            sample::device(facts).air_source = source;
            let test = sample::fit_test(facts);
            let facepiece = Mask::HalfMask;
            test.run_by = protocol.map(|protocol| RunBy { protocol, facepiece });
            test.tested_as = tested_as;
            found = check(facts).map(|finding| finding.severity);
        };
        sample::check(change, |_| None, None);
        found
    }

    // Source: 29 CFR 1910.134(f)(8), (i) and (ii).
    #[test]
    fn the_examples_of_the_doc_hold() {
        use TestedAs::{AirOn, OwnConverted, OwnWithAdapter, ProbedSurrogate, Surrogate};
        let (tasted, measured) = (Some("QLFT-SAC"), Some("QNFT-CNC"));
        let stop = Some(Severity::Stop);
        for source in AirSource::ALL.into_iter().filter(|one| *one != AirSource::AirPurifying) {
            for (protocol, way, expected) in [
                (tasted, Some(OwnConverted), None),
                (tasted, Some(Surrogate), None),
                (tasted, Some(ProbedSurrogate), None),
                (tasted, Some(AirOn), stop),
                (tasted, None, stop),
                (measured, Some(OwnWithAdapter), None),
                (measured, Some(ProbedSurrogate), None),
                (measured, Some(OwnConverted), stop),
                (measured, Some(Surrogate), stop),
                (measured, Some(AirOn), stop),
                (measured, None, stop),
                // The outcome alone is known.
                (None, None, Some(Severity::Caution)),
            ] {
                assert_eq!(found(source, protocol, way), expected, "{source} {protocol:?} {way:?}");
            }
        }
    }

    #[test]
    fn a_facepiece_that_is_not_fed_with_air_is_not_asked() {
        assert_eq!(found(AirSource::AirPurifying, Some("QNFT-CNC"), None), None);
        let hood = |facts: &mut WearerFacts<'static>| {
            sample::device(facts).air_source = AirSource::PoweredAirPurifying;
            sample::device(facts).facepiece = crate::Facepiece::LooseFitting;
        };
        sample::check(hood, check, None);
    }

    #[test]
    fn what_is_found_names_the_model_and_what_puts_it_right() {
        let powered = |facts: &mut WearerFacts<'static>| {
            sample::device(facts).air_source = AirSource::PoweredAirPurifying;
        };
        sample::check(powered, check, Some("fit.negative-pressure"));
    }
}
