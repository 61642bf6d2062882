//! The order of crates is the order of knowledge. This test reads the manifests and holds them
//! against the list in ARCHITECTURE.md.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// The crates, each of which may use what stands before it.
const ORDER: [&str; 9] = [
    "quantity",
    "substance",
    "sorbent",
    "rulebook",
    "program",
    "ledger",
    "paper",
    "web",
    "breathworthy",
];

/// Outside crates that belong in one place only: their prefix, and the crates that may use them.
const PLACES: [(&str, &[&str]); 8] = [
    ("sqlx", &["ledger"]),
    ("axum", &["web"]),
    ("tower", &["web"]),
    ("askama", &["web"]),
    ("fast_qr", &["paper"]),
    ("calamine", &["program"]),
    ("tokio", &["ledger", "web", "breathworthy"]),
    ("rand", &["breathworthy"]),
];

/// Words that would let time, files or chance into the pure crates.
const IMPURE: [&str; 6] =
    ["Timestamp::now", "SystemTime::now", "Instant::now", "std::fs", "std::net", "getrandom"];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// The crates under `crates/` with the names that each depends on when it is built for use.
fn members() -> BTreeMap<String, Vec<String>> {
    let entry = |entry: std::io::Result<fs::DirEntry>| {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_str().unwrap().to_owned();
        let manifest = fs::read_to_string(path.join("Cargo.toml")).unwrap();
        let manifest: toml::Table = toml::from_str(&manifest).unwrap();
        let uses = manifest.get("dependencies").and_then(toml::Value::as_table);
        (name, uses.map(|table| table.keys().cloned().collect()).unwrap_or_default())
    };
    fs::read_dir(root().join("crates")).unwrap().map(entry).collect()
}

#[test]
fn every_member_stands_in_the_order_and_in_architecture_md_and_none_is_a_ghost() {
    let text = fs::read_to_string(root().join("ARCHITECTURE.md")).unwrap();
    let listed: Vec<&str> = text
        .lines()
        .filter_map(|line| line.strip_prefix("| `")?.split_once('`').map(|(name, _)| name))
        .collect();
    assert_eq!(listed, ORDER, "the table of crates in ARCHITECTURE.md");
    let mut found: Vec<String> = members().into_keys().collect();
    let mut known: Vec<&str> = ORDER.to_vec();
    found.sort();
    known.sort_unstable();
    assert_eq!(found, known, "the folders under crates/");
}

#[test]
fn a_crate_uses_only_what_stands_before_it() {
    let place = |name: &str| ORDER.iter().position(|known| *known == name);
    for (name, uses) in members() {
        for used in &uses {
            if let Some(at) = place(used) {
                assert!(at < place(&name).unwrap(), "`{name}` must not use `{used}`");
            }
        }
    }
}

#[test]
fn outside_crates_stay_in_their_place() {
    for (name, uses) in members() {
        for used in &uses {
            for (prefix, allowed) in PLACES {
                let here = allowed.contains(&name.as_str());
                assert!(!used.starts_with(prefix) || here, "`{name}` must not use `{used}`");
            }
        }
    }
}

#[test]
fn no_clock_file_or_chance_up_to_program() {
    for name in &ORDER[..5] {
        for file in sources(&root().join("crates").join(name).join("src")) {
            let text = fs::read_to_string(&file).unwrap();
            for word in IMPURE {
                assert!(!text.contains(word), "`{word}` in {}", file.display());
            }
        }
    }
}

#[test]
fn each_crate_says_what_it_knows_nothing_of() {
    for name in ORDER {
        let src = root().join("crates").join(name).join("src");
        let lib = ["lib.rs", "main.rs"].map(|file| src.join(file));
        let text = lib.iter().find_map(|file| fs::read_to_string(file).ok()).unwrap();
        let paragraphs: Vec<&str> = text.split("\n//!\n").collect();
        assert!(paragraphs[1].starts_with("//! Knows nothing of"), "second paragraph of `{name}`");
    }
}

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(sources(&path));
        } else if path.extension().is_some_and(|kind| kind == "rs") {
            found.push(path);
        }
    }
    found
}
