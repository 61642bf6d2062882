//! Errors of the loadings against `data/checks/isotherms.csv` and `data/checks/mixture_isotherms.csv`.
//!
//! A carbon is described by its own dry isotherms. The plain treatment takes two numbers of it, its
//! micropore volume and its energy, by a straight line in ln(volume) against (potential/affinity)². The
//! product reads the same points as a laboratory report ([`sorbent::calibrate`]), one error for all of
//! them, and leaves out those that it refuses as contradicting the rest. Nothing is tuned to a compound.
//! Points above nine tenths of saturation (wider pores) are left out of both, and so is what fills less than a
//! thousandth of what the carbon holds (near the Henry region): the closed form refuses that, and figures
//! from which points were read do not resolve it.
//!
//! Two vapours share the pores by volume in the product, by number in the plain treatment.
#![allow(dead_code, reason = "each test file uses its part")]

use std::collections::{BTreeMap, BTreeSet};

use quantity::Celsius;
use sorbent::{
    Adsorbate, Air, CalibrationError, Carbon, Measured, Own, Sharing, Start, TYPICAL_WATER, Vapour,
    WaterIsotherm, adsorbed_mixture, adsorbed_volume, calibrate, humid_volume,
    reference_energy_of_wood_1994,
};
use substance::Catalogue;

const GAS: f64 = 8.314_462_618;
/// Greatest relative pressure at which a carbon's line is drawn and single vapours are judged.
const JUDGED: f64 = 0.9;
/// Least part of the greatest volume on a carbon that is judged.
const LEAST_FILLING: f64 = 1e-3;
/// Error of a point: of reading it from a figure, and of the equation.
const POINT_ERROR: f64 = 0.10;
/// Micropore volume of a carbon of which no dry isotherm is at hand, cm³/g.
const USUAL_W0: f64 = 0.454;

/// Such a carbon.
fn usual() -> (Described, Pores) {
    let pores = Pores { w0: USUAL_W0, energy: reference_energy_of_wood_1994(USUAL_W0) };
    (Described { pores, own: Vec::new(), left_out: 0 }, pores)
}

/// A point of a single isotherm.
pub struct Point {
    pub carbon: String,
    pub family: String,
    pub cas: String,
    pub vapour: Vapour,
    pub kelvin: f64,
    pub pressure_kpa: f64,
    /// Adsorption potential over affinity, J/mol.
    pub potential: f64,
    /// Adsorbed liquid, cm³/g.
    pub volume: f64,
}

/// A carbon as the product reads it.
#[derive(Debug, Clone)]
pub struct Described {
    pub pores: Pores,
    own: Vec<Own>,
    /// Points that contradicted the rest.
    pub left_out: usize,
}

impl Described {
    /// A vapour as it holds it.
    fn held(&self, vapour: Vapour) -> Vapour {
        match self.own.iter().find(|own| own.vapour == vapour.name) {
            Some(own) => vapour.held(own.affinity, own.packing),
            None => vapour,
        }
    }
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

/// What the product and the plain treatment make of the same measured value.
#[derive(Debug, Clone, Copy)]
pub struct Both {
    pub ours: Pair,
    pub plain: Pair,
}

/// Errors of the product and of the plain treatment.
pub fn offs<'a>(all: impl Iterator<Item = &'a Both> + Clone) -> (Off, Off) {
    let of = |pick: fn(&Both) -> Pair| off(&all.clone().map(pick).collect::<Vec<_>>());
    (of(|both| both.ours), of(|both| both.plain))
}

/// Median and mean of |ours/measured - 1|, and how many.
#[derive(Debug, Clone, Copy)]
pub struct Off {
    pub median: f64,
    pub mean: f64,
    pub count: usize,
}

pub fn off(pairs: &[Pair]) -> Off {
    let all: Vec<f64> = pairs.iter().map(|p| (p.ours / p.measured - 1.0).abs()).collect();
    let count = all.len();
    Off { mean: all.iter().sum::<f64>() / count as f64, median: median(all), count }
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
        let pressure_kpa = number("pressure_kPa");
        let relative = pressure_kpa / vapour.psat_kpa;
        if relative <= JUDGED {
            points.push(Point {
                carbon: row["carbon"].clone(),
                family: row["family"].clone(),
                cas: row["cas"].clone(),
                potential: -GAS * kelvin * relative.ln() / vapour.affinity,
                volume: number("loading_mg_g") * 1e-3 / vapour.density,
                vapour,
                kelvin,
                pressure_kpa,
            });
        }
    }
    let mut greatest: BTreeMap<String, f64> = BTreeMap::new();
    for point in &points {
        let most = greatest.entry(point.carbon.clone()).or_default();
        *most = most.max(point.volume);
    }
    points.retain(|point| point.volume >= LEAST_FILLING * greatest[&point.carbon]);
    (points, hot)
}

