//! Rule `fit.instrument`: was what a fit test was made with in order then?

use super::WearerFacts;
use crate::fit_test::{FitInstrument, InstrumentFacts};
use crate::{Authority, Finding, Rule, Severity};

/// What a fit test was made with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MadeWith<'a> {
    /// The test does not say.
    NotTold,
    /// It names this, which nobody listed.
    Unlisted(&'a str),
    /// It names one that was listed.
    Known {
        /// As it stood at the time of the test.
        facts: InstrumentFacts<'a>,
        /// The entry of the next check on the day of the test, where that failed.
        failed_later: Option<&'a str>,
    },
}

/// # What it asks
/// Was the instrument or the test kit of a fit test in order when it was used?
/// # Why
/// One that reads wrongly passes a mask that leaks, and a clogged nebuliser lets nobody notice anything.
/// # Citation
/// 29 CFR 1910.134 App. A Part I.B.1(b), B.3(b)(12) and I.C.1(b).
/// # Example that passes
/// Measured with a particle counter that was calibrated five months before, checked that morning.
/// # Example that stops
/// Measured with one whose yearly calibration had lapsed; with one that had failed its check.
/// # Remedy
/// Calibrate or mend it, and fit test again.
/// # Limits
/// Asked of tests that were written down with their protocol. One that names no instrument is a caution, and
/// so is one whose maker's interval is not told. A check that fails later on the day of the test is a caution
/// for an instrument that measures and a stop for a test kit. What a later calibration found out of bounds
/// says nothing of the tests before it. Of another device under the same id, told by its serial number, what
/// was recorded of the first does not count, nor does a check that held before it was taken out of use count
/// once it is back; common practice, no source.
pub static RULE: Rule = Rule {
    id: "fit.instrument",
    asks: "Was the instrument or the test kit of a fit test in order when it was used?",
    why: "One that reads wrongly passes a mask that leaks, and a clogged nebuliser lets nobody notice \
          anything.",
    citation: "29 CFR 1910.134 App. A Part I.B.1(b), B.3(b)(12) and I.C.1(b)",
    authority: Authority::Read,
    says: "the fit test of {wearer} with {model} size {size} {why}",
    remedy: "calibrate or mend it, or take one that is in order, and fit test {model} size {size} for \
             {wearer} again; where that was done and is not in the records, record it, and where the \
             test was written down wrongly, the administrator of the program may correct the entry",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    let test = facts.tight_fit_test()?;
    // A protocol that nobody knows was judged not to pass.
    let asked = FitInstrument::of_protocol(test.run_by?.protocol)?;
    let (severity, why, entry) = match &test.made_with {
        MadeWith::NotTold => {
            (Severity::Caution, format!("does not say which {asked} it was made with"), None)
        }
        MadeWith::Unlisted(id) => {
            (Severity::Stop, format!("was made with `{id}`, which was never listed"), None)
        }
        MadeWith::Known { facts: with, failed_later } => {
            of_known((asked, test.day), with, *failed_later)?
        }
    };
    let finding = match severity {
        Severity::Stop => Finding::stop(&RULE),
        _ => Finding::caution(&RULE),
    };
    let finding = finding.with("wearer", facts.wearer).with("model", facts.model);
    let finding = finding.with("size", facts.size).with("why", why).citing(asked.citation());
    let finding = finding.resting_on(test.entry);
    Some(entry.into_iter().fold(finding, Finding::resting_on))
}

