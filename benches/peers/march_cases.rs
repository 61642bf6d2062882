//! Marches the shared bed cases and prints, as one line of JSON each, their times and how long the
//! march took. Called by `peers.py`; by hand: `cargo run --release -p sorbent --example march_cases`.
//!
//! Arguments: folder of the shared cases, seconds to spend on each, fineness.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a comparison that cannot read its cases must stop"
)]

use std::collections::BTreeMap;
use std::path::Path;
use std::time::{Duration, Instant};

use serde::Deserialize;
use sorbent::march::{
    Column, Component, Effluent, Equilibrium, Segment, SegmentKind, Settings, Uptake, run,
};

#[derive(Deserialize)]
struct Shared {
    bed: SharedBed,
    problems: BTreeMap<String, serde_json::Value>,
}

#[derive(Deserialize)]
struct SharedBed {
    area_m2: f64,
    depth_m: f64,
    rho_b_kg_m3: f64,
    eps: f64,
    u_m_s: f64,
}

#[derive(Deserialize)]
struct Problem {
    #[serde(rename = "D")]
    dispersion: f64,
    t_end: f64,
    comps: Vec<SharedVapour>,
    inlet: Option<Vec<[f64; 3]>>,
}

#[derive(Deserialize)]
struct SharedVapour {
    name: String,
    c0_mol_m3: f64,
    k_per_s: f64,
    qs: f64,
    b: f64,
    csat: f64,
}

/// Fractions of the inlet whose times are compared.
const FRACTIONS: [f64; 3] = [0.01, 0.1, 0.5];

fn main() {
    let mut arguments = std::env::args().skip(1);
    let folder = arguments.next().unwrap_or_else(|| "data/checks/bed".to_owned());
    let seconds: f64 = arguments.next().map_or(0.5, |text| text.parse().unwrap());
    let fineness: f64 = arguments.next().map_or(1.0, |text| text.parse().unwrap());
    let settings = Settings { fineness, ..Settings::USUAL };
    let text = std::fs::read_to_string(Path::new(&folder).join("problems.json")).unwrap();
    let shared: Shared = serde_json::from_str(&text).unwrap();
    for (name, problem) in &shared.problems {
        let Ok(problem) = serde_json::from_value::<Problem>(problem.clone()) else { continue };
        if problem.dispersion > 0.0 {
            continue;
        }
        report(name, &shared.bed, &problem, &settings, seconds);
    }
}

fn report(name: &str, bed: &SharedBed, problem: &Problem, settings: &Settings, seconds: f64) {
    let column = Column {
        depth_m: bed.depth_m,
        bulk_density_kg_m3: bed.rho_b_kg_m3,
        void_fraction: bed.eps,
        area_m2: bed.area_m2,
    };
    let components: Vec<Component> = problem.comps.iter().map(component).collect();
    let segments = segments(bed, problem);
    let march = |settings: &Settings| run(&column, &components, &segments, settings).unwrap();
    let effluent = march(settings);
    let (best, median) = clocked(seconds, || march(settings));
    let bare = Settings { estimate: false, ..*settings };
    let (best_bare, _) = clocked(0.5 * seconds, || march(&bare));
    println!(
        "{}",
        serde_json::json!({
            "case": name,
            "times_s": times(&effluent, &problem.comps),
            "best_ms": best, "median_ms": median, "best_without_estimate_ms": best_bare,
            "cells": effluent.load_mol_kg(0).len(), "steps": effluent.clock_s().len(),
        })
    );
}

/// Time and estimated error of each fraction of each component; null where it is never reached.
fn times(effluent: &Effluent, vapours: &[SharedVapour]) -> serde_json::Value {
    let of = |(index, vapour): (usize, &SharedVapour)| {
        let time = |fraction: f64| {
            let arrival = effluent.arrival(index, fraction * vapour.c0_mol_m3);
            arrival.map(|arrival| (arrival.clock_s, arrival.error_s))
        };
        serde_json::json!({ "name": vapour.name, "times": FRACTIONS.map(time),
            "peak": effluent.peak(index).map(|peak| peak.level_mol_m3 / vapour.c0_mol_m3) })
    };
    vapours.iter().enumerate().map(of).collect()
}

fn component(vapour: &SharedVapour) -> Component {
    Component {
        name: vapour.name.clone(),
        equilibrium: Equilibrium::Dubinin {
            full_mol_kg: vapour.qs,
            b: vapour.b,
            saturation_mol_m3: vapour.csat,
        },
        uptake: Uptake::DrivingForce { per_s: vapour.k_per_s },
        diffusivity_m2_s: 8e-6,
    }
}

/// The inlet table as segments, with clean air between its rows.
fn segments(bed: &SharedBed, problem: &Problem) -> Vec<Segment> {
    let whole = [[0.0, problem.t_end, 1.0]];
    let rows = problem.inlet.as_deref().unwrap_or(&whole);
    let mut segments = Vec::new();
    let mut clock = 0.0;
    let segment = |from: f64, to: f64, factor: f64| Segment {
        duration_s: to - from,
        velocity_m_s: bed.u_m_s,
        inlet_mol_m3: problem.comps.iter().map(|c| c.c0_mol_m3 * factor).collect(),
        kind: if factor > 0.0 { SegmentKind::On } else { SegmentKind::CleanAir },
        components: None,
    };
    for [from, to, factor] in rows {
        if *from > clock {
            segments.push(segment(clock, *from, 0.0));
        }
        segments.push(segment(*from, *to, *factor));
        clock = *to;
    }
    if clock < problem.t_end {
        segments.push(segment(clock, problem.t_end, 0.0));
    }
    segments
}

/// Best and median milliseconds of one call over `seconds`.
fn clocked(seconds: f64, mut call: impl FnMut() -> Effluent) -> (f64, f64) {
    let until = Instant::now() + Duration::from_secs_f64(seconds);
    let mut taken = Vec::new();
    while Instant::now() < until || taken.len() < 3 {
        let start = Instant::now();
        std::hint::black_box(call());
        taken.push(start.elapsed().as_secs_f64() * 1e3);
    }
    taken.sort_by(f64::total_cmp);
    (taken[0], taken[taken.len() / 2])
}
