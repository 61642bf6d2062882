//! Lognormal statistics of an exposure group.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot read its own data must fail"
)]

use std::collections::BTreeMap;

use program::exposure::{
    Basis, En689, ExposureAnswer, Reading, Readings, Summary, analyse, analyse_summary,
    tolerance_factor,
};
use quantity::Concentration;
use rulebook::Severity;

fn concentration(text: &str) -> Concentration {
    text.parse().unwrap()
}

/// Readings in mg/m3; `<0.5` lies below detection.
fn readings(text: &str) -> Readings {
    let reading = |written: &str| {
        let number = written.trim_start_matches('<');
        let level = concentration(&format!("{number} mg/m3"));
        Reading { level, detected: number == written }
    };
    Readings::new(text.split_whitespace().map(reading).collect()).unwrap()
}

fn answer(text: &str, limit: Option<&str>) -> ExposureAnswer {
    let answer = analyse(&readings(text), limit.map(concentration)).unwrap();
    for finding in &answer.findings {
        for words in [finding.text(), finding.remedy()] {
            assert!(!words.is_empty() && !words.contains(['{', '}']), "{words}");
        }
    }
    answer
}

fn ids(answer: &ExposureAnswer, severity: Severity) -> Vec<&'static str> {
    let wanted = answer.findings.iter().filter(|finding| finding.severity == severity);
    wanted.map(|finding| finding.rule.id).collect()
}

/// Rows of a table as maps from column to cell.
fn rows(table: &str) -> Vec<BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    reader.deserialize().map(Result::unwrap).collect()
}

/// The printed figure and what was computed agree to the digits printed.
fn assert_printed(printed: &str, computed: f64, what: &str) {
    let expected: f64 = printed.parse().unwrap();
    let mantissa = printed.split(['e', 'E']).next().unwrap();
    let exponent = expected.abs().log10().floor();
    let after = mantissa.split_once('.').map_or(0, |(_, after)| after.len());
    let after = f64::from(u32::try_from(after).unwrap());
    let places = if printed.contains('e') { after - exponent } else { after };
    let half = 0.5 * 10_f64.powf(-places);
    assert!((computed - expected).abs() <= half * 1.000_001, "{what}: {printed}, {computed}");
}

// Source: data/checks/exposure_statistics.csv: published examples and results of another program.
#[test]
fn every_row_of_the_published_examples_agrees_to_its_printed_digits() {
    let table = rows(include_str!("../../../data/checks/exposure_statistics.csv"));
    let mut limits = BTreeMap::new();
    for row in table.iter().filter(|row| row["statistic"] == "limit") {
        limits.insert(row["example"].clone(), format!("{} mg/m3", row["value"]));
    }
    let mut answers = BTreeMap::new();
    for row in &table {
        let example = row["example"].as_str();
        let answer = answers
            .entry(example)
            .or_insert_with(|| answer(&row["data"], limits.get(example).map(String::as_str)));
        let (fitted, arithmetic) = (answer.fitted.unwrap(), answer.arithmetic.unwrap());
        let (mean, p95) = (fitted.mean, fitted.percentile_95);
        let against = answer.against_limit.as_ref().unwrap();
        let exceedance = against.exceedance.unwrap();
        let goodness = answer.goodness.unwrap();
        let computed = match row["statistic"].as_str() {
            "n" => f64::from(u32::try_from(answer.n).unwrap()),
            "limit" => against.limit.number(),
            "arithmetic_mean" => arithmetic.mean,
            "arithmetic_sd" => arithmetic.sd.unwrap(),
            "meanlog" => fitted.mean_log,
            "sdlog" => fitted.sd_log,
            "GM" => fitted.geometric_mean,
            "GSD" => fitted.geometric_sd,
            "MLE_mean" | "mle_mean" => mean.likelihood,
            "mle_cv" => mean.likelihood_cv,
            "simple_mean_exp" | "qmle_mean" => mean.simple,
            "MVUE_mean" => mean.unbiased.unwrap(),
            "mvue_cv" => mean.unbiased_cv.unwrap(),
            "p95" => p95.estimate,
            "k_95_95" => p95.k_95_95,
            "UTL_95_95" => p95.upper_95,
            "k_95_70" => p95.k_95_70,
            "UTL_95_70" => p95.upper_70,
            "shapiro_W_log" => goodness.w,
            "shapiro_p_log" => goodness.p,
            "exceedance_fraction" => exceedance.fraction,
            "EF_lower_95" => exceedance.lower_95,
            "EF_upper_95" => exceedance.upper_95,
            "UR" => exceedance.index,
            "Land_two_sided_95_lower" => mean.land_95.unwrap().lower,
            "Land_two_sided_95_upper" => mean.land_95.unwrap().upper,
            "Cox_two_sided_95_lower" => mean.cox_95.unwrap().lower,
            "Cox_two_sided_95_upper" => mean.cox_95.unwrap().upper,
            other => panic!("{other} is not compared"),
        };
        assert_printed(
            &row["value"],
            computed,
            &format!("{} {}", row["example"], row["statistic"]),
        );
    }
    assert_eq!(table.len(), 80);
}

