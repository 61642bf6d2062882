//! 29 CFR 1910.134 App. A Part I.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot read its own data must fail"
)]

mod support;

use quantity::Percent;
use rulebook::fit_test::{
    Allowed, Counts, FitError, Mask, Measured, QualitativeTest, QuantitativeTest, Reading,
    Response, TestKind, judge, measure, overall_fit_factor, protocol, protocols,
};
use rulebook::{Finding, Severity};
use support::assert_worded;

fn measured(exercise: u8, reading: Reading) -> Measured {
    Measured { exercise, reading, peak: None }
}

/// A test from fit factors in order; `-` was done and not measured.
fn test_of(id: &str, mask: Mask, factors: &str) -> QuantitativeTest {
    let exercises = factors.split(' ').zip(1..).map(|(written, exercise)| {
        let reading = written.parse().map_or(Reading::NotMeasured, Reading::Factor);
        measured(exercise, reading)
    });
    QuantitativeTest { protocol: protocol(id).unwrap(), mask, exercises: exercises.collect() }
}

fn counts(ambient_before: f64, in_mask: f64, ambient_after: f64) -> Reading {
    Reading::Counts(Counts { ambient_before, in_mask, ambient_after })
}

fn ids(findings: &[Finding], severity: Severity) -> Vec<&str> {
    findings.iter().for_each(assert_worded);
    findings.iter().filter(|f| f.severity == severity).map(|f| f.rule.id).collect()
}

/// The factors of an example in the order of the protocol. The examples put the grimace seventh, the
/// protocol sixth; where it stands does not change the mean.
fn in_order(factors: &str, excluded: &str) -> String {
    let mut factors: Vec<&str> = factors.split(' ').collect();
    if excluded.starts_with("7th") {
        factors.swap(5, 6);
    }
    factors.join(" ")
}

// Source: data/checks/fit_factor_examples.csv, computed in floating point and exact fractions.
#[test]
fn overall_factors_are_those_of_the_examples_to_their_printed_digits() {
    let table = include_str!("../../../data/checks/fit_factor_examples.csv");
    let mut rows = 0;
    for line in table.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let mask = if cells[2] == "full" { Mask::FullFacepiece } else { Mask::HalfMask };
        let answer = measure(&test_of(cells[1], mask, &in_order(cells[3], cells[4]))).unwrap();
        let overall = answer.overall_fit_factor.unwrap();
        assert_eq!(format!("{overall:.4}"), cells[6], "{}", cells[0]);
        assert_eq!(answer.counted.to_string(), cells[5], "{}", cells[0]);
        assert_eq!(answer.required, cells[8].parse().ok(), "{}", cells[0]);
        assert_eq!(answer.passed, cells[9] == "yes", "{}", cells[0]);
        assert!(answer.missing.is_empty());
        rows += 1;
    }
    assert_eq!(rows, 6);
}

// Two, four and eight equal parts of the reciprocal sum: exact in fractions, not in floating point.
#[test]
fn a_factor_equal_to_the_mark_passes_and_one_just_under_does_not() {
    let equal = "150 75 150 75 120 - 300 60";
    let sum: f64 = [150.0, 75.0, 150.0, 75.0, 120.0, 300.0, 60.0].iter().map(|f| 1.0 / f).sum();
    assert!((sum - 0.0683).abs() < 1e-3);
    for (factors, passes) in [
        ("100 100 100 100 100 1 100 100", true),
        ("75 150 75 150 100 1 75 150", true),
        ("100 100 100 100 100 900 100 99.999999", false),
        (equal, true),
    ] {
        let answer = measure(&test_of("QNFT-CNC", Mask::HalfMask, factors)).unwrap();
        let overall = answer.overall_fit_factor.unwrap();
        assert_eq!(answer.passed, passes, "{factors}: {overall}");
    }
    let just_under = test_of("QNFT-CNC", Mask::HalfMask, "100 100 100 100 100 9 100 99.999999");
    let answer = measure(&just_under).unwrap();
    let said = answer.findings.iter().find(|f| f.rule.id == "fit-test.below-pass-mark").unwrap();
    assert!(said.text().contains("99.99999"), "{}", said.text());
}

