//! How long the answers take: the life of one case, and a verdict among 100,000 entries.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

use std::hint::black_box;
use std::process::Command;

use criterion::{Criterion, criterion_group, criterion_main};
use jiff::Timestamp;
use ledger::Ledger;
use program::case::WrittenCase;
use program::life::{LifeMethod, compute};
use program::{Ask, Entry, State, may_wear};
use serde_json::Value;
use tempfile::TempDir;

/// The instant as of which the plant is made and asked.
const AT: &str = "2026-11-25T16:00:00Z";

fn life(criterion: &mut Criterion) {
    let cases = [
        ("two vapours, bed known", include_str!("../docs/cases/lacquer.toml")),
        ("one gas, certification only", include_str!("../docs/cases/pickling.toml")),
    ];
    for (name, text) in cases {
        let case = WrittenCase::read(text).unwrap();
        criterion.bench_function(&format!("life: {name}"), |bencher| {
            bencher.iter(|| compute(black_box(&case), LifeMethod::Full).unwrap());
        });
    }
}

/// The invented plant and copies of it with other people, tags and tasks, until 100,000 entries
/// stand in one state; what was worn in the first is asked.
fn verdict(criterion: &mut Criterion) {
    let entries = invented_entries();
    let now: Timestamp = AT.parse().unwrap();
    let mut state = State::default();
    let mut copies = 0;
    while state.len() < 100_000 {
        for entry in &entries {
            state.apply(&renamed(entry, copies));
        }
        copies += 1;
    }
    let asks = asks(&entries);
    println!("{} entries, {} asks", state.len(), asks.len());
    criterion.bench_function("verdict: one wearer, 100,000 entries", |bencher| {
        let mut turn = asks.iter().cycle();
        bencher.iter(|| may_wear(black_box(&state), turn.next().unwrap(), now));
    });
}

/// The same fact about another person, tag and task; the first copy keeps its names.
fn renamed(entry: &Entry, copy: usize) -> Entry {
    if copy == 0 {
        return entry.clone();
    }
    let mut value = serde_json::to_value(entry).unwrap();
    let rename = |value: &mut Value, keys: &[&str]| {
        for key in keys {
            if let Some(name) = value.get(key).and_then(Value::as_str) {
                value[*key] = format!("{name}-{copy}").into();
            }
        }
    };
    rename(&mut value, &["id", "corrects", "by"]);
    rename(&mut value["fact"], &["unit", "wearer", "task"]);
    serde_json::from_value(value).unwrap()
}

/// The entries that the command `demo` makes.
fn invented_entries() -> Vec<Entry> {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("invented.db");
    let status = Command::new(env!("CARGO_BIN_EXE_breathworthy"))
        .args(["demo", "--fill-only", "--at", AT, "--ledger"])
        .arg(&path)
        .status();
    assert!(status.unwrap().success());
    tokio::runtime::Runtime::new().unwrap().block_on(async {
        let ledger = Ledger::open(&path).await.unwrap();
        let mut entries = Vec::new();
        let mut after = 0;
        loop {
            let page = ledger.read(None, after).await.unwrap();
            let Some(last) = page.last() else { return entries };
            after = last.position;
            entries.extend(page.into_iter().map(|stored| stored.entry));
        }
    })
}

/// What was worn in the plant, asked again.
fn asks(entries: &[Entry]) -> Vec<Ask> {
    let ask = |entry: &Entry| match &entry.fact {
        program::Fact::Worn { unit, wearer, task, .. } => Some(Ask {
            wearer: wearer.clone(),
            unit: unit.clone(),
            task: task.clone(),
            planned_wear: None,
        }),
        _ => None,
    };
    entries.iter().filter_map(ask).collect()
}

criterion_group!(benches, life, verdict);
criterion_main!(benches);
