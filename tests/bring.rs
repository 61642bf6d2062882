//! A list is brought as a person does it: looked at first, then written, then brought again.
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

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// The invented plant in a ledger of its own.
fn plant(folder: &TempDir) -> String {
    let ledger = folder.path().join("invented.db").to_str().unwrap().to_owned();
    let at = "2026-11-25T14:00:00Z";
    let output = run(&["demo", "--fill-only", "--ledger", &ledger, "--at", at]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    ledger
}

fn entries(ledger: &str) -> u64 {
    let output = run(&["verify", "--ledger", ledger, "--json"]);
    assert!(output.status.success());
    let answer: Value = serde_json::from_slice(&output.stdout).unwrap();
    answer["entries"].as_u64().unwrap()
}

#[test]
fn a_list_is_shown_then_written_and_adds_nothing_twice() {
    let folder = TempDir::new().unwrap();
    let ledger = plant(&folder);
    let before = entries(&ledger);
    let list = folder.path().join("people.csv");
    std::fs::write(
        &list,
        "Badge;Name;Start;Locker\nn-1;Ash Crake;2026-01-05;4\nn-2;;2026-01-05;5\n",
    )
    .unwrap();
    let base =
        ["bring", "wearers", list.to_str().unwrap(), "--ledger", &ledger, "--site", "lichen"];
    let look = run(&base);
    let said = text(&look.stdout);
    assert_eq!(look.status.code(), Some(1), "{said}");
    for part in [
        "column `Locker` is left aside",
        "row 2     new      id n-1, name Ash Crake, enrolled 2026-01-05",
        "row 3     REFUSED",
        "Name: the name is empty",
        "1 new, 0 already known, 1 refused",
        "nothing is written yet",
    ] {
        assert!(said.contains(part), "{part} is not in {said}");
    }
    assert_eq!(entries(&ledger), before);
    let anonymous = run(&[&base[..], &["--write"]].concat());
    assert_eq!(anonymous.status.code(), Some(2));
    assert!(text(&anonymous.stderr).contains("--by"));

    let write = [&base[..], &["--write", "--by", "tamarack-osprey"]].concat();
    let said = text(&run(&write).stdout);
    assert!(said.contains("written: 1 entries"), "{said}");
    assert_eq!(entries(&ledger), before + 1);
    let said = text(&run(&write).stdout);
    assert!(said.contains("0 new, 1 already known, 1 refused"), "{said}");
    assert!(said.contains("nothing to write"), "{said}");
    assert_eq!(entries(&ledger), before + 1);
}

#[test]
fn what_cannot_be_brought_is_exit_2_and_names_what_puts_it_right() {
    let folder = TempDir::new().unwrap();
    let ledger = plant(&folder);
    let list = folder.path().join("people.csv");
    std::fs::write(&list, "Nummer,Name\nn-1,Ash Crake\n").unwrap();
    let list = list.to_str().unwrap();
    let with = |kind: &str, site: &str, more: &[&str]| {
        let base = ["bring", kind, list, "--ledger", &ledger, "--site", site];
        let output = run(&[&base[..], more].concat());
        (output.status.code(), text(&output.stderr))
    };
    for (kind, site, more, said) in [
        ("wearers", "lichen", &[][..], "no column fills `id`"),
        ("wearers", "nowhere", &[], "its sites are: cormorant, lichen"),
        ("wearer", "lichen", &[], "write one of: wearers, element-types"),
        ("wearers", "lichen", &["--column", "Nummer"], "this=that"),
        ("wearers", "lichen", &["--dates", "ymd"], "write dmy or mdy"),
    ] {
        let (code, error) = with(kind, site, more);
        assert_eq!(code, Some(2), "{error}");
        assert!(error.contains(said), "{said} is not in {error}");
    }
    assert_eq!(with("wearers", "lichen", &["--column", "Nummer=id"]).0, Some(0));
    let fields = run(&["bring", "fit-tests", "--fields"]);
    assert!(text(&fields.stdout).contains("hair in seal (needed)"));
}
