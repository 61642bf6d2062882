//! The commands as a person runs them: what they print, and the exit code.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;
use tempfile::TempDir;

/// A good case; each refusal below changes one thing in it.
const TOLUENE: &str = r#"
[cartridge]
elements = 2
sorbent_mass = "26 g"
bed_area = "38.5 cm2"
bulk_density = "0.44 g/cm3"
granule = "0.11 cm"
micropore_volume = "0.454 cm3/g"
[air]
flow = "53.3 L/min"
temperature = "22 degC"
relative_humidity = "50 %"
[[contaminant]]
cas = "108-88-3"
concentration = "1000 ppm"
[end]
penetration = "10 %"
[work]
wear = "1 h"
[place]
oxygen = "20.9 %"
oil_aerosol = false
irritates_eyes = false
"#;

fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_breathworthy")).args(arguments).output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

fn file(folder: &TempDir, case: &str) -> PathBuf {
    let path = folder.path().join("case.toml");
    fs::write(&path, case).unwrap();
    path
}

/// Runs `command` on a case and returns the exit code, the JSON and what went to standard error.
fn answer(command: &str, case: &str) -> (i32, Value, String) {
    let folder = TempDir::new().unwrap();
    let path = file(&folder, case);
    let output = run(&[command, path.to_str().unwrap(), "--json"]);
    let json = serde_json::from_slice(&output.stdout).unwrap_or(Value::Null);
    (output.status.code().unwrap(), json, text(&output.stderr))
}

fn finding_ids(value: &Value) -> Vec<String> {
    let findings = value["findings"].as_array().unwrap();
    findings.iter().map(|f| f["id"].as_str().unwrap().to_owned()).collect()
}

/// What `select` says of the plain half mask with organic vapour cartridges, or of every
/// air-purifying class.
fn air_purifying(list: &Value) -> Vec<&Value> {
    let purifies = |class: &&Value| {
        let source = class["device"]["air_source"].as_str().unwrap();
        source == "air-purifying" || source == "powered-air-purifying"
    };
    list.as_array().unwrap().iter().filter(purifies).collect()
}

#[test]
fn life_answers_with_bounds_schedule_findings_and_sources() {
    let (code, json, _) = answer("life", TOLUENE);
    // The case is that of the measurement; nobody may work there with a half mask.
    assert_eq!(code, 1, "{json:#}");
    let life = &json["life_min"];
    let (best, lower) = (life["best"].as_f64().unwrap(), life["lower"].as_f64().unwrap());
    // Measured on cartridges of 25 to 40 g (Nelson and Correia 1976): aromatics 88 to 105 min at
    // this point, so that 26 g must give less.
    assert!(50.0 < best && best < 88.0 && 0.0 < lower && lower < best, "{life}");
    assert_eq!(life["confidence"], 0.95);
    assert_eq!(json["contaminants"][0]["cas"], "108-88-3");
    assert!(json["contaminants"][0]["time_min"]["lower"].as_f64().unwrap() <= lower + 1e-9);
    assert!(json["schedule"]["max_wear_min"].as_f64().unwrap() <= lower);
    assert!(!json["schedule"]["text"].as_str().unwrap().is_empty());
    assert!(json["schedule"]["limited_by"].as_str().unwrap().contains("Toluene"));
    assert!(json["method"].is_string() && json["sources"].as_array().unwrap().len() > 3);
    for finding in json["findings"].as_array().unwrap() {
        for key in ["id", "severity", "citation", "text", "remedy"] {
            assert!(!finding[key].as_str().unwrap().is_empty(), "{key} of {finding}");
        }
    }
    let mut findings = json["findings"].as_array().unwrap().iter();
    assert!(findings.any(|finding| finding["id"] == "service-life.care"));
}

#[test]
fn the_published_correlation_alone_is_a_method_of_its_own() {
    let folder = TempDir::new().unwrap();
    let path = file(&folder, TOLUENE);
    let output = run(&["life", path.to_str().unwrap(), "--json", "--method", "wood1994"]);
    let json: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert!(json["method"].as_str().unwrap().contains("1994"));
    assert_ne!(json["life_min"], answer("life", TOLUENE).1["life_min"]);
}

