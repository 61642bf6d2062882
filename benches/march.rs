//! How long the bed takes: the goals of one shift, mixtures, three days and ten thousand copies.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a bench whose case is refused must stop"
)]

#[path = "../crates/sorbent/tests/work_support/mod.rs"]
mod work_support;

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use sorbent::march::{
    Column, Component, Equilibrium, Path, Segment, SegmentKind, Settings, Uptake, run,
};
use sorbent::{Progress, Sampling, Spread, explore_pattern};

/// Bed, velocity and vapours of `data/checks/bed/problems.json`.
const COLUMN: Column =
    Column { depth_m: 0.022, bulk_density_kg_m3: 440.0, void_fraction: 0.4, area_m2: 0.0038 };
const VELOCITY: f64 = 0.116_885_964_912_280_7;
const LEVEL_500_PPM: f64 = 0.020_655_248_093_099_696;
/// Name, full load, b, saturation, rate.
const VAPOURS: [(&str, f64, f64, f64, f64); 3] = [
    ("toluene", 4.225_952, 0.120_309_2, 1.313_602_35, 3.564_423_8e-4),
    ("acetone", 6.107_702_2, 0.195_660_57, 10.918_025, 1.154_095e-3),
    ("n-hexane", 3.435_081, 0.123_866_29, 7.157_743_7, 5.773_760_7e-4),
];
const SHIFT_S: f64 = 28_800.0;

fn vapours(count: usize) -> Vec<Component> {
    let vapour = |(name, full, b, saturation, rate): &(&str, f64, f64, f64, f64)| Component {
        name: (*name).to_owned(),
        equilibrium: Equilibrium::Dubinin {
            full_mol_kg: *full,
            b: *b,
            saturation_mol_m3: *saturation,
        },
        uptake: Uptake::DrivingForce { per_s: *rate },
        diffusivity_m2_s: 8e-6,
    };
    VAPOURS.iter().take(count).map(vapour).collect()
}

fn segment(kind: SegmentKind, duration_s: f64, level: f64, count: usize) -> Segment {
    let inlet_mol_m3 = vec![level / count as f64; count];
    Segment { duration_s, velocity_m_s: VELOCITY, inlet_mol_m3, kind, components: None }
}

/// Two hours of work and half an hour of clean air, five times.
fn pauses() -> Vec<Segment> {
    let on = segment(SegmentKind::On, 7_200.0, LEVEL_500_PPM, 1);
    let clean = segment(SegmentKind::CleanAir, 1_800.0, 0.0, 1);
    [on, clean].into_iter().cycle().take(10).collect()
}

/// Three days in 20 segments: work at several levels, breaks, nights. The rate is that of 500 ppm
/// throughout, which makes the front of the weak levels sharper, and the march dearer, than it is.
fn three_days() -> Vec<Segment> {
    let rest = |hours: f64| segment(SegmentKind::Rest { sealed: true }, hours * 3600.0, 0.0, 1);
    let on =
        |hours: f64, part: f64| segment(SegmentKind::On, hours * 3600.0, part * LEVEL_500_PPM, 1);
    let day = [on(1.5, 0.2), rest(0.25), on(2.0, 0.1), rest(0.5), on(2.0, 0.3), on(1.0, 0.05)];
    let mut segments = Vec::new();
    for _ in 0..3 {
        segments.extend(day.iter().cloned());
        segments.push(rest(16.75));
    }
    segments.truncate(20);
    segments
}

fn marches(criterion: &mut Criterion) {
    for count in 1..=3 {
        let components = vapours(count);
        let shift = [segment(SegmentKind::On, SHIFT_S, LEVEL_500_PPM, count)];
        criterion.bench_function(&format!("march: {count} vapours, one shift"), |bencher| {
            bencher
                .iter(|| run(&COLUMN, black_box(&components), &shift, &Settings::USUAL).unwrap());
        });
    }
    let components = vapours(1);
    for (name, segments) in [("pauses", pauses()), ("three days, 20 segments", three_days())] {
        for path in [Path::Widest, Path::Portable] {
            let settings = Settings { path, ..Settings::USUAL };
            criterion.bench_function(&format!("march: 1 vapour, {name}, {path:?}"), |bencher| {
                bencher
                    .iter(|| run(&COLUMN, black_box(&components), &segments, &settings).unwrap());
            });
        }
    }
}

/// Four vapours for one shift with what its bound rests on: as many copies as are marched where nothing
/// is asked.
fn bound(criterion: &mut Criterion) {
    let names = ["toluene", "acetone", "n-hexane", "ethyl acetate"];
    let pattern = work_support::pattern(
        &names.map(|name| (name, 100.0, 10.0)),
        0.5,
        &[(480.0, SegmentKind::On, 1.0)],
    );
    let mut group = criterion.benchmark_group("march");
    group.sample_size(10);
    group.bench_function("4 vapours, one shift, with its bound", |bencher| {
        bencher.iter(|| {
            pattern.run(&Settings::USUAL).unwrap();
            let sampling = Sampling::of(350);
            explore_pattern(&pattern, &Spread::USUAL, sampling, &Progress::default()).unwrap()
        });
    });
    group.finish();
}

/// Ten thousand copies of one shift with level, flow, capacity and rate moved by up to a tenth.
fn copies(criterion: &mut Criterion) {
    let one = |index: u32| {
        let moved = |prime: f64| 0.9 + 0.2 * (f64::from(index) * prime).fract();
        let [(name, full, b, saturation, rate), ..] = VAPOURS;
        let component = Component {
            name: name.to_owned(),
            equilibrium: Equilibrium::Dubinin {
                full_mol_kg: full * moved(0.618_034),
                b,
                saturation_mol_m3: saturation,
            },
            uptake: Uptake::DrivingForce { per_s: rate * moved(0.414_214) },
            diffusivity_m2_s: 8e-6,
        };
        let level = LEVEL_500_PPM * moved(0.732_051);
        let shift = Segment {
            velocity_m_s: VELOCITY * moved(0.236_068),
            ..segment(SegmentKind::On, SHIFT_S, level, 1)
        };
        let effluent = run(&COLUMN, &[component], &[shift], &Settings::SAMPLING).unwrap();
        effluent.arrival(0, 0.01 * LEVEL_500_PPM).map(|arrival| arrival.clock_s)
    };
    let mut group = criterion.benchmark_group("march");
    group.sample_size(10);
    group.bench_function("10,000 copies on two threads", |bencher| {
        bencher.iter(|| {
            std::thread::scope(|scope| {
                let half = |from: u32| move || (from..from + 5_000).filter_map(one).sum::<f64>();
                let other = scope.spawn(half(5_000));
                half(0)() + other.join().unwrap()
            })
        });
    });
    group.finish();
}

criterion_group!(benches, marches, copies, bound);
criterion_main!(benches);
