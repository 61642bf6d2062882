//! `docs/physics.md` and its two pictures are generated from the code and the data. Run with
//! `BREATHWORTHY_WRITE=1` to write them anew.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

mod chart;
mod loadings_support;
mod march_support;
mod times_support;

use std::fmt::Write;
use std::path::Path;

use chart::{Line, chart};
use loadings_support::{
    Both, Humid, Off, Pair, Together, humid, mixtures, offs, predicted_by_family,
};
use march_support::{COLUMN, FRACTIONS, TOLUENE_500, at, curve, march, on, shared, toluene};
use sorbent::TYPICAL_WATER;
use sorbent::march::{
    Breathing, Component, Effluent, Equilibrium, Moisture, RATE_BY_VELOCITY, Settings,
    USUAL_WATER_RATE_PER_S, Uptake, breathed, run_dispersed,
};
use times_support::{bounded, effective_mass_g, logarithms, measured, median};

const TEXT: &str = include_str!("physics_page/text.md");

/// Water in saturated air at 295 K, mol/m³: 2.62 kPa (value from memory) over R T.
const SATURATED: f64 = 1.068;

fn percent(value: f64) -> String {
    format!("{:.0} %", 100.0 * value)
}

/// A small part, to two digits.
fn small(value: f64) -> String {
    format!("{value:.1e}")
}

fn row(page: &mut String, cells: &[String]) {
    writeln!(page, "| {} |", cells.join(" | ")).unwrap();
}

fn head(page: &mut String, cells: &[&str]) {
    row(page, &cells.iter().map(|cell| (*cell).to_owned()).collect::<Vec<_>>());
    row(page, &vec!["---".to_owned(); cells.len()]);
}

/// Worst relative error of the three times of a case against those of its curve.
fn worst(effluent: &Effluent, inlets: &[f64], curves: &[Vec<(f64, f64)>]) -> f64 {
    let mut worst: f64 = 0.0;
    for (index, curve) in curves.iter().enumerate() {
        for fraction in FRACTIONS {
            let next = curve.iter().position(|(_, y)| *y >= fraction).unwrap();
            let ((t0, y0), (t1, y1)) = (curve[next - 1], curve[next]);
            let expected = t0 + (t1 - t0) * (fraction - y0) / (y1 - y0);
            let ours = effluent.arrival(index, fraction * inlets[index]).unwrap().clock_s;
            worst = worst.max((ours / expected - 1.0).abs());
        }
    }
    worst
}

/// Two columns after the time of a table.
fn columns(text: &str, count: usize) -> Vec<Vec<(f64, f64)>> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let mut curves = vec![Vec::new(); count];
    for record in reader.records() {
        let record = record.unwrap();
        for (index, curve) in curves.iter_mut().enumerate() {
            curve.push((record[0].parse().unwrap(), record[index + 1].parse().unwrap()));
        }
    }
    curves
}

