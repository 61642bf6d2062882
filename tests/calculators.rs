//! The calculators of the bench as a person runs them: what they print, and the exit code.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;
use tempfile::TempDir;

fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_breathworthy")).args(arguments).output().unwrap()
}

/// Exit code, JSON, and what went to standard error.
fn answer(arguments: &[&str]) -> (i32, Value, String) {
    let output = run(&[arguments, &["--json"]].concat());
    let json = serde_json::from_slice(&output.stdout).unwrap_or(Value::Null);
    (output.status.code().unwrap(), json, String::from_utf8(output.stderr).unwrap())
}

/// Runs a command on a file of this name and content.
fn on_file(command: &str, name: &str, content: &str, more: &[&str]) -> (i32, Value, String) {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join(name);
    fs::write(&path, content).unwrap();
    answer(&[&[command, path.to_str().unwrap()], more].concat())
}

fn documented(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/cases").join(name);
    path.to_str().unwrap().to_owned()
}

fn close(value: &Value, expected: f64, within: f64) {
    let value = value.as_f64().unwrap();
    assert!((value - expected).abs() <= within, "{value} where {expected} was expected");
}

/// Every answer carries its method, its sources and worded findings.
fn assert_whole(json: &Value) {
    assert!(
        json["method"].is_string() && !json["sources"].as_array().unwrap().is_empty(),
        "{json:#}"
    );
    for finding in json["findings"].as_array().unwrap() {
        for key in ["id", "severity", "citation", "text", "remedy"] {
            let words = finding[key].as_str().unwrap();
            assert!(!words.is_empty() && !words.contains(['{', '}']), "{key} of {finding}");
        }
    }
}

#[test]
fn the_cases_in_the_documentation_run() {
    for (arguments, starts) in [
        (vec!["fit".to_owned(), documented("fit-half-mask.toml")], "PASSED"),
        (vec!["exposure".to_owned(), documented("readings.csv")], "design concentration"),
        (
            vec!["air".to_owned(), "--report".to_owned(), documented("breathing-air.toml")],
            "FIT TO BREATHE",
        ),
        (vec!["fit".to_owned(), "--protocols".to_owned()], "QLFT-IAA"),
    ] {
        let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
        let output = run(&arguments);
        let said = String::from_utf8(output.stdout.clone()).unwrap();
        assert_eq!(output.status.code(), Some(0), "{arguments:?}: {output:?}");
        assert!(said.starts_with(starts), "{said}");
    }
}

// Seven exercises of fit factor 100 and a grimace of 5: data/checks/fit_factor_examples.csv, FF03.
#[test]
fn fit_passes_at_the_mark_and_stops_below_it() {
    let table = |last: &str| {
        let row = |exercise: u8| format!("{exercise},100\n");
        let rows: String = (1..=5).map(row).collect();
        format!("exercise,factor\n{rows}6,5\n7,100\n8,{last}\n")
    };
    let beside = ["--protocol", "QNFT-GEN", "--facepiece", "half-mask"];
    let (code, json, error) = on_file("fit", "test.csv", &table("100"), &beside);
    assert_eq!((code, &json["passed"]), (0, &Value::Bool(true)), "{error}");
    close(&json["overall_fit_factor"], 100.0, 1e-9);
    assert_whole(&json);
    let (code, json, _) = on_file("fit", "test.csv", &table("99.9"), &beside);
    assert_eq!((code, &json["passed"]), (1, &Value::Bool(false)));
    let (code, _, error) = on_file("fit", "test.csv", &table("0"), &beside);
    assert_eq!(code, 2);
    assert!(error.contains("test.csv") && error.contains("line 9, exercise"), "{error}");
}

#[test]
fn a_fit_test_tells_what_is_missing_and_no_factor_below_its_mark_as_the_mark() {
    let said = |table: &str| {
        let folder = tempfile::TempDir::new().unwrap();
        let path = folder.path().join("test.csv");
        std::fs::write(&path, table).unwrap();
        let beside = ["--protocol", "QNFT-CNC", "--facepiece", "half-mask"];
        let output = run(&[&["fit", path.to_str().unwrap()][..], &beside[..]].concat());
        String::from_utf8(output.stdout).unwrap()
    };
    let rows = |numbers: std::ops::RangeInclusive<u8>, factor: &str| {
        let rows: String = numbers.map(|number| format!("{number},{factor}\n")).collect();
        format!("exercise,factor\n{rows}")
    };
    let short = said(&rows(1..=4, "200"));
    assert!(short.contains("no overall fit factor: missing are 5 (talking aloud)"), "{short}");
    let below = said(&rows(1..=8, "99.96"));
    assert!(below.contains("overall fit factor 99.96, at least 100"), "{below}");
    assert!(below.starts_with("NOT PASSED"), "{below}");
}