#[test]
fn a_case_in_words_needs_no_json() {
    let folder = TempDir::new().unwrap();
    let path = file(&folder, &TOLUENE.replace("1000 ppm", "100 ppm"));
    let said = text(&run(&["life", path.to_str().unwrap()]).stdout);
    assert!(said.starts_with("new elements at the start of every shift"), "{said}");
    assert!(said.contains("95 % confidence") && said.contains("do: "), "{said}");
    // Twice the immediately dangerous level.
    let path = file(&folder, TOLUENE);
    let said = text(&run(&["life", path.to_str().unwrap()]).stdout);
    assert!(said.starts_with("not for wear in this air, however long the elements last"), "{said}");
}

#[test]
fn the_cases_in_the_documentation_run() {
    for name in ["lacquer.toml", "pickling.toml"] {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/cases").join(name);
        for command in ["life", "select"] {
            let output = run(&[command, path.to_str().unwrap()]);
            assert_eq!(output.status.code(), Some(0), "{command} {name}: {output:?}");
        }
    }
}

// The marched examples, with few samples: what is asked is that they run and write what they should.
#[test]
fn a_pattern_of_work_runs_and_leaves_a_picture_and_a_table() {
    for name in ["spray-day.toml", "three-days.toml"] {
        let case = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/cases").join(name);
        let folder = TempDir::new().unwrap();
        let (svg, csv) = (folder.path().join("day.svg"), folder.path().join("day.csv"));
        let (svg, csv) = (svg.to_str().unwrap(), csv.to_str().unwrap());
        let case = case.to_str().unwrap();
        let arguments = ["life", case, "--samples", "1", "--svg", svg, "--curve", csv, "--json"];
        let output = run(&arguments);
        assert_eq!(output.status.code(), Some(0), "{name}: {output:?}");
        let json: Value = serde_json::from_slice(&output.stdout).unwrap();
        assert!(json["method"].as_str().unwrap().contains("marched"), "{name}");
        assert!(json["bed"]["contaminants"][0]["balance_error"].as_f64().unwrap().abs() < 1e-8);
        assert!(fs::read_to_string(svg).unwrap().contains("minutes in use"));
        let table = fs::read_to_string(csv).unwrap();
        assert!(table.starts_with("contaminant,cas,minutes_in_use,ppm\n"), "{table}");
        assert!(table.lines().count() > 20, "{table}");
    }
}

#[test]
fn an_answer_is_given_where_no_curve_can_be_drawn() {
    let folder = TempDir::new().unwrap();
    let case = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/cases/lacquer.toml");
    let lacquer = fs::read_to_string(case).unwrap().replace("toluene", "methanol");
    let (air, rest) = lacquer.split_once("[[contaminant]]\ncas").unwrap();
    let refused = format!("{air}{}", &rest[rest.find("[work]").unwrap()..]);
    let refused = file(&folder, &refused);
    let svg = folder.path().join("life.svg");
    let csv = folder.path().join("life.csv");
    let plain = run(&["life", refused.to_str().unwrap()]);
    let (svg_at, csv_at) = (svg.to_str().unwrap(), csv.to_str().unwrap());
    let drawn = run(&["life", refused.to_str().unwrap(), "--svg", svg_at, "--curve", csv_at]);
    assert_eq!(drawn.status.code(), plain.status.code());
    assert_eq!(text(&drawn.stdout), text(&plain.stdout));
    assert!(text(&plain.stdout).contains("ethanol"), "{plain:?}");
    assert_eq!(text(&drawn.stderr).matches("no curve was drawn").count(), 2, "{drawn:?}");
    assert!(!svg.exists() && !csv.exists());
}

