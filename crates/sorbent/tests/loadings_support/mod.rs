//! Errors of the loadings against `data/checks/isotherms.csv` and `data/checks/mixture_isotherms.csv`.
//!
//! A carbon is described by two numbers, its micropore volume and its energy, taken from its own dry
//! isotherms by a straight line in ln(volume) against (potential/affinity)². No number is fitted
//! to a compound. Points below a ten-thousandth of saturation (near the Henry region) or above nine
//! tenths (wider pores) are left out of the lines.
#![allow(dead_code, reason = "each test file uses its part")]

use std::collections::{BTreeMap, BTreeSet};

use quantity::Celsius;
use sorbent::{
    Adsorbate, Air, Carbon, TYPICAL_WATER, Vapour, WaterIsotherm, adsorbed_mixture,
    adsorbed_volume, affinity, humid_volume, reference_energy_of_wood_1994,
};
use substance::Catalogue;

const GAS: f64 = 8.314_462_618;
/// Range of relative pressure in which a carbon's line is drawn and single vapours are judged.
const JUDGED: (f64, f64) = (1e-4, 0.9);
/// Micropore volume of a carbon of which no dry isotherm is at hand, cm³/g.
const USUAL_W0: f64 = 0.454;

/// A point of a single isotherm.
pub struct Point {
    pub carbon: String,
    pub family: String,
    pub cas: String,
    /// Adsorption potential over affinity, J/mol.
    pub potential: f64,
    /// Adsorbed liquid, cm³/g.
    pub volume: f64,
}

/// Two numbers of a carbon.
#[derive(Debug, Clone, Copy)]
pub struct Pores {
    pub w0: f64,
    pub energy: f64,
}

/// What was predicted and what was measured, both in the same unit.
#[derive(Debug, Clone, Copy)]
pub struct Pair {
    pub ours: f64,
    pub measured: f64,
}

/// Median and mean of |ours/measured - 1|, and how many.
#[derive(Debug, Clone, Copy)]
pub struct Off {
    pub median: f64,
    pub mean: f64,
    pub count: usize,
}

pub fn off(pairs: &[Pair]) -> Off {
    let mut all: Vec<f64> = pairs.iter().map(|p| (p.ours / p.measured - 1.0).abs()).collect();
    all.sort_by(f64::total_cmp);
    let count = all.len();
    let median = 0.5 * (all[(count - 1) / 2] + all[count / 2]);
    Off { median, mean: all.iter().sum::<f64>() / count as f64, count }
}

fn table(text: &str) -> Vec<BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    reader.deserialize().map(Result::unwrap).collect()
}

/// The vapour at a temperature, K; none above 50 degC, where the tables of properties end.
fn vapour(cas: &str, kelvin: f64) -> Option<Vapour> {
    let at = Celsius::from_celsius(kelvin - 273.15).unwrap();
    Vapour::of(Catalogue::builtin().find(cas).unwrap(), at).ok().map(|(vapour, _)| vapour)
}

/// Single isotherms other than of water, and how many points lie above 50 degC.
pub fn singles() -> (Vec<Point>, usize) {
    let mut hot = 0;
    let mut points = Vec::new();
    for row in table(include_str!("../../../../data/checks/isotherms.csv")) {
        if row["family"] == "water" {
            continue;
        }
        let number = |name: &str| row[name].parse::<f64>().unwrap();
        let kelvin = number("temperature_K");
        let Some(vapour) = vapour(&row["cas"], kelvin) else {
            hot += 1;
            continue;
        };
        let relative = number("pressure_kPa") / vapour.psat_kpa;
        if JUDGED.0 <= relative && relative <= JUDGED.1 {
            points.push(Point {
                carbon: row["carbon"].clone(),
                family: row["family"].clone(),
                cas: row["cas"].clone(),
                potential: -GAS * kelvin * relative.ln() / affinity(vapour.polarisation),
                volume: number("loading_mg_g") * 1e-3 / vapour.density,
            });
        }
    }
    (points, hot)
}

/// The line of a carbon through `points`; none where they do not fall with the potential.
pub fn line<'a>(points: impl Iterator<Item = &'a Point>) -> Option<Pores> {
    let (mut n, mut sx, mut sy, mut sxx, mut sxy) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for point in points {
        let (x, y) = (point.potential.powi(2), point.volume.ln());
        n += 1.0;
        sx += x;
        sy += y;
        sxx += x * x;
        sxy += x * y;
    }
    let slope = (n * sxy - sx * sy) / (n * sxx - sx * sx);
    let w0 = ((sy - slope * sx) / n).exp();
    (n >= 3.0 && slope < 0.0).then(|| Pores { w0, energy: (-1.0 / slope).sqrt() })
}

/// By family: points predicted from the other vapours on the same carbon alone.
pub fn predicted_by_family() -> BTreeMap<String, Vec<Pair>> {
    let (points, _) = singles();
    let mut found: BTreeMap<String, Vec<Pair>> = BTreeMap::new();
    let pairs: BTreeSet<(&str, &str)> =
        points.iter().map(|p| (p.carbon.as_str(), p.cas.as_str())).collect();
    for (carbon, cas) in pairs {
        let on = || points.iter().filter(|p| p.carbon == carbon);
        let Some(pores) = line(on().filter(|p| p.cas != cas)) else { continue };
        for point in on().filter(|p| p.cas == cas) {
            let ours = adsorbed_volume(pores.w0, pores.energy, point.potential);
            found
                .entry(point.family.clone())
                .or_default()
                .push(Pair { ours, measured: point.volume });
        }
    }
    found
}

/// How the energy of a vapour in a mixture is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Known {
    /// One line for each carbon, affinity by polarisation.
    Carbon,
    /// A line for each vapour on each carbon, where both vapours of a mixture have one.
    Vapour,
}