/// The carbon as the product reads it from `points`, beside the two numbers of the plain treatment; none
/// where a line through them does not fall.
pub fn described<'a>(
    points: impl Iterator<Item = &'a Point> + Clone,
) -> Option<(Described, Pores)> {
    let plain = line(points.clone())?;
    let start = middle_line(points.clone())?;
    let mut report: Vec<Measured> = points.map(measured).collect();
    let mut left_out = 0;
    loop {
        match calibrate(&report, start) {
            Ok(found) => {
                let pores = Pores { w0: found.micropore_volume, energy: found.reference_energy };
                return Some((Described { pores, own: found.own, left_out }, plain));
            }
            Err(CalibrationError::Contradicts { place, .. }) => {
                report.remove(place - 1);
                left_out += 1;
            }
            Err(refused) => panic!("{refused}"),
        }
    }
}

/// Where the product starts from: the line of the median slope between two points, which stray points
/// do not turn (Theil 1950 and Sen 1968, from memory).
fn middle_line<'a>(points: impl Iterator<Item = &'a Point> + Clone) -> Option<Start> {
    let logs: Vec<(f64, f64)> = points.map(|p| (p.potential.powi(2), p.volume.ln())).collect();
    let pairs =
        logs.iter().enumerate().flat_map(|(i, a)| logs[i + 1..].iter().map(move |b| (a, b)));
    let rises = pairs.filter(|(a, b)| a.0 != b.0).map(|(a, b)| (b.1 - a.1) / (b.0 - a.0));
    let slope = median(rises.collect());
    let w0 = median(logs.iter().map(|(x, y)| y - slope * x).collect()).exp();
    let start = Start { micropore_volume: w0, reference_energy: (-1.0 / slope).sqrt() };
    (slope < 0.0).then_some(start)
}

pub fn median(mut all: Vec<f64>) -> f64 {
    all.sort_by(f64::total_cmp);
    let count = all.len();
    0.5 * (all[(count - 1) / 2] + all[count / 2])
}