// Ratio of the mean outside to inside: 29 CFR 1910.134 App. A Part I.C.2(b)(8).
#[test]
fn a_factor_is_the_mean_outside_over_inside() {
    let mut test = test_of("QNFT-CNC", Mask::FullFacepiece, "1 1 1 1 1 1 1 1");
    for done in &mut test.exercises {
        done.reading = counts(4000.0, 5.0, 6000.0);
    }
    let answer = measure(&test).unwrap();
    assert!(answer.exercises.iter().all(|e| e.fit_factor == Some(1000.0)));
    assert_eq!(answer.exercises[0].ambient_mean, Some(5000.0));
    assert!((answer.overall_fit_factor.unwrap() - 1000.0).abs() < 1e-9 && answer.passed);
    assert_eq!(ids(&answer.findings, Severity::Note), ["fit-test.formula-by-analogy"]);
}

#[test]
fn the_worst_exercise_rules_the_harmonic_mean() {
    assert!(overall_fit_factor(&[]).is_none());
    assert_eq!(overall_fit_factor(&[250.0]), Some(250.0));
    for worst in [2.0, 20.0, 90.0] {
        let overall = overall_fit_factor(&[worst, 1e4, 1e4]).unwrap();
        assert!(worst < overall && overall < 3.0 * worst, "{overall}");
    }
}

#[test]
fn a_missing_exercise_is_named_and_stops_without_an_overall_factor() {
    let mut test = test_of("QNFT-CNC", Mask::HalfMask, "200 200 200 200 200 200 200 200");
    test.exercises.retain(|done| done.exercise != 5 && done.exercise != 6);
    let answer = measure(&test).unwrap();
    assert_eq!(answer.missing, ["5 (talking aloud)"]);
    assert!(answer.overall_fit_factor.is_none() && !answer.passed);
    assert_eq!(ids(&answer.findings, Severity::Stop), ["fit-test.exercises-missing"]);
    assert_eq!(ids(&answer.findings, Severity::Caution), ["fit-test.exercise-not-recorded"]);
    let short = test_of("QNFT-CNP-REDON", Mask::FullFacepiece, "2500 1800 620 950");
    assert!(measure(&short).unwrap().missing[0].starts_with("5 (redon 2"));
}

#[test]
fn an_overall_factor_below_its_mark_is_never_shown_as_the_mark() {
    for (factor, shown, passed) in [
        ("99.96", "99.96", false),
        ("99.999999", "99.999999", false),
        ("100", "100.0", true),
        ("100.04", "100.04", true),
        ("231.46", "231.5", true),
    ] {
        let factors = [factor; 8].join(" ");
        let answer = measure(&test_of("QNFT-CNC", Mask::HalfMask, &factors)).unwrap();
        assert_eq!((answer.overall_shown().unwrap().as_str(), answer.passed), (shown, passed));
        let told: String = answer.findings.iter().map(rulebook::Finding::text).collect();
        assert_eq!(told.contains(&format!("fit factor is {shown};")), !passed, "{told}");
    }
}

#[test]
fn what_is_wrong_with_a_count_is_what_its_hint_says() {
    for (inside, hint) in [
        (0.0, "count of zero"),
        (-3.0, "less than zero"),
        (f64::NAN, "not a finite number"),
        (f64::INFINITY, "not a finite number"),
    ] {
        let mut test = test_of("QNFT-CNC", Mask::HalfMask, "200 200 200 200 200 200 200 200");
        test.exercises[1].reading = counts(5000.0, inside, 5000.0);
        let why = measure(&test).unwrap_err().to_string();
        assert!(why.contains(hint), "{why}");
    }
}

#[test]
fn impossible_counts_are_refused_by_name() {
    let with = |exercise: usize, reading| {
        let mut test = test_of("QNFT-CNC", Mask::HalfMask, "200 200 200 200 200 200 200 200");
        test.exercises[exercise - 1].reading = reading;
        measure(&test)
    };
    for (reading, said) in [
        (counts(5000.0, 0.0, 5000.0), "exercise 2: the count inside is 0"),
        (counts(0.0, 10.0, 5000.0), "exercise 2: the count outside before it is 0"),
        (counts(5000.0, 10.0, -1.0), "exercise 2: the count outside after it is -1"),
        (counts(5000.0, f64::NAN, 5000.0), "the count inside is NaN"),
        (counts(5000.0, 10.0, f64::INFINITY), "after it is inf"),
        (Reading::Factor(0.0), "the fit factor is 0"),
        (Reading::Factor(0.4), "more inside the facepiece than outside"),
        (counts(10.0, 5000.0, 10.0), "two counts are swapped"),
    ] {
        let error = with(2, reading).unwrap_err().to_string();
        assert!(error.contains(said), "{error}");
    }
    // The grimace may break the seal and does not count.
    assert!(with(6, counts(1000.0, 1100.0, 1000.0)).is_ok());
    let mut twice = test_of("QNFT-CNC", Mask::HalfMask, "200 200");
    twice.exercises.push(measured(2, Reading::Factor(100.0)));
    assert_eq!(measure(&twice).unwrap_err(), FitError::ExerciseTwice { exercise: 2 });
    twice.exercises[2].exercise = 9;
    assert!(measure(&twice).unwrap_err().to_string().contains("numbered 1 to 8"));
    let vacuum = QuantitativeTest {
        protocol: protocol("QNFT-CNP").unwrap(),
        mask: Mask::HalfMask,
        exercises: vec![measured(1, counts(5000.0, 5.0, 5000.0))],
    };
    assert!(measure(&vacuum).unwrap_err().to_string().contains("held vacuum"));
    assert!(measure(&test_of("QLFT-SAC", Mask::HalfMask, "100")).is_err());
    assert!(protocol("QNFT-X").unwrap_err().to_string().contains("QNFT-CNC"));
}