#[test]
fn bath_measures_out_the_product() {
    let bath = ["bath", "--bath", "10 L", "--product", "5.25 %", "--agent", "hypochlorite"];
    let (code, json, error) = answer(&[&bath[..], &["--temperature", "43 degC"]].concat());
    assert_eq!(code, 0, "{error}");
    close(&json["product_ml"], 10.0, 0.01);
    assert_whole(&json);
    assert_eq!(answer(&[&bath[..], &["--temperature", "50 degC"]].concat()).0, 1);
    let weak = ["bath", "--bath", "10 L", "--product", "0.004 %", "--agent", "iodine"];
    let (code, _, error) = answer(&weak);
    assert!(code == 2 && error.contains("weaker than the bath"), "{error}");
    let bare = ["bath", "--bath", "10", "--product", "5 %", "--agent", "iodine"];
    let (code, _, error) = answer(&bare);
    assert!(code == 2 && error.contains("has no unit") && error.contains("--bath"), "{error}");
}

// data/checks/cylinder_air_examples.csv, CY01.
#[test]
fn air_lasts_as_real_gas_says() {
    let set = |pressure, rated| {
        let cylinder = ["air", "--volume", "6.8 L", "--minute-volume", "40 L/min"];
        answer(&[&cylinder[..], &["--pressure", pressure, "--rated", rated]].concat())
    };
    let (code, json, error) = set("300 bar", "300 bar");
    assert_eq!(code, 0, "{error}");
    let cylinder = &json["cylinder"];
    close(&cylinder["free_air_l"], 1827.1, 0.05);
    assert_whole(cylinder);
    assert!(cylinder["to_alarm"].as_str().unwrap().starts_with("34.1"), "{cylinder:#}");
    let (code, _, error) = set("320 bar", "300 bar");
    assert!(code == 2 && error.contains("above the rating"), "{error}");
    let (code, _, error) = answer(&["air"]);
    assert!(code == 2 && error.contains("nothing was asked"), "{error}");
}

#[test]
fn air_that_fails_its_test_stops() {
    let good = fs::read_to_string(documented("breathing-air.toml")).unwrap();
    let judge = |text: &str| {
        let folder = TempDir::new().unwrap();
        let path = folder.path().join("report.toml");
        fs::write(&path, text).unwrap();
        answer(&["air", "--report", path.to_str().unwrap()])
    };
    let (code, json, _) = judge(&good);
    assert_eq!(code, 0);
    assert_whole(&json["test"]);
    let (code, json, _) = judge(&good.replace("\"1 ppm\"", "\"11 ppm\""));
    assert_eq!((code, &json["test"]["meets"]), (1, &Value::Bool(false)));
    let (code, _, error) = judge(&good.replace("\"1 ppm\"", "1"));
    assert_eq!(code, 2);
    assert!(error.contains("line 8, carbon_monoxide") && error.contains("no unit"), "{error}");
}

// data/checks/exposure_statistics.csv, EX1.
#[test]
fn exposure_gives_the_design_concentration() {
    let table = "concentration,unit\n0.84,mg/m3\n0.98,mg/m3\n0.42,mg/m3\n1.16,mg/m3\n1.36,mg/m3\n2.66,mg/m3\n";
    let (code, json, error) = on_file("exposure", "readings.csv", table, &["--limit", "5 mg/m3"]);
    assert_eq!(code, 1, "the upper limit of 10 mg/m3 lies above 5 mg/m3: {error}");
    close(&json["fitted"]["percentile_95"]["upper_95"], 10.0496, 5e-5);
    close(&json["against_limit"]["exceedance"]["upper_95"], 0.148_883, 5e-7);
    assert_whole(&json);
    assert_eq!(on_file("exposure", "readings.csv", table, &["--limit", "11 mg/m3"]).0, 0);
    let (code, _, error) = on_file("exposure", "readings.csv", table, &["--limit", "5 ppm"]);
    assert!(code == 2 && error.contains("cannot be compared"), "{error}");
    let (code, _, error) =
        on_file("exposure", "readings.csv", "concentration\n1 ppm\n0 ppm\n", &[]);
    assert!(code == 2 && error.contains("line 3, concentration"), "{error}");
    let (code, _, error) = answer(&["exposure", "--gm", "1 ppm", "--gsd", "0.8", "--n", "6"]);
    assert!(code == 2 && error.contains("0.8 is impossible"), "{error}");
}