#[test]
fn a_report_is_calibrated_and_variants_stand_side_by_side() {
    let cases = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/cases");
    let report = cases.join("laboratory-report.toml");
    let said = text(&run(&["calibrate", report.to_str().unwrap()]).stdout);
    assert!(said.contains("micropore_volume = \"") && said.contains("correlation = {"), "{said}");
    let gases = cases.join("laboratory-report-gases.toml");
    let said = text(&run(&["calibrate", gases.to_str().unwrap()]).stdout);
    for part in
        ["Chlorine: one element holds", "Ammonia: rate", "[[reaction]]", "correlation = -0."]
    {
        assert!(said.contains(part), "{said}");
    }
    let case = cases.join("lacquer.toml");
    let case = case.to_str().unwrap();
    let output = run(&["what-if", case, "--with", "air.flow = 35 L/min", "--json"]);
    let json: Value = serde_json::from_slice(&output.stdout).unwrap();
    let best = |place: usize| json[place]["life"]["life_min"]["best"].as_f64().unwrap();
    assert!(best(1) > best(0), "{json:#}");
    // Above the immediately dangerous level nothing is for wear, whatever varies.
    let dangerous = "contaminant.1.concentration = 800 ppm";
    let both = format!("{dangerous}; air.flow = 35 L/min");
    let output = run(&["what-if", case, "--with", dangerous, "--with", &both]);
    let said = text(&output.stdout);
    assert_eq!(output.status.code(), Some(0), "the case itself may be worn: {said}");
    assert_eq!(said.matches("not for wear in this air").count(), 2, "{said}");
    assert!(said.contains("stop: these elements may not be used in this air"), "{said}");
    let folder = TempDir::new().unwrap();
    let strong = fs::read_to_string(case).unwrap().replace("\"300 ppm\"", "\"800 ppm\"");
    let strong = file(&folder, &strong);
    let output = run(&["what-if", strong.to_str().unwrap(), "--with", "air.flow = 35 L/min"]);
    assert_eq!(output.status.code(), Some(1), "{output:?}");
    let output = run(&["what-if", case, "--with", "air.flow"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("air.flow"), "{output:?}");
}

#[test]
fn wrong_input_is_exit_2_and_names_file_line_key_and_what_was_expected() {
    let cases = [
        ("\"1000 ppm\"", "1000", "line 14, concentration", "has no unit"),
        ("\"1000 ppm\"", "\"-5 ppm\"", "line 14, concentration", "outside"),
        ("\"1000 ppm\"", "\"0 ppm\"", "line 14, concentration", "leave the contaminant out"),
        ("\"22 degC\"", "\"22\"", "line 10, temperature", "degC, degF, K"),
        ("\"22 degC\"", "\"-300 degC\"", "line 10, temperature", "outside"),
        ("\"26 g\"", "\"-26 g\"", "line 3, sorbent_mass", "outside"),
        ("108-88-3", "108-88-4", "line 13, cas", "check digit"),
        ("cas = \"108-88-3\"", "name = \"tolueen\"", "line 13, name", "oluene"),
        (
            "wear = \"1 h\"",
            "wear = \"0 min\"",
            "line 18, wear",
            "a wear of 0 min is none of one shift",
        ),
        ("wear =", "waer =", "line 18, waer", "there is no `waer` here"),
        ("flow = \"53.3 L/min\"\n", "", "air", "flow = "),
        ("elements = 2", "elements = 0", "line 2, elements", "1 to 6"),
        // One number and another name, and one substance in two tables, are no guess of ours.
        ("cas = \"108-88-3\"", "cas = \"108-88-3\"\nname = \"benzene\"", "name", "71-43-2"),
        (
            "[end]",
            "[[contaminant]]\nname = \"toluene\"\nconcentration = \"9 ppm\"\n[end]",
            "contaminant",
            "named twice",
        ),
        (
            "[air]",
            "[respirator]\nair_source = \"self-contained-demand\"\n[air]",
            "respirator",
            "brings its air",
        ),
    ];
    for (from, to, place, expected) in cases {
        let case = TOLUENE.trim_start().replacen(from, to, 1);
        assert_ne!(case, TOLUENE.trim_start(), "{from}");
        let (code, json, error) = answer("life", &case);
        assert_eq!((code, &json), (2, &Value::Null), "{to}: {error}");
        assert!(error.contains("case.toml"), "{error}");
        assert!(error.contains(place) && error.contains(expected), "{to}: {error}");
    }
}

#[test]
fn a_case_file_cut_in_half_is_refused_wherever_the_cut_falls() {
    for length in 0..TOLUENE.find("[end]").unwrap() {
        let (code, _, error) = answer("life", &TOLUENE[..length]);
        assert!(
            code == 2
                || TOLUENE[..length].ends_with("ppm\"")
                || TOLUENE[..length].ends_with("ppm\"\n"),
            "{length}: {error}"
        );
    }
}

#[test]
fn a_file_that_is_not_there_is_named() {
    let output = run(&["life", "no-such-case.toml"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("no-such-case.toml"));
    let output = run(&["verify", "--ledger", "no-such-ledger.db"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("no-such-ledger.db"));
}

#[test]
fn no_life_is_made_up_for_what_the_elements_do_not_hold() {
    for (cas, ppm) in [("67-56-1", "400 ppm"), ("630-08-0", "100 ppm")] {
        let case = TOLUENE.replace("108-88-3", cas).replace("1000 ppm", ppm);
        let (code, json, _) = answer("life", &case);
        assert_eq!(code, 1, "{cas}: {json:#}");
        assert!(finding_ids(&json).contains(&"service-life.refused".to_owned()), "{cas}");
        assert_eq!(
            (&json["life_min"], &json["schedule"]["max_wear_min"]),
            (&Value::Null, &Value::from(0.0))
        );
    }
}

#[test]
fn no_life_is_told_for_particles_without_a_filter_nor_for_vapour_called_particles() {
    let lead =
        TOLUENE.replace("cas = \"108-88-3\"", "name = \"lead\"").replace("1000 ppm", "1 mg/m3");
    let (code, json, _) = answer("life", &lead);
    assert_eq!((code, &json["schedule"]["max_wear_min"]), (1, &Value::from(0.0)), "{json:#}");
    let particle = TOLUENE.replace("\"1000 ppm\"", "\"1000 ppm\"\nform = \"particle\"");
    assert_eq!(answer("life", &particle).0, 1);
    let filtered = particle.replace("[air]", "filter = \"P100\"\n[air]");
    let life = answer("life", &filtered).1;
    assert_eq!(life["life_min"], answer("life", TOLUENE).1["life_min"]);
}

#[test]
fn gases_that_spend_the_same_element_last_shorter_together() {
    let one = "[air]\nflow = \"40 L/min\"\ntemperature = \"22 degC\"\nrelative_humidity = \"50 %\"\n\
        [cartridge]\ncertified_for = [\"sulfur dioxide\", \"hydrogen chloride\"]\n\
        [[contaminant]]\nname = \"sulfur dioxide\"\nconcentration = \"10 ppm\"\n";
    let two =
        format!("{one}[[contaminant]]\nname = \"hydrogen chloride\"\nconcentration = \"10 ppm\"\n");
    let lower = |case: &str| answer("life", case).1["life_min"]["lower"].as_f64().unwrap();
    assert!(lower(&two) < 0.9 * lower(one), "{} against {}", lower(&two), lower(one));
}

#[test]
fn a_life_is_no_schedule_where_the_selection_rules_stop_it() {
    let low = TOLUENE.replace("1000 ppm", "100 ppm");
    assert_eq!(answer("life", &low).0, 0);
    let (code, json, _) = answer("life", &low.replace("20.9 %", "16 %"));
    assert_eq!((code, &json["schedule"]["max_wear_min"]), (1, &Value::from(0.0)));
    let said = json["findings"].to_string();
    assert!(said.contains("service-life.not-selected") && said.contains("oxygen"), "{said}");
    assert!(json["schedule"]["text"].as_str().unwrap().starts_with("not for wear in this air"));
    assert!(json["life_min"]["lower"].as_f64().unwrap() > 0.0, "it is computed all the same");
}

#[test]
fn no_air_purifying_class_is_allowed_where_air_must_be_brought() {
    let cases = [
        // 29 CFR 1910.134(b): oxygen below 19.5 % is deficient.
        ("20.9 %", "19.4 %"),
        // 29 CFR 1910.134(d)(1)(iii): what cannot be estimated is immediately dangerous.
        ("\"1000 ppm\"", "\"unknown\""),
        // Immediately dangerous level of toluene: 500 ppm (data/exposure_limits.csv).
        ("\"1000 ppm\"", "\"600 ppm\""),
        ("oxygen = \"20.9 %\"\n", ""),
        ("108-88-3", "67-56-1"),
        ("108-88-3", "630-08-0"),
    ];
    for (from, to) in cases {
        let case = TOLUENE.replacen(from, to, 1);
        let (_, list, _) = answer("select", &case);
        let classes = air_purifying(&list);
        assert!(!classes.is_empty(), "{to}");
        for class in classes {
            let escape = class["device"]["escape_only"] == true;
            // The catalyst of a gas mask canister is no ordinary cartridge: it takes this one gas.
            let catalyst = class["elements"]["against"]
                .as_array()
                .is_some_and(|kinds| to == "630-08-0" && kinds.contains(&"carbon-monoxide".into()));
            assert!(class["allowed"] == false || escape || catalyst, "{to}: {class:#}");
            assert!(!class["findings"].as_array().unwrap().is_empty(), "{to}");
        }
    }
}

#[test]
fn select_lists_every_class_with_reasons_and_citations() {
    let (code, list, _) = answer("select", &TOLUENE.replace("1000 ppm", "200 ppm"));
    assert_eq!(code, 0);
    let classes = list.as_array().unwrap();
    assert!(classes.len() >= 35, "{}", classes.len());
    assert!(classes.iter().any(|class| class["allowed"] == true));
    for class in classes.iter().filter(|class| class["allowed"] == false) {
        let stops = class["findings"].as_array().unwrap();
        assert!(stops.iter().any(|f| f["severity"] == "stop"), "{}", class["title"]);
        assert!(stops.iter().all(|f| !f["citation"].as_str().unwrap().is_empty()));
    }
}

#[test]
fn the_demo_fills_a_ledger_that_verifies_and_answers() {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("invented.db");
    let ledger = path.to_str().unwrap();
    let at = "2026-11-25T09:00:00Z";
    let output = run(&["demo", "--fill-only", "--ledger", ledger, "--at", at]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let output = run(&["verify", "--ledger", ledger]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stdout));
    assert!(text(&output.stdout).starts_with("whole: "));
    let unknown = ["--wearer", "nobody", "--tag", "nothing", "--task", "none"];
    let mut arguments = vec!["wear", "--ledger", ledger, "--at", at, "--json"];
    arguments.extend(unknown);
    let output = run(&arguments);
    assert_eq!(output.status.code(), Some(1));
    let verdict: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(verdict["decision"], "stop");
    let by_name = ["--wearer", "alder finch", "--tag", "l-ha-01", "--task", "Lacquer spraying"];
    let by_id = ["--wearer", "alder-finch", "--tag", "L-HA-01", "--task", "lacquer-spraying"];
    for names in [by_name, by_id] {
        let mut arguments = vec!["wear", "--ledger", ledger, "--at", at, "--json"];
        arguments.extend(names);
        let output = run(&arguments);
        assert_eq!(output.status.code(), Some(0), "{}", text(&output.stdout));
        let verdict: Value = serde_json::from_slice(&output.stdout).unwrap();
        assert_eq!(verdict["ask"]["unit"], "L-HA-01");
        assert_eq!(verdict["ask"]["wearer"], "alder-finch");
    }
}

#[test]
fn the_demo_never_replaces_a_file_that_may_be_real() {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("plant.db");
    fs::write(&path, "somebody's records").unwrap();
    let output = run(&["demo", "--fill-only", "--ledger", path.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(fs::read_to_string(&path).unwrap(), "somebody's records");
}

#[test]
fn serve_refuses_an_address_that_others_can_reach_and_says_why() {
    for command in ["serve", "demo"] {
        let output = run(&[command, "--ledger", "invented.db", "--listen", "0.0.0.0:8600"]);
        assert_eq!(output.status.code(), Some(2));
        let said = text(&output.stderr);
        assert!(said.contains("0.0.0.0") && said.contains("sign"), "{said}");
    }
}

#[test]
fn a_reader_that_goes_away_ends_the_command_without_a_word() {
    use std::io::Read;
    use std::process::Stdio;
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("invented.db");
    let ledger = path.to_str().unwrap();
    let at = "2026-11-25T09:00:00Z";
    let filled = run(&["demo", "--fill-only", "--ledger", ledger, "--at", at]);
    assert_eq!(filled.status.code(), Some(0));
    for arguments in [
        vec!["export", "--ledger", ledger],
        vec!["due", "--ledger", ledger, "--at", at, "--limit", "10000", "--json"],
        vec!["due", "--ledger", ledger, "--at", at, "--limit", "10000"],
    ] {
        let mut child = Command::new(env!("CARGO_BIN_EXE_breathworthy"))
            .args(&arguments)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let mut first = [0_u8; 10];
        child.stdout.take().unwrap().read_exact(&mut first).unwrap();
        // The end that was read is closed here.
        let output = child.wait_with_output().unwrap();
        assert_eq!(output.status.code(), Some(0), "{arguments:?}: {}", text(&output.stderr));
        assert!(!text(&output.stderr).contains("panicked"), "{}", text(&output.stderr));
    }
}

#[test]
fn what_is_wrong_with_the_input_is_told_with_what_puts_it_right() {
    let folder = TempDir::new().unwrap();
    let here = folder.path().to_str().unwrap();
    let case = file(&folder, &TOLUENE.replace("flow =", "flwo ="));
    let times = folder.path().join("times.csv");
    fs::write(&times, "contaminant,minutes\nbenzene,30 min\n").unwrap();
    let report =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/cases/laboratory-report.toml");
    let report = report.to_str().unwrap();
    for (arguments, said) in [
        (vec!["life", "no-such.toml"], "there is no case file no-such.toml\n  check its name"),
        (vec!["calibrate", "no-such.toml"], "there is no report no-such.toml"),
        (vec!["life", here], "is a folder and no case file\n  name a file in it"),
        (vec!["life", case.to_str().unwrap()], "there is no `flwo` here\n  write one of: "),
        (
            vec!["due", "--ledger", "x", "--at", "tomorrow"],
            "write the day, the time and the offset",
        ),
        (vec!["due", "--ledger", "x", "--days", "-1"], "write whole days from 0"),
        (
            vec!["wear", "--wearer", "a", "--tag", "b", "--task", "c", "--planned", "-5 min"],
            "time of -5 min is outside 0",
        ),
        (
            vec!["wear", "--wearer", "a", "--tag", "b", "--task", "c", "--planned", "0 min"],
            "0 min is no wear\n  write more than 0 min",
        ),
        (vec!["due", "--ledger", "x", "--kind", "tomato"], "write one of: sensed, held"),
        (
            vec!["calibrate", report, "--times", times.to_str().unwrap()],
            "`concentration` is missing",
        ),
    ] {
        let output = run(&arguments);
        let stderr = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {stderr}");
        assert!(stderr.contains(said), "{arguments:?}: {stderr}");
        for raw in
            ["os error", "expected struct", "missing field", "unknown field", "unknown variant"]
        {
            assert!(!stderr.contains(raw), "{arguments:?}: {stderr}");
        }
    }
}

/// What was seen at the door stops the set that was allowed before, until it is recorded as gone.
#[test]
fn hair_seen_at_the_seal_stops_until_it_is_gone() {
    let folder = TempDir::new().unwrap();
    let ledger = folder.path().join("invented.db");
    let ledger = ledger.to_str().unwrap();
    let output = run(&["demo", "--fill-only", "--ledger", ledger]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let wear = || {
        let base = ["wear", "--ledger", ledger, "--wearer", "alder-finch", "--tag", "L-HA-01"];
        let output = run(&[&base[..], &["--task", "lacquer-spraying"]].concat());
        (output.status.code(), text(&output.stdout))
    };
    let seal = |wearer: &str, hair: &str| {
        let base = ["seal", "--ledger", ledger, "--wearer", wearer, "--hair", hair];
        let output = run(&[&base[..], &["--by", "tamarack-osprey"]].concat());
        (output.status.code(), text(&output.stdout), text(&output.stderr))
    };
    assert_eq!(wear().0, Some(0), "{}", wear().1);
    let (code, said, error) = seal("alder-finch", "seen");
    assert!(code == Some(0) && said.contains("No tight-fitting facepiece"), "{said} {error}");
    let (code, said) = wear();
    assert!(code == Some(1) && said.contains("[seal.hair-seen]"), "{said}");
    assert_eq!(seal("Alder Finch", "gone").0, Some(0));
    assert_eq!(wear().0, Some(0), "{}", wear().1);
    let (code, _, error) = seal("nobody-here", "seen");
    assert!(code == Some(2) && error.contains("nobody is enrolled as `nobody-here`"), "{error}");
}