// Common practice, no source: counts outside that lie more than a factor of two apart.
#[test]
fn an_outside_that_moves_by_more_than_a_factor_of_two_is_cautioned_and_still_judged() {
    let cautions = |before: f64, after: f64| {
        let mut test = test_of("QNFT-CNC", Mask::HalfMask, "900 900 900 900 900 - 900 900");
        test.exercises[3].reading = counts(before, 1.0, after);
        let answer = measure(&test).unwrap();
        assert!(answer.passed);
        ids(&answer.findings, Severity::Caution).contains(&"fit-test.ambient-steady")
    };
    assert!(cautions(2400.0, 1100.0) && cautions(1100.0, 2400.0));
    assert!(!cautions(2400.0, 1200.0) && !cautions(2400.0, 2300.0));
}

// Peak penetration and steadiness: 29 CFR 1910.134 App. A Part I.C.2.
#[test]
fn a_generated_aerosol_is_judged_by_its_peaks_and_its_chamber_too() {
    for (mask, peak, stops) in [
        (Mask::HalfMask, 5.0, false),
        (Mask::HalfMask, 5.1, true),
        (Mask::FullFacepiece, 1.0, false),
        (Mask::FullFacepiece, 1.1, true),
    ] {
        let mut test = test_of("QNFT-GEN", mask, "900 900 900 900 900 900 900 900");
        for done in &mut test.exercises {
            done.peak = Some(Percent::from_percent(peak).unwrap());
        }
        let answer = measure(&test).unwrap();
        assert_eq!(answer.passed, !stops, "{mask} {peak}");
        assert_eq!(ids(&answer.findings, Severity::Stop).contains(&"fit-test.peak"), stops);
        assert!(ids(&answer.findings, Severity::Caution).is_empty());
    }
    let mut drifting = test_of("QNFT-GEN", Mask::HalfMask, "900 900 900 900 900 900 900 900");
    drifting.exercises[3].reading = counts(1000.0, 1.0, 700.0);
    let cautions = measure(&drifting).unwrap().findings;
    assert_eq!(
        ids(&cautions, Severity::Caution),
        ["fit-test.chamber-steady", "fit-test.peaks-not-given"]
    );
}

// Common practice, no source.
#[test]
fn counts_outside_that_wander_over_the_test_are_said_once() {
    for (counted, said) in [
        ([2000.0, 2000.0, 2100.0], ""),
        ([2000.0, 3900.0, 2100.0], ""),
        (
            [2000.0, 9000.0, 2100.0],
            "the counts outside lay between 2000 and 9000 during the test, more than a factor of two apart",
        ),
    ] {
        let mut test = test_of("QNFT-CNC", Mask::HalfMask, "900 900 900 900 900 900 900 900");
        for (done, outside) in test.exercises.iter_mut().zip(counted.into_iter().cycle()) {
            done.reading = counts(outside, 1.0, outside);
        }
        let answer = measure(&test).unwrap();
        assert_eq!((answer.unsteady().as_str(), answer.passed), (said, true));
    }
    let mut within = test_of("QNFT-CNC", Mask::HalfMask, "900 900 900 900 900 900 900 900");
    within.exercises[3].reading = counts(1000.0, 1.0, 7000.0);
    let answer = measure(&within).unwrap();
    let of_air = ids(&answer.findings, Severity::Caution);
    assert_eq!(of_air, ["fit-test.ambient-steady"]);
    assert!(answer.unsteady().starts_with("exercise 4:"));
}