// Source: data/checks/tolerance_k_factors.csv, computed with another program, n = 3 to 50.
#[test]
fn tolerance_factors_agree_to_their_printed_digits() {
    let table = rows(include_str!("../../../data/checks/tolerance_k_factors.csv"));
    for row in &table {
        let n: f64 = row["n"].parse().unwrap();
        for (column, coverage, confidence) in [
            ("k_95_coverage_95_confidence", 0.95, 0.95),
            ("k_95_coverage_70_confidence", 0.95, 0.70),
            ("k_90_coverage_95_confidence", 0.90, 0.95),
            ("k_lower_95_coverage_95_confidence", 0.95, 0.05),
        ] {
            let k = tolerance_factor(n, coverage, confidence);
            assert_printed(&row[column], k, &format!("{column} of {n}"));
        }
    }
    assert_eq!(table.len(), 48);
}

// Source: data/checks/exposure_references.csv, computed with another program (SciPy 1.17.1).
#[test]
fn goodness_factors_and_censored_fits_agree_with_another_program() {
    let mut seen = BTreeMap::new();
    for row in rows(include_str!("../../../data/checks/exposure_references.csv")) {
        let number = |column: &str| row[column].parse::<f64>().unwrap();
        match row["what"].as_str() {
            "shapiro_w_p" => {
                let goodness = answer(&row["readings"], None).goodness.unwrap();
                assert!((goodness.w / number("first") - 1.0).abs() < 1e-6, "{row:?} {goodness:?}");
                assert!((goodness.p / number("second") - 1.0).abs() < 1e-4, "{row:?} {goodness:?}");
            }
            "tolerance_factor" => {
                let k = tolerance_factor(number("n"), number("coverage"), number("confidence"));
                assert!((k / number("first") - 1.0).abs() < 5e-8, "{row:?} {k}");
            }
            _ => {
                let below = row["below"].split(' ').map(|limit| format!(" <{limit}"));
                let answer = answer(&(row["readings"].clone() + &below.collect::<String>()), None);
                let fitted = answer.fitted.unwrap();
                let detected = f64::from(u32::try_from(answer.n - answer.below_detection).unwrap());
                let sigma = fitted.sd_log * ((detected - 1.0) / detected).sqrt();
                assert!(
                    (fitted.mean_log / number("first") - 1.0).abs() < 1e-6,
                    "{row:?} {fitted:?}"
                );
                assert!((sigma / number("second") - 1.0).abs() < 1e-6, "{row:?} {sigma}");
                assert!(fitted.mean.unbiased.is_none() && answer.goodness.is_none());
            }
        }
        *seen.entry(row["what"].clone()).or_insert(0) += 1;
    }
    assert_eq!(seen.into_values().collect::<Vec<i32>>(), [3, 10, 24]);
}

