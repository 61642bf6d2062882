//! How sure a life is: stated uncertainties of the inputs and the error of the model itself.

use crate::LifeError;
use crate::life::{SteadyCase, VapourLife, steady_life};

/// Standard normal quantile of one-sided 95 %.
const ONE_SIDED_95: f64 = 1.644_853_626_951_472;

/// Standard deviation of ln(measured / best estimate) that the model itself leaves, with all its
/// inputs right.
///
/// Found against `data/checks/measured_breakthrough.csv` with one effective mass of sorbent for
/// all compounds (`tests/published_times.rs`): 0.15 there; widened because those rows hold aromatics
/// and alcohols only.
pub const MODEL_ERROR: f64 = 0.20;

/// Further standard deviation above 65 % humidity: what the humid loadings of
/// `data/checks/mixture_isotherms.csv` leave (`tests/loadings.rs`).
const HUMID_ERROR: f64 = 0.15;

/// Further standard deviation for each of several vapours together.
const MIXTURE_ERROR: f64 = 0.15;

/// Standard deviations of the inputs, each relative but where the unit says otherwise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Of each concentration.
    pub concentration: f64,
    /// Of the flow.
    pub flow: f64,
    /// Of the mass of sorbent.
    pub sorbent_mass: f64,
    /// Of the micropore volume.
    pub micropore_volume: f64,
    /// Of the reference energy.
    pub reference_energy: f64,
    /// Of the rate coefficient.
    pub rate: f64,
    /// Of the temperature, K.
    pub temperature_k: f64,
    /// Of the relative humidity, as a part of saturation.
    pub humidity: f64,
}

impl Spread {
    /// What is assumed where nothing is stated: common practice, no source.
    pub const USUAL: Self = Self {
        concentration: 0.05,
        flow: 0.05,
        sorbent_mass: 0.02,
        micropore_volume: 0.05,
        reference_energy: 0.05,
        rate: 0.30,
        temperature_k: 1.0,
        humidity: 0.05,
    };
    /// For a set of which only its certification is known.
    pub const CERTIFIED_ONLY: Self = Self { reference_energy: 0.10, rate: 0.40, ..Self::USUAL };
}

/// How much one input shortens the life at its own one-sided 95 % point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contribution {
    /// The input.
    pub of: &'static str,
    /// Its part of the logarithm between best and lower; infinite where it alone ends the life.
    pub logarithm: f64,
}

/// Best estimate and lower bound of one vapour.
#[derive(Debug, Clone, PartialEq)]
pub struct BoundedLife {
    /// The best estimate.
    pub best: VapourLife,
    /// Minutes that are reached or passed with 95 % confidence.
    pub lower_min: f64,
    /// What the bound rests on, greatest first.
    pub contributions: Vec<Contribution>,
}

/// Best estimate and one-sided 95 % lower bound for each vapour of `case`.
///
/// Each input is moved to its own 95 % point in the direction that shortens the life; the
/// logarithms of the shortenings add as squares with that of the model error. Where one input
/// alone ends the life at once, the bound is zero.
pub fn bounded_life(case: &SteadyCase, spread: &Spread) -> Result<Vec<BoundedLife>, LifeError> {
    let best = steady_life(case)?;
    let inputs = inputs(spread);
    let mut parts: Vec<Vec<Contribution>> = vec![Vec::new(); best.len()];
    for input in &inputs {
        let down = shifted(case, input, -1.0);
        let up = shifted(case, input, 1.0);
        for ((index, life), parts) in best.iter().enumerate().zip(&mut parts) {
            let at = |times: &Option<Vec<f64>>| {
                times.as_ref().and_then(|t| t.get(index)).copied().unwrap_or(0.0)
            };
            let from = reached(life);
            let logarithm = shortening(from, at(&down).min(at(&up)));
            parts.push(Contribution { of: input.of, logarithm });
        }
    }
    let several = best.len() > 1;
    let bounded = best.into_iter().zip(parts).zip(&case.streams);
    Ok(bounded
        .map(|((life, mut contributions), stream)| {
            contributions.extend(model_parts(case, several));
            contributions.extend(property_parts(stream.vapour.estimated));
            bound(life, contributions)
        })
        .collect())
}

