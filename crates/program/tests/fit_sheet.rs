//! Fit tests as they are written down.
#![allow(clippy::unwrap_used, reason = "a test that cannot read its own data must fail")]

use program::fit_sheet::{Beside, FitAnswer, FitSheet};

fn beside(protocol: &str, facepiece: &str) -> Beside {
    Beside { protocol: Some(protocol.to_owned()), facepiece: Some(facepiece.to_owned()) }
}

/// Four exercises with raw counts; the counts outside stand once for the whole test.
const MODIFIED: &str = r#"
protocol = "QNFT-CNC-MOD-ELAST"
facepiece = "full-facepiece"
ambient_before = 4000
ambient_after = 4400.0
[[exercise]]
number = 1
in_mask = 3.5
[[exercise]]
name = "jogging in place"
in_mask = 6
[[exercise]]
number = 3
ambient_before = 4100
in_mask = 7
[[exercise]]
number = 4
factor = 520
"#;

fn overall(answer: &FitAnswer) -> f64 {
    match answer {
        FitAnswer::Quantitative(answer) => answer.overall_fit_factor.unwrap(),
        FitAnswer::Qualitative(_) => panic!("a factor was expected"),
    }
}

#[test]
fn counts_for_the_whole_test_serve_each_exercise() {
    let answer = FitSheet::read_toml(MODIFIED).unwrap().judge().unwrap();
    let factors = [4200.0 / 3.5, 4200.0 / 6.0, 4250.0 / 7.0, 520.0];
    let expected = 4.0 / factors.iter().map(|factor| 1.0 / factor).sum::<f64>();
    assert!((overall(&answer) / expected - 1.0).abs() < 1e-12);
}

#[test]
fn a_table_by_number_and_a_table_by_name_are_one() {
    let names = [
        "normal breathing",
        "deep breathing",
        "head side to side",
        "head up and down",
        "talking aloud",
        "bending over",
        "grimace",
        "normal breathing",
    ];
    let by_name: String = names.iter().map(|name| format!("{name},200\n")).collect();
    let by_number: String = (1..=8).map(|number| format!("{number},200\n")).collect();
    for rows in [by_name, by_number] {
        let sheet = FitSheet::read_csv(
            &format!("exercise,factor\n{rows}"),
            &beside("QNFT-CNC", "half-mask"),
        );
        assert!((overall(&sheet.unwrap().judge().unwrap()) - 200.0).abs() < 1e-9);
    }
}

#[test]
fn a_test_by_taste_is_read_from_either() {
    let rows: String = (1..=7).map(|n| format!("{n},no,yes,QLFT-SAC,half-mask\n")).collect();
    let table = format!("exercise,noticed,screening_passed,protocol,facepiece\n{rows}");
    for (table, passes) in [(table.clone(), true), (table.replacen("5,no", "5,yes", 1), false)] {
        let sheet = FitSheet::read_csv(&table, &Beside::default()).unwrap();
        let FitAnswer::Qualitative(answer) = sheet.judge().unwrap() else { panic!() };
        assert_eq!(answer.passed, passes, "{table}");
    }
    let exercises: String =
        (1..=7).map(|n| format!("[[exercise]]\nnumber = {n}\nnoticed = false\n")).collect();
    let head = "protocol = \"QLFT-SMOKE\"\nfacepiece = \"half-mask\"\nscreening_passed = true\n";
    for (proved, passes) in [("agent_proved = true\n", true), ("", false)] {
        let sheet = FitSheet::read_toml(&format!("{head}{proved}{exercises}")).unwrap();
        let FitAnswer::Qualitative(answer) = sheet.judge().unwrap() else { panic!() };
        assert_eq!(answer.passed, passes);
    }
}

#[test]
fn wrong_toml_is_refused_by_line_and_key() {
    for (from, to, line, key, said) in [
        ("QNFT-CNC-MOD-ELAST", "QNFT-NONE", 2, "protocol", "no fit-test protocol"),
        ("full-facepiece", "beard", 3, "facepiece", "half-mask"),
        ("in_mask = 3.5", "in_mask = 0", 6, "exercise", "count inside is 0"),
        ("in_mask = 3.5", "inmask = 3", 8, "inmask", "there is no `inmask` here"),
        ("number = 3", "number = 9", 12, "exercise", "numbered 1 to 4"),
        ("number = 3", "number = 1", 12, "exercise", "stands twice"),
        (
            "name = \"jogging in place\"",
            "name = \"hopping\"",
            9,
            "exercise",
            "no exercise `hopping`",
        ),
        ("number = 4", "", 16, "exercise", "number or the name"),
        ("ambient_after = 4400.0", "", 6, "ambient_after", "count outside is missing"),
        ("factor = 520", "factor = 520\nin_mask = 2", 16, "factor", "not both"),
        ("factor = 520", "noticed = true", 16, "noticed", "this protocol measures"),
    ] {
        let text = MODIFIED.replacen(from, to, 1);
        let error = FitSheet::read_toml(&text).and_then(|sheet| sheet.judge()).unwrap_err();
        assert_eq!((error.line, error.key.as_str()), (line, key), "{to}: {error}");
        assert!(error.message.contains(said), "{error}");
    }
}

#[test]
fn wrong_tables_are_refused_by_line_and_column() {
    let good = beside("QNFT-CNC", "half-mask");
    for (text, beside, line, key, said) in [
        ("exercise,factr\n1,200\n", &good, 1, "factr", "no such column"),
        ("factor\n200\n", &good, 1, "exercise", "is missing"),
        ("exercise,factor\n1,many\n", &good, 2, "factor", "is no number"),
        ("exercise,factor\n1,200\n9,200\n", &good, 3, "exercise", "numbered 1 to 8"),
        ("exercise,noticed\n1,perhaps\n", &good, 2, "noticed", "neither yes nor no"),
        ("exercise,factor\n1,200\n", &Beside::default(), 1, "protocol", "not given"),
        ("exercise,factor,facepiece\n1,200,full-facepiece\n", &good, 2, "facepiece", "one test"),
        ("exercise,factor,peak\n1,200,3\n", &good, 2, "peak", "has no unit"),
        ("exercise,factor\n1,200,3\n", &good, 2, "table", "this row has"),
        ("", &good, 1, "exercise", "is missing"),
    ] {
        let error = FitSheet::read_csv(text, beside).and_then(|sheet| sheet.judge()).unwrap_err();
        assert_eq!((error.line, error.key.as_str()), (line, key), "{text}: {error}");
        assert!(error.message.contains(said), "{error}");
    }
}
