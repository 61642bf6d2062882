//! Fit factors from raw counts, the overall factor and the answer.

use quantity::Percent;
use serde::Serialize;

use super::{FitError, Mask, Protocol, TestKind, check_numbers, facepiece_finding, rules};
use crate::{Finding, Severity, shown_beside};

/// What was counted during one exercise. Counts or concentrations of particles in one and the same
/// unit, which cancels.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Counts {
    /// Outside, before the exercise.
    pub ambient_before: f64,
    /// Inside the facepiece.
    pub in_mask: f64,
    /// Outside, after the exercise.
    pub ambient_after: f64,
}

impl QuantitativeAnswer {
    /// The overall fit factor as it is written beside its mark; none while an exercise is missing.
    #[must_use]
    pub fn overall_shown(&self) -> Option<String> {
        let overall = self.overall_fit_factor?;
        // Within the rounding of the sum the mark itself was reached.
        let reached = self.required.filter(|mark| (overall / mark - 1.0).abs() <= SUM_ROUNDING);
        let overall = reached.unwrap_or(overall);
        Some(shown_beside(overall, self.required.unwrap_or(overall), 1))
    }

    /// How the air outside moved during the test; empty where it held steady.
    #[must_use]
    pub fn unsteady(&self) -> String {
        let of_air = [&rules::AMBIENT_STEADY, &rules::AMBIENT_ACROSS, &rules::CHAMBER_STEADY];
        let said = |finding: &&Finding| of_air.iter().any(|rule| rule.id == finding.rule.id);
        self.findings.iter().filter(said).map(Finding::text).collect::<Vec<_>>().join("; ")
    }
}

impl Counts {
    /// The mean of outside before and after.
    #[must_use]
    pub fn ambient_mean(&self) -> f64 {
        f64::midpoint(self.ambient_before, self.ambient_after)
    }

    /// The greater distance of the two from their mean, as a part of it.
    fn drift(&self) -> f64 {
        (self.ambient_before - self.ambient_after).abs() / 2.0 / self.ambient_mean()
    }
}

/// What one exercise gave.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Reading {
    /// Raw counts.
    Counts(Counts),
    /// A fit factor already formed, or one of a test that counts nothing.
    Factor(f64),
    /// The exercise was done and not measured.
    NotMeasured,
}

/// One exercise as it was done.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Measured {
    /// Its number in the protocol.
    pub exercise: u8,
    /// What it gave.
    pub reading: Reading,
    /// The highest single peak inside as a part of outside, where it was watched.
    pub peak: Option<Percent>,
}

/// A fit test that gives a number.
#[derive(Debug, Clone, PartialEq)]
pub struct QuantitativeTest {
    /// The protocol.
    pub protocol: &'static Protocol,
    /// The facepiece.
    pub mask: Mask,
    /// The exercises done, in any order.
    pub exercises: Vec<Measured>,
}

/// What one exercise came to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ExerciseAnswer {
    /// Its number in the protocol.
    pub exercise: u8,
    /// What the wearer did.
    pub name: &'static str,
    /// Whether it counts in the overall factor.
    pub counts: bool,
    /// What was read; none where the exercise is missing.
    pub reading: Option<Reading>,
    /// Mean count outside, where it was counted.
    pub ambient_mean: Option<f64>,
    /// Its fit factor, unrounded.
    pub fit_factor: Option<f64>,
}

/// What a quantitative test came to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct QuantitativeAnswer {
    /// The method in words.
    pub method: &'static str,
    /// Id of the protocol.
    pub protocol: &'static str,
    /// Its name.
    pub name: &'static str,
    /// The facepiece.
    pub facepiece: Mask,
    /// Whether it passed.
    pub passed: bool,
    /// The overall fit factor, unrounded; none while an exercise that counts is missing.
    pub overall_fit_factor: Option<f64>,
    /// What it must reach; equal passes.
    pub required: Option<f64>,
    /// How many exercises count.
    pub counted: usize,
    /// The exercises that count and are missing.
    pub missing: Vec<String>,
    /// Each exercise of the protocol.
    pub exercises: Vec<ExerciseAnswer>,
    /// Everything found.
    pub findings: Vec<Finding>,
    /// Where the method comes from.
    pub sources: Vec<String>,
}