// A detection level far below everything tells nothing that was not known: the fit of a complete
// sample is recovered as its readings below detection vanish.
#[test]
fn a_censored_fit_meets_the_complete_one_and_moves_the_right_way() {
    let complete = answer("0.84 0.98 0.42 1.16 1.36 2.66", None).fitted.unwrap();
    let high = answer("0.84 0.98 <0.42 1.16 1.36 2.66", None).fitted.unwrap();
    let low = answer("0.84 0.98 <0.10 1.16 1.36 2.66", None).fitted.unwrap();
    assert!(high.mean_log < complete.mean_log && low.mean_log < high.mean_log);
    assert!(low.sd_log > high.sd_log);
    assert_eq!(high.percentile_95.k_95_95, tolerance_factor(5.0, 0.95, 0.95));
    // The unit cancels: logarithms shift, the spread stays.
    let scaled = answer("840 980 <420 1160 1360 2660", None).fitted.unwrap();
    assert!((scaled.sd_log / high.sd_log - 1.0).abs() < 1e-9);
    assert!((scaled.mean_log - high.mean_log - 1000_f64.ln()).abs() < 1e-9);
}

#[test]
fn the_exceedance_limit_and_the_tolerance_limit_are_two_sides_of_one() {
    let fitted = answer("0.84 0.98 0.42 1.16 1.36 2.66", None).fitted.unwrap();
    let limit = format!("{} mg/m3", fitted.percentile_95.upper_95);
    let against = answer("0.84 0.98 0.42 1.16 1.36 2.66", Some(&limit)).against_limit.unwrap();
    assert!((against.exceedance.unwrap().upper_95 - 0.05).abs() < 1e-9);
}

#[test]
fn the_design_concentration_is_the_upper_limit_or_the_highest_of_few() {
    let six = answer("0.84 0.98 0.42 1.16 1.36 2.66", None);
    let design = six.design_concentration.clone().unwrap();
    assert_eq!(design.basis, Basis::UpperLimit);
    assert!((design.level.number() - 10.0496).abs() < 5e-5);
    let note = six.findings.iter().find(|f| f.rule.id == "exposure.design").unwrap();
    assert!(note.text().starts_with("design concentration 10.05 mg/m3"), "{}", note.text());
    assert_eq!(six.readings.len(), 6);

    let five = answer("0.84 0.98 <3 1.16 1.36", None);
    let design = five.design_concentration.clone().unwrap();
    assert_eq!((design.basis, design.level.number()), (Basis::HighestReading, 3.0));
    assert!(ids(&five, Severity::Caution).contains(&"exposure.few-readings"));
    let one = answer("4", Some("5 mg/m3"));
    assert_eq!(one.design_concentration.unwrap().level.number(), 4.0);
    assert!(one.fitted.is_none() && one.goodness.is_none());
}

#[test]
fn odd_groups_are_told_and_not_made_up() {
    let cautions = |text| ids(&answer(text, None), Severity::Caution);
    assert!(cautions("<1 <1 <2 <1 <1 <1").contains(&"exposure.no-fit"));
    assert!(cautions("2 2 <1 2 <1 2").contains(&"exposure.no-fit"));
    assert!(cautions("2 2 2 2 2 2").contains(&"exposure.equal-readings"));
    assert!(cautions("0.01 0.3 2 40 900 5000").contains(&"exposure.wide-spread"));
    assert!(cautions("1 1.01 1.02 1.01 1 0.99 1 1.01 50 1.02").contains(&"exposure.not-lognormal"));
    assert!(cautions("<1 3 4 6 5 7").contains(&"exposure.below-detection"));
    // The logarithm of ten rounds: their mean is not quite it.
    for equal in ["2 2 2 2 2 2", "10 10 10 10 10 10"] {
        let equal = answer(equal, Some("50 mg/m3"));
        let against = equal.against_limit.unwrap();
        assert!(against.exceedance.is_none());
        assert_eq!(against.en_689, Some(En689::NoSpread));
        let design = equal.design_concentration.unwrap();
        assert_eq!(design.basis, Basis::HighestReading);
        assert!(!design.words.contains("confidence"), "{}", design.words);
    }
    let all_below = answer("<1 <1 <2 <1 <1 <1", Some("5 mg/m3"));
    assert_eq!(all_below.design_concentration.unwrap().level.number(), 2.0);
}