/// What is wrong with an instrument that was listed.
fn of_known<'a>(
    (asked, day): (FitInstrument, jiff::civil::Date),
    with: &InstrumentFacts<'a>,
    failed_later: Option<&'a str>,
) -> Option<(Severity, String, Option<&'a str>)> {
    let name = with.name;
    if with.serves != asked {
        let why =
            format!("was made with {name}, a {}, and its protocol asks for a {asked}", with.serves);
        return Some((Severity::Stop, why, Some(with.entry)));
    }
    if let Some(unready) = with.unready(day) {
        let why = format!("was made with {name}, which {}", unready.why);
        return Some((Severity::Stop, why, Some(unready.entry)));
    }
    let on_the_day = with.check.is_some_and(|check| check.passed && check.day == day);
    if with.checked_before_use && !on_the_day {
        let why = format!(
            "was made with {name}, and no check before use on {day} is recorded that it passed"
        );
        return Some((Severity::Stop, why, Some(with.entry)));
    }
    if let Some(entry) = failed_later {
        let severity = if asked.measures() { Severity::Caution } else { Severity::Stop };
        let why = format!("was made with {name}, which failed a check later on that day");
        return Some((severity, why, Some(entry)));
    }
    let why = format!("was made with {name}, of which nobody noted how long a calibration holds");
    (!with.has_term()).then_some((Severity::Caution, why, Some(with.entry)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit_test::{Calibration, Checked, Mask};
    use crate::wearer::{RunBy, sample};
    use jiff::civil::date;

    fn counter() -> InstrumentFacts<'static> {
        let day = date(2026, 4, 1);
        InstrumentFacts {
            name: "Counter 1",
            serves: FitInstrument::ParticleCounter,
            calibration_months: Some(12),
            checked_before_use: true,
            withdrawn: None,
            calibration: Some(Calibration {
                day: date(2025, 11, 3),
                until: None,
                passed: true,
                entry: "e7",
            }),
            check: Some(Checked { day, passed: true, calibrated_since: false, entry: "e8" }),
            entry: "e6",
        }
    }

    fn found(protocol: &'static str, made_with: MadeWith<'static>) -> Option<Severity> {
        let mut found = None;
        let change = |facts: &mut WearerFacts<'static>| {
            let test = sample::fit_test(facts);
            test.run_by = Some(RunBy { protocol, facepiece: Mask::HalfMask });
            test.made_with = made_with;
            found = check(facts).map(|finding| finding.severity);
        };
        sample::check(change, |_| None, None);
        found
    }

    fn with(change: impl FnOnce(&mut InstrumentFacts<'static>)) -> Option<Severity> {
        let mut facts = counter();
        change(&mut facts);
        found("QNFT-CNC", MadeWith::Known { facts, failed_later: None })
    }

    #[test]
    fn the_examples_of_the_doc_hold() {
        let (stop, caution) = (Some(Severity::Stop), Some(Severity::Caution));
        assert_eq!(with(|_| {}), None);
        assert_eq!(with(|facts| facts.calibration.as_mut().unwrap().day = date(2025, 3, 1)), stop);
        assert_eq!(with(|facts| facts.calibration = None), stop);
        assert_eq!(with(|facts| facts.check.as_mut().unwrap().passed = false), stop);
        assert_eq!(with(|facts| facts.check.as_mut().unwrap().day = date(2026, 3, 31)), stop);
        assert_eq!(with(|facts| facts.check = None), stop);
        assert_eq!(with(|facts| (facts.check, facts.checked_before_use) = (None, false)), None);
        assert_eq!(with(|facts| facts.withdrawn = Some(("dropped", "e9"))), stop);
        assert_eq!(with(|facts| facts.serves = FitInstrument::HeldVacuum), stop);
        assert_eq!(with(|facts| facts.calibration_months = None), caution);
        assert_eq!(found("QNFT-CNC", MadeWith::NotTold), caution);
        assert_eq!(found("QLFT-SAC", MadeWith::NotTold), caution);
        assert_eq!(found("QNFT-CNC", MadeWith::Unlisted("FT-9")), stop);
        assert_eq!(found("nobody's", MadeWith::NotTold), None);
    }

    // Source: 29 CFR 1910.134 App. A Part I.B.3(b)(12) for the test kit.
    #[test]
    fn a_check_that_fails_after_the_test_voids_one_by_taste_or_smell() {
        let failed_later = Some("e9");
        let facts = counter();
        assert_eq!(
            found("QNFT-CNC", MadeWith::Known { facts, failed_later }),
            Some(Severity::Caution)
        );
        let facts = InstrumentFacts {
            serves: FitInstrument::TasteOrSmell,
            calibration_months: None,
            calibration: None,
            checked_before_use: false,
            ..counter()
        };
        let kit = |failed_later| MadeWith::Known { facts: facts.clone(), failed_later };
        assert_eq!(found("QLFT-SAC", kit(failed_later)), Some(Severity::Stop));
        assert_eq!(found("QLFT-SAC", kit(None)), None);
    }

    #[test]
    fn a_test_without_its_protocol_is_not_asked() {
        sample::check(|facts| sample::fit_test(facts).run_by = None, check, None);
    }
}
