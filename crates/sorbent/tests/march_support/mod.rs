//! The shared bed cases (`data/checks/bed`) as the march takes them.
#![allow(dead_code, reason = "each test file uses its part")]

use serde_json::Value;
use sorbent::march::{
    Column, Component, Effluent, Equilibrium, Segment, SegmentKind, Settings, Uptake, run,
};

pub const FRACTIONS: [f64; 3] = [0.01, 0.1, 0.5];

/// The bed of `problems.json`.
pub const COLUMN: Column =
    Column { depth_m: 0.022, bulk_density_kg_m3: 440.0, void_fraction: 0.4, area_m2: 0.0038 };
/// Its velocity, m/s.
pub const VELOCITY: f64 = 0.116_885_964_912_280_7;
/// Toluene at 500 ppm and 295 K, mol/m³.
pub const TOLUENE_500: f64 = 0.020_655_248_093_099_696;

pub fn toluene() -> Component {
    Component {
        name: "toluene".to_owned(),
        equilibrium: Equilibrium::Dubinin {
            full_mol_kg: 4.225_952_030_445_352,
            b: 0.120_309_228_581_177_9,
            saturation_mol_m3: 1.313_602_349_673_566_5,
        },
        uptake: Uptake::DrivingForce { per_s: 3.564_423_762_913_426e-4 },
        diffusivity_m2_s: 8e-6,
    }
}

pub fn acetone() -> Component {
    Component {
        name: "acetone".to_owned(),
        equilibrium: Equilibrium::Dubinin {
            full_mol_kg: 6.107_702_210_704_866,
            b: 0.195_660_566_728_356,
            saturation_mol_m3: 10.918_025_318_506_44,
        },
        uptake: Uptake::DrivingForce { per_s: 1.154_094_965_564_464_4e-3 },
        diffusivity_m2_s: 1.05e-5,
    }
}

pub fn on(duration_s: f64, inlet_mol_m3: Vec<f64>) -> Segment {
    Segment {
        duration_s,
        velocity_m_s: VELOCITY,
        inlet_mol_m3,
        kind: SegmentKind::On,
        components: None,
    }
}

pub fn of_kind(kind: SegmentKind, duration_s: f64) -> Segment {
    Segment { kind, ..on(duration_s, Vec::new()) }
}

pub fn march(components: &[Component], segments: &[Segment]) -> Effluent {
    run(&COLUMN, components, segments, &Settings::USUAL).unwrap()
}

/// A shared case by its name in `problems.json`: components, segments, inlets.
pub fn shared(name: &str) -> (Vec<Component>, Vec<Segment>, Vec<f64>) {
    let text = include_str!("../../../../data/checks/bed/problems.json");
    let all: Value = serde_json::from_str(text).unwrap();
    let problem = &all["problems"][name];
    let number = |value: &Value| value.as_f64().unwrap();
    let vapours = problem["comps"].as_array().unwrap();
    let component = |vapour: &Value| Component {
        name: vapour["name"].as_str().unwrap().to_owned(),
        equilibrium: Equilibrium::Dubinin {
            full_mol_kg: number(&vapour["qs"]),
            b: number(&vapour["b"]),
            saturation_mol_m3: number(&vapour["csat"]),
        },
        uptake: Uptake::DrivingForce { per_s: number(&vapour["k_per_s"]) },
        diffusivity_m2_s: 8e-6,
    };
    let inlets: Vec<f64> = vapours.iter().map(|v| number(&v["c0_mol_m3"])).collect();
    let end = number(&problem["t_end"]);
    let mut segments = Vec::new();
    let mut clock = 0.0;
    for row in problem["inlet"].as_array().unwrap_or(&vec![serde_json::json!([0.0, end, 1.0])]) {
        let (from, to) = (number(&row[0]), number(&row[1]));
        if from > clock {
            segments.push(of_kind(SegmentKind::CleanAir, from - clock));
        }
        segments.push(on(to - from, inlets.clone()));
        clock = to;
    }
    if clock < end {
        segments.push(of_kind(SegmentKind::CleanAir, end - clock));
    }
    (vapours.iter().map(component).collect(), segments, inlets)
}

/// A curve of `data/checks/bed` as time and fraction.
pub fn curve(text: &str) -> Vec<(f64, f64)> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let row = |record: csv::Result<csv::StringRecord>| {
        let record = record.unwrap();
        (record[0].parse().unwrap(), record[1].parse().unwrap())
    };
    reader.records().map(row).collect()
}

/// Straight line between the points of a curve.
pub fn at(curve: &[(f64, f64)], time: f64) -> Option<f64> {
    let next = curve.iter().position(|(t, _)| *t >= time)?;
    let ((t0, y0), (t1, y1)) = (curve[next.checked_sub(1)?], curve[next]);
    Some(y0 + (y1 - y0) * (time - t0) / (t1 - t0))
}