#[test]
fn a_limit_stops_where_it_is_passed_or_not_shown_to_be_kept() {
    let stops = |limit| ids(&answer("0.84 0.98 0.42 1.16 1.36 2.66", Some(limit)), Severity::Stop);
    assert_eq!(stops("2 mg/m3"), ["exposure.above-limit", "exposure.upper-limit"]);
    assert_eq!(stops("10 mg/m3"), ["exposure.upper-limit"]);
    assert!(stops("10.1 mg/m3").is_empty());
    // A level below detection is no reading above the limit, and shows nothing either.
    let few = answer("<6 1 1", Some("5 mg/m3"));
    assert_eq!(ids(&few, Severity::Stop), ["exposure.upper-limit"]);
}

// EN 689:2018 from memory: three below 0.1, four below 0.15, five below 0.2 of the limit; else at
// least six and the 70 % factor.
#[test]
fn the_european_test_follows_its_steps() {
    let outcome =
        |text: &str| answer(text, Some("10 mg/m3")).against_limit.unwrap().en_689.unwrap();
    assert_eq!(outcome("0.9 0.5 0.7"), En689::PreliminaryPassed { part: 0.1 });
    assert_eq!(outcome("1.0 0.5 0.7"), En689::MoreReadings { part: Some(0.1) });
    assert_eq!(outcome("1.4 0.5 0.7 0.9"), En689::PreliminaryPassed { part: 0.15 });
    assert_eq!(outcome("1.9 0.5 0.7 0.9 <1"), En689::PreliminaryPassed { part: 0.2 });
    assert_eq!(outcome("11 0.5 0.7"), En689::ReadingAbove);
    assert_eq!(outcome("1 2"), En689::MoreReadings { part: None });
    let En689::Statistical { passed, required, .. } = outcome("1 2 1.5 3 2 1") else { panic!() };
    assert!(passed);
    assert!((required - 2.187).abs() < 5e-4, "{required}");
    let En689::Statistical { passed, .. } = outcome("1 2 1.5 9 2 1") else { panic!() };
    assert!(!passed);
}

#[test]
fn readings_are_answered_in_the_unit_in_which_they_were_written() {
    let table = |unit: &str, factor: f64| {
        let rows = [0.22, 0.35, 0.51, 0.76, 1.14, 1.33].map(|x| format!("{} {unit}", x * factor));
        Readings::read(&format!("concentration\n{}\n", rows.join("\n"))).unwrap()
    };
    let limit = Some(concentration("0.002 ppm"));
    let ppm = analyse(&table("ppm", 1e-3), limit).unwrap();
    let ppb = analyse(&table("ppb", 1.0), limit).unwrap();
    assert_eq!((ppm.unit, ppb.unit), ("ppm", "ppb"));
    let near = |a: f64, b: f64| assert!((a / b - 1.0).abs() < 1e-9, "{a} {b}");
    let (small, large) = (ppm.fitted.unwrap(), ppb.fitted.unwrap());
    near(small.geometric_mean * 1e3, large.geometric_mean);
    near(small.percentile_95.upper_95 * 1e3, large.percentile_95.upper_95);
    near(small.geometric_sd, large.geometric_sd);
    let (small, large) = (ppm.against_limit.unwrap(), ppb.against_limit.unwrap());
    near(small.exceedance.unwrap().fraction, large.exceedance.unwrap().fraction);
    assert_eq!(small.readings_above, large.readings_above);
    let (small, large) = (ppm.design_concentration.unwrap(), ppb.design_concentration.unwrap());
    near(small.level.number(), large.level.number());
    near(small.number * 1e3, large.number);
    let said: String = ppb.findings.iter().map(rulebook::Finding::text).collect();
    assert!(said.contains(" ppb") && !said.contains(" ppm"), "{said}");
}

