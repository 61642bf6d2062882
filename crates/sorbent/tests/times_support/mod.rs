//! The published and measured times, and the closed form for each of their rows.
#![allow(dead_code, reason = "each test file uses its part")]

use quantity::{
    Celsius, Centimetres, Cm3PerGram, Grams, GramsPerCm3, Kilopascal, LitrePerMin, RelHumidity,
    SquareCm,
};
use sorbent::{
    Air, Bed, BedParts, BoundedLife, Method, Spread, SteadyCase, Stream, Vapour, bounded_life,
};
use substance::Catalogue;

/// One row of a table of times.
pub struct Row {
    pub compound: String,
    pub cas: String,
    pub family: String,
    pub ppm: f64,
    pub fraction: f64,
    pub minutes: f64,
}

pub fn rows(table: &str) -> Vec<Row> {
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let headers = reader.headers().unwrap().clone();
    let column = |name: &str| headers.iter().position(|header| header == name).unwrap();
    let [compound, cas, family, ppm, fraction, minutes] =
        ["compound", "cas", "family", "challenge_ppm", "breakthrough_fraction", "time_min"]
            .map(column);
    let row = |record: csv::Result<csv::StringRecord>| {
        let record = record.unwrap();
        Row {
            compound: record[compound].to_owned(),
            cas: record[cas].to_owned(),
            family: record[family].to_owned(),
            ppm: record[ppm].parse().unwrap(),
            fraction: record[fraction].parse().unwrap(),
            minutes: record[minutes].parse().unwrap(),
        }
    };
    reader.records().map(row).collect()
}

/// One set of bed constants for every row. The table cannot tell velocity from bulk density; these
/// were fitted to its aromatic rows (W0 0.457, 20 cm/s at 0.42 g/cm³) and are no real dimensions.
pub fn table_bed() -> Bed {
    bed(26.0, 22.21, 0.42, 0.457)
}

/// Dimensions usual for a respirator cartridge, with `mass_g` of carbon in each.
pub fn usual_bed(mass_g: f64) -> Bed {
    bed(mass_g, 38.5, 0.44, 0.454)
}

fn bed(mass_g: f64, area_cm2: f64, density: f64, w0: f64) -> Bed {
    Bed::new(&BedParts {
        elements: 2,
        sorbent_mass: Grams::from_g(mass_g).unwrap(),
        bed_area: SquareCm::from_cm2(area_cm2).unwrap(),
        bulk_density: GramsPerCm3::from_g_per_cm3(density).unwrap(),
        granule: Centimetres::from_cm(0.11).unwrap(),
        micropore_volume: Cm3PerGram::from_cm3_per_g(w0).unwrap(),
        reference_energy: None,
    })
}

pub fn case(row: &Row, bed: Bed, method: Method) -> SteadyCase {
    let temperature = Celsius::from_celsius(22.0).unwrap();
    let substance = Catalogue::builtin().find(&row.cas).unwrap();
    let (vapour, _) = Vapour::of(substance, temperature).unwrap();
    SteadyCase {
        bed,
        air: Air::new(
            LitrePerMin::from_l_per_min(53.3).unwrap(),
            temperature,
            Kilopascal::from_kpa(101.325).unwrap(),
            RelHumidity::from_percent(50.0).unwrap(),
        ),
        streams: vec![Stream { vapour, inlet_ppm: row.ppm, end_ppm: row.ppm * row.fraction }],
        method,
        rate_factor: 1.0,
        fastest_velocity: None,
    }
}

pub fn measured() -> Vec<Row> {
    let table = include_str!("../../../../data/checks/measured_breakthrough.csv");
    rows(table).into_iter().filter(|row| row.compound != "Methanol").collect()
}

pub fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    let middle = values.len() / 2;
    if values.len() % 2 == 1 { values[middle] } else { 0.5 * (values[middle - 1] + values[middle]) }
}

pub fn bounded(row: &Row, mass_g: f64) -> BoundedLife {
    let case = case(row, usual_bed(mass_g), Method::ReactionKinetic);
    bounded_life(&case, &Spread::USUAL).unwrap().remove(0)
}

/// Logarithm of best estimate over measured time, for each row.
pub fn logarithms(mass_g: f64) -> Vec<f64> {
    let of = |row: &Row| (bounded(row, mass_g).best.time_min / row.minutes).ln();
    measured().iter().map(of).collect()
}

/// The one mass per cartridge, for all compounds, that brings the mean logarithm to zero: the
/// makers' masses were 25 to 40 g and are not told apart.
pub fn effective_mass_g() -> f64 {
    let (mut low, mut high) = (20.0, 60.0);
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        let mean: f64 = logarithms(middle).iter().sum();
        if mean < 0.0 { low = middle } else { high = middle }
    }
    low
}