// 29 CFR 1910.134 App. A Part I.C.4, C.5, C.6; data/fit_protocol_facepieces.csv.
#[test]
fn a_protocol_that_does_not_serve_the_facepiece_stops() {
    use Mask::{FilteringFacepiece, FullFacepiece, HalfMask, QuarterMask};
    for (id, mask, allowed) in [
        ("QNFT-CNC", FilteringFacepiece, Allowed::Yes),
        ("QNFT-CNC-MOD-FFR", FilteringFacepiece, Allowed::Yes),
        ("QNFT-CNC-MOD-FFR", FullFacepiece, Allowed::No),
        ("QNFT-CNC-MOD-ELAST", FilteringFacepiece, Allowed::No),
        ("QNFT-CNP", FilteringFacepiece, Allowed::No),
        ("QNFT-CNP", QuarterMask, Allowed::No),
        ("QNFT-GEN", QuarterMask, Allowed::Yes),
        ("QLFT-SAC", FullFacepiece, Allowed::Only),
        ("QLFT-IAA", FilteringFacepiece, Allowed::No),
    ] {
        let known = protocol(id).unwrap().allowance(mask).unwrap();
        assert_eq!(known.allowed, allowed, "{id} {mask}");
    }
    let test = test_of("QNFT-CNC-MOD-FFR", HalfMask, "900 900 900 900");
    let answer = measure(&test).unwrap();
    assert_eq!(ids(&answer.findings, Severity::Stop), ["fit-test.facepiece-allowed"]);
}

fn by_taste(id: &str) -> QualitativeTest {
    let responses = (1..=7).map(|exercise| Response { exercise, noticed: false });
    QualitativeTest {
        protocol: protocol(id).unwrap(),
        mask: Mask::HalfMask,
        screening_passed: Some(true),
        agent_proved: None,
        responses: responses.collect(),
    }
}

// 29 CFR 1910.134 App. A Part I.B.2 to B.5, pass rules.
#[test]
fn a_qualitative_test_passes_only_as_its_protocol_says() {
    let check = |change: fn(&mut QualitativeTest), id: &str, stops: &[&str]| {
        let mut test = by_taste(id);
        change(&mut test);
        let answer = judge(&test).unwrap();
        assert_eq!(ids(&answer.findings, Severity::Stop), stops, "{id}");
        assert_eq!(answer.passed, stops.is_empty());
    };
    check(|_| {}, "QLFT-SAC", &[]);
    check(|_| {}, "QLFT-BIT", &[]);
    check(|_| {}, "QLFT-SMOKE", &["fit-test.agent-proved"]);
    check(|t| t.agent_proved = Some(true), "QLFT-SMOKE", &[]);
    check(|t| t.agent_proved = Some(false), "QLFT-IAA", &["fit-test.agent-proved"]);
    check(|t| t.screening_passed = None, "QLFT-SAC", &["fit-test.screening"]);
    check(|t| t.screening_passed = Some(false), "QLFT-SAC", &["fit-test.screening"]);
    check(|t| t.responses[4].noticed = true, "QLFT-BIT", &["fit-test.noticed"]);
    check(|t| t.responses.truncate(6), "QLFT-BIT", &["fit-test.exercises-missing"]);
    assert!(
        judge(&QualitativeTest { protocol: protocol("QNFT-CNC").unwrap(), ..by_taste("QLFT-SAC") })
            .is_err()
    );
}

// data/fit_protocols.csv: 65 rows, 4 qualitative and 6 quantitative protocols.
#[test]
fn every_row_of_the_tables_is_reached() {
    let exercises: usize = protocols().iter().map(|p| p.exercises.len()).sum();
    assert_eq!((protocols().len(), exercises), (10, 65));
    let qualitative = protocols().iter().filter(|p| p.kind == TestKind::Qualitative);
    assert_eq!(qualitative.count(), 4);
    for known in protocols() {
        for mask in Mask::ALL {
            let allowance = known.allowance(mask).unwrap();
            assert!(allowance.allowed != Allowed::No || !allowance.condition.is_empty());
            let marked = known.least(mask).is_some();
            let served = allowance.allowed != Allowed::No;
            assert!(known.kind == TestKind::Qualitative || marked || !served, "{}", known.id);
        }
        let left_out: Vec<&str> =
            known.exercises.iter().filter(|e| !e.counts).map(|e| e.name.as_str()).collect();
        assert!(left_out.is_empty() || left_out == ["grimace"], "{}", known.id);
    }
}