#[test]
fn a_summary_gives_what_its_readings_give_and_impossible_ones_are_refused() {
    let whole = answer("0.84 0.98 0.42 1.16 1.36 2.66", Some("5 mg/m3"));
    let fitted = whole.fitted.unwrap();
    let summary = |n, gm: f64, geometric_sd| Summary {
        n,
        geometric_mean: concentration(&format!("{gm} mg/m3")),
        geometric_sd,
        unit: None,
    };
    let good = summary(6, fitted.geometric_mean, fitted.geometric_sd);
    let same = analyse_summary(&good, Some(concentration("5 mg/m3"))).unwrap();
    let upper = same.fitted.unwrap().percentile_95.upper_95;
    assert!((upper / fitted.percentile_95.upper_95 - 1.0).abs() < 1e-9);
    assert!(same.against_limit.unwrap().en_689.is_none());
    for (bad, limit, said) in [
        (summary(6, 1.0, 0.9), None, "standard deviation of 0.9 is impossible"),
        (summary(6, 1.0, f64::NAN), None, "impossible"),
        (summary(1, 1.0, 2.0), None, "no spread"),
        (summary(6, 0.0, 2.0), None, "above zero"),
        (summary(6, 1.0, 2.0), Some("5 ppm"), "cannot be compared"),
        (summary(6, 1.0, 2.0), Some("0 mg/m3"), "no limit"),
    ] {
        let error = analyse_summary(&bad, limit.map(concentration)).unwrap_err().to_string();
        assert!(error.contains(said), "{error}");
    }
}

#[test]
fn a_table_is_read_by_its_header_and_refused_by_line_and_column() {
    let read = Readings::read(
        "date,Concentration,task\n2026-01-05,12 ppm,a\n2026-01-06,<0.5 ppm,a\n2026-01-07, 900 ppb ,a\n",
    );
    let read = read.unwrap();
    let levels: Vec<f64> = read.all().iter().map(|r| r.level.number()).collect();
    assert_eq!(levels, [12.0, 0.5, 0.9]);
    assert!(!read.all()[1].detected && read.all()[2].detected);
    let units = "concentration,unit,detected\n3,mg/m3,yes\n0.2,mg/m3,no\n";
    assert!(!Readings::read(units).unwrap().all()[1].detected);
    for (text, line, key, said) in [
        ("level\n3 ppm\n", 1, "concentration", "no such column"),
        ("concentration\n3 ppm\n12\n", 3, "concentration", "has no unit"),
        ("concentration\n3 ppm\n\"\"\n", 3, "concentration", "does not start with a number"),
        ("concentration\n3 ppm\n0 ppm\n", 3, "concentration", "no logarithm exists of zero"),
        ("concentration\n3 ppm\n4 mg/m3\n", 3, "concentration", "where the first is in ppm"),
        ("concentration\n3 ppm\n-4 ppm\n", 3, "concentration", "outside"),
        ("concentration,detected\n<3 ppm,yes\n", 2, "detected", "one or the other"),
        ("concentration,detected\n3 ppm,maybe\n", 2, "detected", "neither yes nor no"),
        ("concentration\n", 1, "concentration", "no readings"),
        ("concentration,unit\n3 ppm\n", 2, "table", "this row has"),
        ("", 1, "concentration", "no such column"),
        (
            "concentration,task\n3 ppm,a\n4 ppm,\"a\n9 ppm,b\n5 ppm,c\"\n",
            3,
            "table",
            "close the quote",
        ),
        ("concentration,concentration\n3 ppm,400 ppm\n", 1, "concentration", "two columns"),
    ] {
        let error = Readings::read(text).unwrap_err();
        assert_eq!((error.line, error.key.as_str()), (line, key), "{text}: {error}");
        assert!(error.message.contains(said), "{error}");
    }
}

#[test]
fn the_design_concentration_alone_is_that_of_the_whole_answer() {
    for text in ["1 2 3 4 5 6 7 8", "5 5 5", "3 <1 <1 4 9 2 7", "7", "<2 <3"] {
        let cells = text.split(' ').map(|cell| format!("{cell} ppm"));
        let table = format!("concentration\n{}\n", cells.collect::<Vec<_>>().join("\n"));
        let readings = Readings::read(&table).unwrap();
        let whole = analyse(&readings, None).unwrap().design_concentration;
        assert_eq!(program::exposure::design_concentration(&readings), whole, "{text}");
        assert!(whole.is_some());
    }
}