fn beds() -> String {
    let mut page = String::new();
    head(&mut page, &["bed", "what it is", "worst error of the 1 %, 10 % and 50 % times"]);
    let cases = [
        ("P1", "toluene 500 ppm, steady", include_str!("../../../data/checks/bed/P1.csv"), 1),
        ("P2", "toluene 10 ppm, steady", include_str!("../../../data/checks/bed/P2.csv"), 1),
        (
            "P3",
            "2 h on, 30 min clean air, five times",
            include_str!("../../../data/checks/bed/P3.csv"),
            1,
        ),
        (
            "P6",
            "acetone and toluene, 250 ppm each",
            include_str!("../../../data/checks/bed/P6.csv"),
            2,
        ),
    ];
    for (name, what, text, count) in cases {
        let (components, segments, inlets) = shared(name);
        let effluent = march(&components, &segments);
        let error = small(worst(&effluent, &inlets, &columns(text, count)));
        row(&mut page, &[name.to_owned(), what.to_owned(), error]);
    }
    let (components, segments, inlets) = shared("P1d");
    let effluent =
        run_dispersed(&COLUMN, &components, &segments, 1.5e-4, &Settings::USUAL).unwrap();
    let text = include_str!("../../../data/checks/bed/P1d.csv");
    let error = small(worst(&effluent, &inlets, &columns(text, 1)));
    row(&mut page, &["P1d".to_owned(), "P1 with axial dispersion".to_owned(), error]);
    let linear = Component {
        equilibrium: Equilibrium::Linear { henry_m3_kg: 159.403_554_676_509 },
        ..toluene()
    };
    let effluent = march(&[linear], &[on(57_600.0, vec![TOLUENE_500])]);
    let exact = curve(include_str!("../../../data/checks/bed/A1.csv"));
    let levels = effluent.clock_s().iter().zip(effluent.outlet_mol_m3(0));
    let off = levels
        .filter_map(|(t, c)| at(&exact, *t).map(|y| (c / TOLUENE_500 - y).abs()))
        .fold(0.0, f64::max);
    let what = "straight-line isotherm, closed form; greatest distance of the curve".to_owned();
    row(&mut page, &["A1".to_owned(), what, small(off)]);
    page
}

/// Errors of the product, then of the plain treatment.
fn errors(what: &str, (ours, plain): (Off, Off)) -> [String; 6] {
    let [median, mean, plain_median, plain_mean] =
        [ours.median, ours.mean, plain.median, plain.mean].map(percent);
    [what.to_owned(), ours.count.to_string(), median, mean, plain_median, plain_mean]
}

fn loadings() -> String {
    let mut page = String::new();
    head(&mut page, &["loadings", "points", "median", "mean", "plain: median", "mean"]);
    for (family, both) in predicted_by_family().0 {
        let what = format!("one vapour, {family}, from other vapours on the same carbon");
        row(&mut page, &errors(&what, offs(both.iter())));
    }
    let rows = mixtures();
    let each = |of: fn(&&Together) -> bool| -> Vec<Both> {
        rows.iter().filter(of).flat_map(|row| row.each).collect()
    };
    row(&mut page, &errors("two vapours, each", offs(each(|_| true).iter())));
    let held = each(|row| !row.methanol);
    row(&mut page, &errors("two vapours, each, neither methanol", offs(held.iter())));
    let known = each(|row| row.known == 2);
    row(&mut page, &errors("two vapours, each, isotherms of both at hand", offs(known.iter())));
    let one = each(|row| row.known == 1);
    row(&mut page, &errors("two vapours, each, isotherm of one at hand", offs(one.iter())));
    let none = each(|row| row.known == 0);
    row(&mut page, &errors("two vapours, each, on a carbon taken as usual", offs(none.iter())));
    row(&mut page, &errors("two vapours, their sum", offs(rows.iter().map(|row| &row.sum))));
    let rows = humid();
    let against = |plain: fn(&Humid) -> Pair| -> Vec<Both> {
        rows.iter().map(|row| Both { ours: row.ours, plain: plain(row) }).collect()
    };
    row(&mut page, &errors("humid air", offs(against(|row| row.plain).iter())));
    row(&mut page, &errors("humid air, water not counted", offs(against(|row| row.dry).iter())));
    page
}

fn times() -> String {
    let mass = effective_mass_g();
    let typical = median(logarithms(mass).iter().map(|l| l.abs()).collect());
    let rows = measured();
    let ratios: Vec<f64> = rows.iter().map(|r| bounded(r, mass).lower_min / r.minutes).collect();
    let under = ratios.iter().filter(|ratio| **ratio <= 1.0).count();
    format!(
        "With one mass for all, {mass:.1} g, the best estimate is off by {} in the median, and {under} of {} \
measured times are longer than the lower bound, whose median is {} of the measured time.",
        percent(typical),
        rows.len(),
        percent(median(ratios)),
    )
}

