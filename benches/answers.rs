//! How long the answers take: the life of one case, and a verdict among 100,000 entries.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use jiff::Timestamp;
use program::case::WrittenCase;
use program::life::{LifeMethod, compute};
use program::{Ask, State, may_wear};

#[path = "../crates/breathworthy/src/plant/mod.rs"]
#[expect(dead_code, reason = "a bench uses one door of the plant")]
mod plant;

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

/// Plants of several seeds under ids of their own, until 100,000 entries stand in one state.
fn verdict(criterion: &mut Criterion) {
    let now: Timestamp = "2026-11-25T09:00:00Z".parse().unwrap();
    let mut state = State::default();
    let mut copies = 0;
    let mut entries = Vec::new();
    while state.len() < 100_000 {
        entries = plant::entries(1, now).unwrap();
        for entry in &mut entries {
            entry.id = program::EntryId::new(format!("{copies}-{}", entry.id));
            state.apply(entry);
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

/// What was worn in the plant, asked again.
fn asks(entries: &[program::Entry]) -> Vec<Ask> {
    let ask = |entry: &program::Entry| match &entry.fact {
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