const METHOD: &str = "fit factor of an exercise = mean of the counts outside before and after, over the count inside; overall = n / (1/f1 + ... + 1/fn) over the exercises that count; compared unrounded";

/// Equality of the overall factor with the mark is judged to this part: the rounding of the sum,
/// not of the factor.
const SUM_ROUNDING: f64 = 1e-12;

/// Drift of the chamber from its mean that the generated-aerosol protocol lets pass.
///
/// Source: 29 CFR 1910.134 App. A Part I.C.2 (`data/fit_protocols.csv`).
const CHAMBER_DRIFT: f64 = 0.10;

/// The counts outside, before and after an exercise or over a whole test, may lie so many times apart. Common practice, no
/// source.
const AMBIENT_APART: f64 = 2.0;

/// Highest single peak, percent, half mask and full facepiece.
///
/// Source: 29 CFR 1910.134 App. A Part I.C.2 (`data/fit_protocols.csv`, pass rule).
const PEAK_HALF: f64 = 5.0;
const PEAK_FULL: f64 = 1.0;

/// The harmonic mean of fit factors, `n / (1/f1 + ... + 1/fn)`; none for no factor at all.
///
/// Each factor greater than zero. Source: 29 CFR 1910.134 App. A Part I.C.2(b)(8) and C.7(d).
///
/// ```
/// let overall = rulebook::fit_test::overall_fit_factor(&[100.0, 50.0]).unwrap();
/// assert!((overall - 66.666_666_666_666_67).abs() < 1e-12);
/// ```
#[must_use]
pub fn overall_fit_factor(factors: &[f64]) -> Option<f64> {
    let n = u32::try_from(factors.len()).ok().filter(|n| *n > 0)?;
    let sum: f64 = factors.iter().map(|factor| 1.0 / factor).sum();
    Some(f64::from(n) / sum)
}

/// The answer to a test that gives a number.
///
/// Refuses a qualitative protocol, an exercise that stands twice or that the protocol lacks, a
/// count of zero or less, and a fit factor below 1 where the exercise counts. A missing exercise is
/// no refusal but a finding that means stop.
///
/// Source: 29 CFR 1910.134 App. A Part I.C; the mean of the counts before and after is that of
/// C.2(b)(8) (from memory, unconfirmed).
pub fn measure(test: &QuantitativeTest) -> Result<QuantitativeAnswer, FitError> {
    let protocol = test.protocol;
    if protocol.kind != TestKind::Quantitative {
        return Err(FitError::WrongKind {
            protocol: protocol.id.clone(),
            is: "a test by taste, smell or irritation",
            given: "a measurement",
            hint: "say for each exercise whether the agent was noticed",
        });
    }
    check_numbers(protocol, test.exercises.iter().map(|e| e.exercise))?;
    let exercises = protocol.exercises.iter().map(|exercise| {
        let done = test.exercises.iter().find(|done| done.exercise == exercise.number);
        let reading = done.map(|done| done.reading);
        let fit_factor = reading.map_or(Ok(None), |r| factor(protocol, exercise.number, r))?;
        Ok(ExerciseAnswer {
            exercise: exercise.number,
            name: &exercise.name,
            counts: exercise.counts,
            reading,
            ambient_mean: reading.and_then(ambient_mean),
            fit_factor,
        })
    });
    let exercises = exercises.collect::<Result<Vec<_>, FitError>>()?;
    Ok(conclude(test, exercises))
}