fn measured(point: &Point) -> Measured {
    Measured::Loading {
        vapour: Box::new(point.vapour.clone()),
        temperature_k: point.kelvin,
        pressure_kpa: point.pressure_kpa,
        loading: point.volume * point.vapour.density,
        deviation: Some(POINT_ERROR),
    }
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

/// By family: points predicted from the other vapours on the same carbon alone, and how many points of
/// those others were left out.
pub fn predicted_by_family() -> (BTreeMap<String, Vec<Both>>, usize) {
    let (points, _) = singles();
    let mut found: BTreeMap<String, Vec<Both>> = BTreeMap::new();
    let mut left_out = 0;
    let pairs: BTreeSet<(&str, &str)> =
        points.iter().map(|p| (p.carbon.as_str(), p.cas.as_str())).collect();
    for (carbon, cas) in pairs {
        let on = || points.iter().filter(|p| p.carbon == carbon);
        let Some((ours, plain)) = described(on().filter(|p| p.cas != cas)) else { continue };
        left_out += ours.left_out;
        for point in on().filter(|p| p.cas == cas) {
            let of = |pores: Pores| Pair {
                ours: adsorbed_volume(pores.w0, pores.energy, point.potential),
                measured: point.volume,
            };
            let both = Both { ours: of(ours.pores), plain: of(plain) };
            found.entry(point.family.clone()).or_default().push(both);
        }
    }
    (found, left_out)
}

/// Two vapours measured together.
pub struct Together {
    pub carbon: String,
    /// Each vapour.
    pub each: [Both; 2],
    /// Both in sum.
    pub sum: Both,
    /// Of how many of them an isotherm on that carbon is at hand.
    pub known: usize,
    /// Whether one of them is methanol, whose life the closed form refuses.
    pub methanol: bool,
}

/// Every loading of two vapours together. Carbons of which no isotherm is at hand are taken as usual ones.
pub fn mixtures() -> Vec<Together> {
    mixtures_shared(|vapours, pressures| {
        adsorbed_mixture(vapours, pressures, Sharing::ByVolume).unwrap()
    })
}

/// Each vapour of every mixture, with amounts counted in the full load to a power: 0 counts molecules, 1 pores.
pub fn shared_by(power: f64) -> Vec<Pair> {
    let rows = mixtures_shared(|vapours, pressures| {
        let units = vapours.map(|vapour| vapour.most.powf(power));
        let counted = [0, 1].map(|i| Adsorbate {
            most: vapours[i].most / units[i],
            psat_kpa: vapours[i].psat_kpa / units[i],
            ..vapours[i]
        });
        let pressures = [0, 1].map(|i| pressures[i] / units[i]);
        let loads = adsorbed_mixture(&counted, &pressures, Sharing::ByNumber).unwrap();
        loads.iter().zip(units).map(|(load, unit)| load * unit).collect()
    });
    rows.iter().flat_map(|row| row.each).map(|both| both.ours).collect()
}

/// The mixtures with the loadings, mol/g, that `ours` makes of vapours and pressures.
fn mixtures_shared(ours: impl Fn(&[Adsorbate; 2], &[f64; 2]) -> Vec<f64>) -> Vec<Together> {
    let (points, _) = singles();
    let mut carbons: BTreeMap<String, (Described, Pores)> = BTreeMap::new();
    let rows = table(include_str!("../../../../data/checks/mixture_isotherms.csv"));
    let rows = rows.iter().filter(|row| row["component_2"] != "Water");
    rows.map(|row| {
        let on = || points.iter().filter(|p| p.carbon == row["carbon"]);
        let carbon = carbons.entry(row["carbon"].clone());
        let (own, plain) = carbon.or_insert_with(|| described(on()).unwrap_or_else(usual));
        let number = |name: &str| row[name].parse::<f64>().unwrap();
        let kelvin = number("temperature_K");
        let vapours = ["cas_1", "cas_2"].map(|cas| vapour(&row[cas], kelvin).unwrap());
        let pressures = ["partial_pressure_1_kPa", "partial_pressure_2_kPa"].map(number);
        let found = ["loading_1_mg_g", "loading_2_mg_g"].map(number);
        let adsorbates = |pores: Pores, vapours: &[Vapour; 2]| {
            vapours.each_ref().map(|vapour| Adsorbate {
                most: pores.w0 / vapour.molar_volume(),
                energy: vapour.affinity * pores.energy / (GAS * kelvin),
                psat_kpa: vapour.psat_kpa,
            })
        };
        let pairs = |loads: Vec<f64>| {
            let mg = |i: usize| loads[i] * vapours[i].molar_mass * 1e3;
            [0, 1].map(|i| Pair { ours: mg(i), measured: found[i] })
        };
        let plain = adsorbates(*plain, &vapours);
        let plain = pairs(adsorbed_mixture(&plain, &pressures, Sharing::ByNumber).unwrap());
        let held = vapours.each_ref().map(|vapour| own.held(vapour.clone()));
        let ours = pairs(ours(&adsorbates(own.pores, &held), &pressures));
        let sum = |of: [Pair; 2]| Pair {
            ours: of[0].ours + of[1].ours,
            measured: of[0].measured + of[1].measured,
        };
        let has = |cas: &&&str| on().any(|p| p.cas == row[**cas]);
        let known = ["cas_1", "cas_2"].iter().filter(has).count();
        let each = [0, 1].map(|i| Both { ours: ours[i], plain: plain[i] });
        let methanol = ["component_1", "component_2"].iter().any(|name| row[*name] == "Methanol");
        let sum = Both { ours: sum(ours), plain: sum(plain) };
        Together { carbon: row["carbon"].clone(), each, sum, known, methanol }
    })
    .collect()
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

/// The water isotherm of each carbon that was measured near room temperature beyond 80 % humidity, fitted
/// by least squares.
pub fn waters() -> BTreeMap<String, WaterIsotherm> {
    let mut found: BTreeMap<String, Vec<(f64, f64)>> = BTreeMap::new();
    for row in table(include_str!("../../../../data/checks/isotherms.csv")) {
        let number = |name: &str| row[name].parse::<f64>().unwrap();
        if row["family"] == "water" && (290.0..300.0).contains(&number("temperature_K")) {
            let point = (number("relative_pressure"), number("loading_mg_g") * 1e-3);
            found.entry(row["carbon"].clone()).or_default().push(point);
        }
    }
    found.retain(|_, points| points.iter().any(|(h, _)| *h > 0.8));
    found.into_iter().map(|(carbon, points)| (carbon, water(&points))).collect()
}

/// The sigmoid nearest to `points`: the greatest loading follows from the other two numbers, which are
/// searched by steps that halve where none leads down.
fn water(points: &[(f64, f64)]) -> WaterIsotherm {
    let at = |steepness: f64, midpoint: f64| {
        let part = |h: f64| 1.0 / (1.0 + (steepness * (midpoint - h)).exp());
        let most = points.iter().map(|(h, q)| part(*h) * q).sum::<f64>()
            / points.iter().map(|(h, _)| part(*h).powi(2)).sum::<f64>();
        let misfit = points.iter().map(|(h, q)| (most * part(*h) - q).powi(2)).sum::<f64>();
        (misfit, WaterIsotherm { most, steepness, midpoint })
    };
    let mut best = at(8.0, 0.5);
    let mut step = 0.2;
    while step > 1e-6 {
        let WaterIsotherm { steepness: k, midpoint: m, .. } = best.1;
        let around = [(k + 20.0 * step, m), (k - 20.0 * step, m), (k, m + step), (k, m - step)];
        let next = around.map(|(k, m)| at(k, m)).into_iter().min_by(|a, b| a.0.total_cmp(&b.0));
        match next.filter(|next| next.0 < best.0) {
            Some(next) => best = next,
            None => step *= 0.5,
        }
    }
    best.1
}

/// Every humid row. Carbons of which no dry isotherm is at hand are taken as usual ones, and so is the
/// water on those of which none of water is.
pub fn humid() -> Vec<Humid> {
    let (points, _) = singles();
    let waters = waters();
    let rows = table(include_str!("../../../../data/checks/mixture_isotherms.csv"));
    let rows = rows.iter().filter(|row| row["component_2"] == "Water");
    rows.map(|row| {
        let number = |name: &str| row[name].parse::<f64>().unwrap();
        let (kelvin, humidity) = (number("temperature_K"), number("RH_pct") / 100.0);
        let on = points.iter().filter(|p| p.carbon == row["carbon"]);
        let (ours, pores) = described(on).unwrap_or_else(usual);
        let own = ours.pores;
        let vapour = vapour(&row["cas_1"], kelvin).unwrap();
        let water = waters.get(&row["carbon"]).copied().unwrap_or(TYPICAL_WATER);
        let carbon = Carbon { micropore_volume: own.w0, reference_energy: own.energy, water };
        let air =
            Air { flow_l_per_min: 1.0, temperature_k: kelvin, pressure_kpa: 101.325, humidity };
        let pressure = number("partial_pressure_1_kPa");
        let (measured, mg) = (number("loading_1_mg_g"), 1e3 * vapour.density);
        let held = ours.held(vapour.clone());
        let ours = (held.affinity * own.energy, pressure);
        let ours = humid_volume(&carbon, &air, &held, ours).unwrap() * 1e3 * held.density;
        let energy = vapour.affinity * pores.energy;
        let potential = (GAS * kelvin * (vapour.psat_kpa / pressure).ln()).max(0.0);
        let plain = Plain { pores, water, energy, potential, humidity, kelvin };
        Humid {
            carbon: row["carbon"].clone(),
            vapour: row["component_1"].clone(),
            rh_percent: 100.0 * humidity,
            ours: Pair { ours, measured },
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
    water: WaterIsotherm,
    energy: f64,
    potential: f64,
    humidity: f64,
    kelvin: f64,
}

/// The plain treatment of toluene at 200 ppm, g/g: the case of which the worked numbers are known.
pub fn plain_toluene(humidity: f64) -> f64 {
    let (energy, kelvin) = (22_952.0, 295.15);
    let potential = GAS * kelvin * (3.25_f64 / 0.020_265).ln();
    let pores = Pores { w0: 0.454, energy };
    let water = WaterIsotherm { most: 0.375, steepness: 9.67, midpoint: 0.558 };
    0.867 * Plain { pores, water, energy, potential, humidity, kelvin }.volume(92.14 / 0.867)
}

impl Plain {
    fn volume(&self, molar_volume: f64) -> f64 {
        let WaterIsotherm { most, steepness, midpoint } = self.water;
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
