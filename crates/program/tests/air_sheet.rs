//! Tests of breathing air and hoses as they are written down.
#![allow(clippy::unwrap_used, reason = "a test that cannot read its own data must fail")]

use program::air_sheet::judge;

const SHEET: &str = r#"
[test]
supply = "cylinder"
oxygen = "20.9 %"
hydrocarbons = "0.5 mg/m3"
carbon_monoxide = "2 ppm"
carbon_dioxide = "400 ppm"
odour = false
dew_point = "-60 degF"
[hose]
airline = "type-c-continuous"
length = "200 ft"
pressure = "80 psi"
flow = "6 cfm"
loose_fitting = true
"#;

#[test]
fn a_sheet_is_read_and_judged() {
    let answer = judge(SHEET).unwrap();
    assert!(answer.test.unwrap().meets);
    // Printed as 170 L/min (6 cfm), which is 169.9 L/min: either figure passes.
    assert!(answer.hose.unwrap().meets);
    let wet = SHEET.replace("-60 degF", "-40 degF").replace("6 cfm", "165 L/min");
    let answer = judge(&wet).unwrap();
    assert!(!answer.test.unwrap().meets && !answer.hose.unwrap().meets);
}

#[test]
fn wrong_sheets_are_refused_by_line_and_key() {
    for (from, to, line, key, said) in [
        ("2 ppm", "2", 6, "carbon_monoxide", "has no unit"),
        ("odour = false", "odor = false", 8, "odor", "there is no "),
        ("\"cylinder\"", "\"bottle\"", 3, "supply", "compressor"),
        (
            "dew_point = \"-60 degF\"",
            "dew_point_measured_at = \"200 bar\"",
            9,
            "dew_point_measured_at",
            "missing",
        ),
        (
            "dew_point = \"-60 degF\"",
            "dew_point = \"-60 degF\"\nwater = \"3 ppm\"",
            10,
            "water",
            "not both",
        ),
        ("dew_point = \"-60 degF\"", "dew_point = \"-300 degF\"", 9, "dew_point", "outside"),
        ("dew_point = \"-60 degF\"", "water = \"100 %\"", 3, "test", ""),
        ("\"200 ft\"", "\"1 mm\"", 10, "hose", "no length"),
    ] {
        let text = SHEET.replacen(from, to, 1);
        match judge(&text) {
            Err(error) => {
                assert!(error.message.contains(said), "{error}");
                if key != "test" {
                    assert_eq!((error.line, error.key.as_str()), (line, key), "{to}: {error}");
                }
            }
            // Pure water vapour at one atmosphere has a dew point of 100 degC, and fails.
            Ok(answer) => assert!(key == "test" && !answer.test.unwrap().meets, "{to}"),
        }
    }
    assert!(judge("").unwrap_err().message.contains("neither"));
}