fn conclude(test: &QuantitativeTest, exercises: Vec<ExerciseAnswer>) -> QuantitativeAnswer {
    let protocol = test.protocol;
    let counted: Vec<&ExerciseAnswer> = exercises.iter().filter(|e| e.counts).collect();
    let lacking = counted.iter().filter(|e| e.fit_factor.is_none());
    let missing: Vec<String> = lacking.map(|e| format!("{} ({})", e.exercise, e.name)).collect();
    let factors: Vec<f64> = counted.iter().filter_map(|e| e.fit_factor).collect();
    let overall = if missing.is_empty() { overall_fit_factor(&factors) } else { None };
    let required = protocol.least(test.mask);
    let mut findings: Vec<Finding> = facepiece_finding(protocol, test.mask).into_iter().collect();
    findings.extend(completeness(protocol, &exercises, &missing));
    findings.extend(mark(test, overall, required));
    findings.extend(apparatus(test));
    let sources = vec![
        format!("{} (data/fit_protocols.csv, read)", protocol.citation),
        "mean of the counts before and after: 29 CFR 1910.134 App. A Part I.C.2(b)(8) (from memory, unconfirmed)".to_owned(),
        "pass marks: 29 CFR 1910.134(f)(7)".to_owned(),
    ];
    QuantitativeAnswer {
        method: METHOD,
        protocol: &protocol.id,
        name: &protocol.name,
        facepiece: test.mask,
        passed: findings.iter().all(|finding| finding.severity != Severity::Stop),
        overall_fit_factor: overall,
        required,
        counted: counted.len(),
        missing,
        exercises,
        findings,
        sources,
    }
}

fn ambient_mean(reading: Reading) -> Option<f64> {
    match reading {
        Reading::Counts(counts) => Some(counts.ambient_mean()),
        Reading::Factor(_) | Reading::NotMeasured => None,
    }
}

/// The factor of one exercise, or the refusal of what no exercise can give.
fn factor(protocol: &Protocol, exercise: u8, reading: Reading) -> Result<Option<f64>, FitError> {
    let factor = match reading {
        Reading::NotMeasured => return Ok(None),
        Reading::Factor(factor) => positive(exercise, "the fit factor", factor, FACTOR_ZERO)?,
        Reading::Counts(_) if protocol.counts_nothing() => {
            return Err(FitError::WrongKind {
                protocol: protocol.id.clone(),
                is: "a test of leakage under a held vacuum",
                given: "a count of particles",
                hint: "give the fit factor of each exercise",
            });
        }
        Reading::Counts(counts) => {
            positive(exercise, "the count outside before it", counts.ambient_before, OUTSIDE_ZERO)?;
            positive(exercise, "the count outside after it", counts.ambient_after, OUTSIDE_ZERO)?;
            positive(exercise, "the count inside", counts.in_mask, INSIDE_ZERO)?;
            counts.ambient_mean() / counts.in_mask
        }
    };
    let counts = protocol.exercise(exercise).is_some_and(|known| known.counts);
    if counts && factor < 1.0 {
        return Err(FitError::FactorBelowOne { exercise, factor });
    }
    Ok(Some(factor))
}

const FACTOR_ZERO: &str = "a fit factor is a number of 1 or more";
const OUTSIDE_ZERO: &str = "with nothing outside there is nothing to test with";
const INSIDE_ZERO: &str =
    "no factor follows from a count of zero; sample longer, or outside a room with more particles";
const NEGATIVE: &str = "nothing can be less than zero here; look at the sign";
const NO_NUMBER: &str = "this is not a finite number; write what the instrument showed in digits";

/// Refuses what is not above zero; `zero` puts a value of zero right.
fn positive(
    exercise: u8,
    what: &'static str,
    value: f64,
    zero: &'static str,
) -> Result<f64, FitError> {
    let hint = match value {
        _ if !value.is_finite() => NO_NUMBER,
        _ if value < 0.0 => NEGATIVE,
        0.0 => zero,
        _ => return Ok(value),
    };
    Err(FitError::ImpossibleCount { exercise, what, value, hint })
}