/// Loadings of two vapours together: of each vapour, and of both in sum.
pub fn mixtures(known: Known) -> (Vec<Pair>, Vec<Pair>) {
    let (points, _) = singles();
    let (mut each, mut sums) = (Vec::new(), Vec::new());
    for row in table(include_str!("../../../../data/checks/mixture_isotherms.csv")) {
        let pores = ["1", "2"].map(|i| {
            let cas = &row[&format!("cas_{i}")];
            let all = known == Known::Carbon;
            let of = |p: &&Point| p.carbon == row["carbon"] && (all || p.cas == *cas);
            line(points.iter().filter(of))
        });
        let ([Some(first), Some(second)], false) = (pores, row["component_2"] == "Water") else {
            continue;
        };
        let number = |name: &str| row[name].parse::<f64>().unwrap();
        let kelvin = number("temperature_K");
        let both = [("1", first), ("2", second)].map(|(i, pores)| {
            let vapour = vapour(&row[&format!("cas_{i}")], kelvin).unwrap();
            let adsorbate = Adsorbate {
                most: pores.w0 / vapour.molar_volume(),
                energy: affinity(vapour.polarisation) * pores.energy / (GAS * kelvin),
                psat_kpa: vapour.psat_kpa,
            };
            let pressure = number(&format!("partial_pressure_{i}_kPa"));
            let measured = number(&format!("loading_{i}_mg_g"));
            (adsorbate, pressure, vapour.molar_mass * 1e3, measured)
        });
        let loads = adsorbed_mixture(&both.map(|b| b.0), &both.map(|b| b.1)).unwrap();
        let pairs: Vec<Pair> = loads
            .iter()
            .zip(&both)
            .map(|(load, b)| Pair { ours: load * b.2, measured: b.3 })
            .collect();
        let sum = |of: fn(&Pair) -> f64| pairs.iter().map(of).sum();
        sums.push(Pair { ours: sum(|p| p.ours), measured: sum(|p| p.measured) });
        each.extend(pairs);
    }
    (each, sums)
}

/// One humid loading, mg/g: measured, by the product, by the plain treatment, and as if dry.
pub struct Humid {
    pub carbon: String,
    pub vapour: String,
    pub rh_percent: f64,
    pub ours: Pair,
    pub plain: Pair,
    pub dry: Pair,
}

/// Every humid row. Carbons of which no dry isotherm is at hand are taken as usual ones.
pub fn humid() -> Vec<Humid> {
    let (points, _) = singles();
    let rows = table(include_str!("../../../../data/checks/mixture_isotherms.csv"));
    let rows = rows.iter().filter(|row| row["component_2"] == "Water");
    rows.map(|row| {
        let number = |name: &str| row[name].parse::<f64>().unwrap();
        let (kelvin, humidity) = (number("temperature_K"), number("RH_pct") / 100.0);
        let usual = || Pores { w0: USUAL_W0, energy: reference_energy_of_wood_1994(USUAL_W0) };
        let pores = line(points.iter().filter(|p| p.carbon == row["carbon"])).unwrap_or_else(usual);
        let vapour = vapour(&row["cas_1"], kelvin).unwrap();
        let carbon = Carbon {
            micropore_volume: pores.w0,
            reference_energy: pores.energy,
            water: TYPICAL_WATER,
        };
        let air =
            Air { flow_l_per_min: 1.0, temperature_k: kelvin, pressure_kpa: 101.325, humidity };
        let energy = affinity(vapour.polarisation) * pores.energy;
        let pressure = number("partial_pressure_1_kPa");
        let (measured, mg) = (number("loading_1_mg_g"), 1e3 * vapour.density);
        let potential = (GAS * kelvin * (vapour.psat_kpa / pressure).ln()).max(0.0);
        let ours = humid_volume(&carbon, &air, &vapour, (energy, pressure)).unwrap();
        let plain = Plain { pores, energy, potential, humidity, kelvin };
        Humid {
            carbon: row["carbon"].clone(),
            vapour: row["component_1"].clone(),
            rh_percent: 100.0 * humidity,
            ours: Pair { ours: ours * mg, measured },
            plain: Pair { ours: plain.volume(vapour.molar_volume()) * mg, measured },
            dry: Pair { ours: adsorbed_volume(pores.w0, energy, potential) * mg, measured },
        }
    })
    .collect()
}

/// The plain treatment: displacement of the water of the last filled pore, by the largest root;
/// nothing is held where there is none. Source: `data/checks` notes after Manes 1984 (from memory).
struct Plain {
    pores: Pores,
    energy: f64,
    potential: f64,
    humidity: f64,
    kelvin: f64,
}

impl Plain {
    fn volume(&self, molar_volume: f64) -> f64 {
        let WaterIsotherm { most, steepness, midpoint } = TYPICAL_WATER;
        let w0 = self.pores.w0;
        let fills = |volume: f64| midpoint - (most / volume - 1.0).ln() / steepness;
        let work = |volume: f64| {
            let h = if volume < most { fills(volume) } else { f64::INFINITY };
            let counts = 0.0 < h && h < self.humidity;
            let water = molar_volume / 18.05 * GAS * self.kelvin;
            if counts { water * (self.humidity / h).ln() } else { 0.0 }
        };
        let balance =
            |volume: f64| self.energy * (w0 / volume).ln().sqrt() - self.potential - work(volume);
        let mut volume = adsorbed_volume(w0, self.energy, self.potential);
        if work(volume) == 0.0 {
            return volume;
        }
        while volume > 1e-4 * w0 && fills(volume) > 0.0 {
            volume *= 0.9999;
            if balance(volume) >= 0.0 {
                return volume;
            }
        }
        0.0
    }
}
