//! The forecast of the invented plant, as a person asks for it.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

use std::process::{Command, Output};

use serde_json::Value;
use tempfile::TempDir;

fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_breathworthy")).args(arguments).output().unwrap()
}

#[test]
fn the_invented_plant_is_foreseen_site_by_site() {
    let folder = TempDir::new().unwrap();
    let ledger = folder.path().join("invented.db").to_str().unwrap().to_owned();
    let at = "2026-11-25T14:00:00Z";
    assert!(run(&["demo", "--fill-only", "--ledger", &ledger, "--at", at]).status.success());
    let base = ["forecast", "--ledger", &ledger, "--weeks", "8", "--at", at];
    let output = run(&[&base[..], &["--json"]].concat());
    let all: Value = serde_json::from_slice(&output.stdout).unwrap();
    let all = all.as_array().unwrap();
    assert_eq!(all.len(), 2);
    for site in all {
        assert_eq!((site["weeks"].as_u64(), site["history_weeks"].as_u64()), (Some(8), Some(26)));
        let needs = site["needs"].as_array().unwrap();
        assert!(!needs.is_empty());
        for need in needs {
            let figure = |name: &str| need[name].as_f64().unwrap();
            assert!(figure("low") <= figure("expected"), "{need}");
            assert!(figure("expected") <= figure("high"), "{need}");
        }
    }
    let words = String::from_utf8(run(&base).stdout).unwrap();
    for part in ["8 weeks from 2026-11-25, on 26 past weeks", "needed", "(counts)", "method:"] {
        assert!(words.contains(part), "{part} is not in {words}");
    }

    let one = [&base[..], &["--site", "lichen", "--shifts", "nowhere=3"]].concat();
    let output = run(&one);
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.contains("no task `nowhere`"), "{said}");
}