fn completeness(
    protocol: &Protocol,
    exercises: &[ExerciseAnswer],
    missing: &[String],
) -> Vec<Finding> {
    let mut findings = Vec::new();
    if !missing.is_empty() {
        let finding = Finding::stop(&rules::EXERCISES_MISSING).with("missing", missing.join(", "));
        findings.push(finding.citing(&protocol.citation));
    }
    for exercise in exercises.iter().filter(|e| !e.counts && e.reading.is_none()) {
        let finding = Finding::caution(&rules::EXERCISE_NOT_RECORDED);
        let finding = finding.with("exercise", exercise.exercise).with("name", exercise.name);
        findings.push(finding.citing(&protocol.citation));
    }
    findings
}

fn mark(test: &QuantitativeTest, overall: Option<f64>, required: Option<f64>) -> Option<Finding> {
    let overall = overall?;
    let Some(required) = required else {
        // A protocol without a mark for this facepiece does not serve it, and that stops already.
        return None;
    };
    if required * (1.0 - SUM_ROUNDING) <= overall {
        return None;
    }
    let finding = Finding::stop(&rules::BELOW_PASS_MARK);
    let finding = finding.with("overall", shown_beside(overall, required, 1));
    Some(finding.with("required", required).with("facepiece", test.mask))
}

/// Said where the counts outside before and after lie further apart than a factor of two.
fn ambient_steady(done: &Measured) -> Option<Finding> {
    let Reading::Counts(Counts { ambient_before, ambient_after, .. }) = done.reading else {
        return None;
    };
    let (low, high) = (ambient_before.min(ambient_after), ambient_before.max(ambient_after));
    let finding = Finding::caution(&rules::AMBIENT_STEADY).with("exercise", done.exercise);
    let finding = finding.with("before", ambient_before).with("after", ambient_after);
    (low * AMBIENT_APART < high).then_some(finding)
}

/// Said where all counts outside together lie further apart than a factor of two.
fn ambient_across(test: &QuantitativeTest) -> Option<Finding> {
    let counted = test.exercises.iter().filter_map(|done| match done.reading {
        Reading::Counts(counts) => Some([counts.ambient_before, counts.ambient_after]),
        Reading::Factor(_) | Reading::NotMeasured => None,
    });
    let (low, high) = counted
        .flatten()
        .fold((f64::INFINITY, 0.0_f64), |(low, high), count| (low.min(count), high.max(count)));
    let finding = Finding::caution(&rules::AMBIENT_ACROSS).with("low", low).with("high", high);
    (low * AMBIENT_APART < high).then_some(finding)
}

fn apparatus(test: &QuantitativeTest) -> Vec<Finding> {
    let mut findings = Vec::new();
    let protocol = test.protocol;
    if !protocol.prints_formula() {
        let finding = Finding::note(&rules::FORMULA_BY_ANALOGY).with("protocol", &protocol.name);
        findings.push(finding.citing(&protocol.citation));
    }
    let unsteady: Vec<Finding> = test.exercises.iter().filter_map(ambient_steady).collect();
    findings.extend(ambient_across(test).filter(|_| unsteady.is_empty()));
    findings.extend(unsteady);
    if protocol.id != "QNFT-GEN" {
        return findings;
    }
    let full = test.mask == Mask::FullFacepiece;
    let limit = if full { PEAK_FULL } else { PEAK_HALF };
    for done in &test.exercises {
        if let Reading::Counts(counts) = done.reading
            && counts.drift() > CHAMBER_DRIFT
        {
            let drift = shown_beside(100.0 * counts.drift(), 100.0 * CHAMBER_DRIFT, 0);
            let finding = Finding::caution(&rules::CHAMBER_STEADY).with("exercise", done.exercise);
            findings.push(finding.with("drift", drift).citing(&protocol.citation));
        }
        if let Some(peak) = done.peak
            && peak.as_percent() > limit
        {
            let finding = Finding::stop(&rules::PEAK).with("exercise", done.exercise);
            let finding = finding.with("peak", peak).with("limit", limit);
            findings.push(finding.with("facepiece", test.mask).citing(&protocol.citation));
        }
    }
    if test.exercises.iter().any(|done| done.peak.is_none()) {
        findings.push(Finding::caution(&rules::PEAKS_NOT_GIVEN).citing(&protocol.citation));
    }
    findings
}