/// One input and how a case looks when it is moved by so many standard deviations.
struct Input {
    of: &'static str,
    by: f64,
    shift: fn(&mut SteadyCase, f64),
}

fn inputs(spread: &Spread) -> [Input; 8] {
    [
        Input { of: "concentration", by: spread.concentration, shift: shift_concentration },
        Input { of: "air flow", by: spread.flow, shift: |c, by| c.air.flow_l_per_min *= 1.0 + by },
        Input {
            of: "sorbent mass",
            by: spread.sorbent_mass,
            shift: |c, by| c.bed.mass_g *= 1.0 + by,
        },
        Input {
            of: "micropore volume",
            by: spread.micropore_volume,
            shift: |c, by| c.bed.carbon.micropore_volume *= 1.0 + by,
        },
        Input {
            of: "adsorption energy",
            by: spread.reference_energy,
            shift: |c, by| c.bed.carbon.reference_energy *= 1.0 + by,
        },
        Input {
            of: "rate coefficient",
            by: spread.rate,
            shift: |c, by| c.rate_factor *= (by).exp(),
        },
        Input { of: "temperature", by: spread.temperature_k, shift: shift_temperature },
        Input {
            of: "humidity",
            by: spread.humidity,
            shift: |c, by| c.air.humidity = (c.air.humidity + by).clamp(0.0, 1.0),
        },
    ]
}

fn shift_concentration(case: &mut SteadyCase, by: f64) {
    for stream in &mut case.streams {
        stream.inlet_ppm *= (by).exp();
    }
}

fn shift_temperature(case: &mut SteadyCase, by_kelvin: f64) {
    case.air.temperature_k += by_kelvin;
    for stream in &mut case.streams {
        let slope = stream.vapour.psat_log_slope_per_k;
        stream.vapour.psat_kpa *= (slope * by_kelvin).exp();
    }
}

/// Times of all vapours with one input moved to its 95 % point; none where that case is refused.
fn shifted(case: &SteadyCase, input: &Input, sign: f64) -> Option<Vec<f64>> {
    let mut moved = case.clone();
    (input.shift)(&mut moved, sign * ONE_SIDED_95 * input.by);
    let times = |lives: Vec<VapourLife>| lives.iter().map(|life| life.time_min).collect();
    steady_life(&moved).ok().map(times)
}

/// Minutes from which a shortening is counted. An end that is only just not reached is counted from
/// the midpoint, past which the equation holds no more.
fn reached(life: &VapourLife) -> f64 {
    life.time_min.min(life.course.midpoint_min)
}

fn shortening(best: f64, shorter: f64) -> f64 {
    if shorter >= best {
        0.0
    } else if shorter <= 0.0 {
        f64::INFINITY
    } else {
        (best / shorter).ln()
    }
}

fn model_parts(case: &SteadyCase, several: bool) -> Vec<Contribution> {
    let part = |of, deviation: f64| Contribution { of, logarithm: ONE_SIDED_95 * deviation };
    let mut parts = vec![part("model", MODEL_ERROR)];
    if case.air.humidity > 0.65 {
        parts.push(part("humid air", HUMID_ERROR));
    }
    if several {
        parts.push(part("mixture", MIXTURE_ERROR));
    }
    parts
}

/// What an estimated property adds: judged from the scatter of such methods, no source.
fn property_parts(estimated: crate::Estimated) -> Vec<Contribution> {
    let parts = [
        (estimated.psat, "estimated vapour pressure", 0.10),
        (estimated.density, "estimated liquid density", 0.05),
        (estimated.polarisation, "estimated molar polarisation", 0.10),
    ];
    let part = |(used, of, deviation): (bool, &'static str, f64)| {
        used.then_some(Contribution { of, logarithm: ONE_SIDED_95 * deviation })
    };
    parts.into_iter().filter_map(part).collect()
}

fn bound(best: VapourLife, mut contributions: Vec<Contribution>) -> BoundedLife {
    let square: f64 = contributions.iter().map(|c| c.logarithm * c.logarithm).sum();
    let lower_min = reached(&best) * (-square.sqrt()).exp();
    contributions.sort_by(|a, b| b.logarithm.total_cmp(&a.logarithm));
    BoundedLife { best, lower_min, contributions }
}