fn breathing() -> String {
    let mut page = String::new();
    head(&mut page, &["outlet reaches", "breathed over steady", "if the rate did not follow"]);
    for fraction in FRACTIONS {
        let ratio = |power: f64| {
            let breathing = Breathing { per_min: 20.0, rate_by_velocity: power };
            let air = on(28_800.0, vec![TOLUENE_500]);
            let level = fraction * TOLUENE_500;
            breathed(&COLUMN, &toluene(), &air, &breathing, (level, &Settings::USUAL))
                .unwrap()
                .unwrap()
                .ratio
        };
        let cells = [ratio(RATE_BY_VELOCITY), ratio(0.0)].map(|r| format!("{r:.2}"));
        let [follows, constant] = cells;
        row(&mut page, &[percent(fraction), follows, constant]);
    }
    page
}

/// Toluene at 500 ppm in a bed stored at the humidity of the air.
fn humid_bed(humidity: f64) -> Effluent {
    let water = Component {
        name: "water".to_owned(),
        equilibrium: Equilibrium::Water(Moisture {
            isotherm: TYPICAL_WATER,
            micropore_volume: 0.45,
            saturation_mol_m3: SATURATED,
            stored_humidity: humidity,
        }),
        uptake: Uptake::DrivingForce { per_s: USUAL_WATER_RATE_PER_S },
        diffusivity_m2_s: 2.5e-5,
    };
    march(&[toluene(), water], &[on(28_800.0, vec![TOLUENE_500, humidity * SATURATED])])
}

fn breakthrough_picture() -> String {
    let line = |name: &str, humidity: f64| {
        let effluent = humid_bed(humidity);
        let levels = effluent.clock_s().iter().zip(effluent.outlet_mol_m3(0));
        let points = levels.map(|(t, c)| (t / 3600.0, 100.0 * c / TOLUENE_500)).collect();
        Line { name: name.to_owned(), points }
    };
    let lines = [line("dry", 0.0), line("50 % humidity", 0.5), line("85 % humidity", 0.85)];
    chart(
        "Toluene 500 ppm through the reference bed",
        ("hours", "outlet, % of inlet"),
        ((0.0, 8.0), (0.0, 100.0)),
        &lines,
    )
}

fn humidity_picture() -> String {
    let dry = humid_bed(0.0).arrival(0, 0.1 * TOLUENE_500).unwrap().clock_s;
    let point = |h: i32| {
        let at = humid_bed(f64::from(h) / 100.0).arrival(0, 0.1 * TOLUENE_500).unwrap();
        (f64::from(h), 100.0 * at.clock_s / dry)
    };
    let points = (0..=100).step_by(5).map(point).collect();
    let lines = [Line { name: "time to 10 %".to_owned(), points }];
    chart(
        "What humidity leaves of the life of that bed",
        ("relative humidity of air and storage, %", "% of the dry time"),
        ((0.0, 100.0), (0.0, 100.0)),
        &lines,
    )
}

fn page() -> String {
    let mut page = TEXT.to_owned();
    for (mark, part) in [
        ("{beds}", beds()),
        ("{loadings}", loadings()),
        ("{times}", times()),
        ("{breathing}", breathing()),
    ] {
        assert!(page.contains(mark), "the text has no place for {mark}");
        page = page.replace(mark, part.trim_end());
    }
    page
}

#[test]
fn the_physics_page_is_current() {
    let docs = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs");
    let parts = [
        ("physics.md", page()),
        ("pictures/breakthrough.svg", breakthrough_picture()),
        ("pictures/humidity.svg", humidity_picture()),
    ];
    for (name, made) in parts {
        let path = docs.join(name);
        if std::env::var_os("BREATHWORTHY_WRITE").is_some() {
            std::fs::write(&path, &made).unwrap();
        }
        let kept = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(
            kept == made,
            "docs/{name} is old: run BREATHWORTHY_WRITE=1 cargo test --test physics_page"
        );
    }
}
