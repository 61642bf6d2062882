//! Water on the sorbent, and how it crowds out a vapour.

use std::sync::LazyLock;

use crate::LifeError;
use crate::bed::{Air, Carbon};
use crate::vapour::Vapour;

/// Volume of one mole of liquid water, cm³/mol.
pub(crate) const WATER_MOLAR_VOLUME: f64 = 18.05;

/// Intervals of Simpson's rule over the pores that water has reached.
const INTERVALS: u32 = 64;

/// A sigmoid for the uptake of water: loading = most / (1 + exp(steepness (midpoint - h))), type V.
///
/// The sigmoid misses the origin; below the humidity at which the straight line through the origin
/// touches it, that line takes over. It meets the curve with the same slope.
///
/// Source: form of Qi, Hay and Rood 1998, J. Environ. Eng. 124:1130 (from memory); the low end is
/// our own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterIsotherm {
    /// Loading towards saturation, g per g of sorbent, which is also cm³/g.
    pub most: f64,
    /// Steepness of the rise.
    pub steepness: f64,
    /// Relative humidity, 0 to 1, at half of `most`.
    pub midpoint: f64,
}

/// A carbon of usual make: each number is the middle one of the five carbons of `data/checks/isotherms.csv`
/// whose water was measured beyond 80 % humidity (`tests/loadings.rs`).
pub const TYPICAL_WATER: WaterIsotherm =
    WaterIsotherm { most: 0.377, steepness: 8.46, midpoint: 0.558 };

impl WaterIsotherm {
    /// Water held at relative humidity `h` (0 to 1), g/g.
    #[must_use]
    pub fn loading(&self, h: f64) -> f64 {
        WaterCurve::new(*self).loading(h)
    }
}

/// A [`WaterIsotherm`] with its low end worked out; loadings in the unit of `most`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct WaterCurve {
    isotherm: WaterIsotherm,
    /// Humidity at which the straight line through the origin touches the sigmoid.
    tangent: f64,
    at_tangent: f64,
}

impl WaterCurve {
    pub fn new(isotherm: WaterIsotherm) -> Self {
        // Where they touch, `steepness h (1 - part) = 1`; rounds shrink the distance by e to
        // the minus `steepness (midpoint - h)` each.
        let WaterIsotherm { steepness, midpoint, .. } = isotherm;
        let mut tangent = 1.0 / steepness;
        for _ in 0..16 {
            tangent = (1.0 + (steepness * (tangent - midpoint)).exp()) / steepness;
        }
        let mut curve = Self { isotherm, tangent, at_tangent: 0.0 };
        curve.at_tangent = curve.sigmoid(tangent);
        curve
    }

    /// Water held at relative humidity `h`.
    pub fn loading(&self, h: f64) -> f64 {
        if h < self.tangent { self.at_tangent * h.max(0.0) / self.tangent } else { self.sigmoid(h) }
    }

    /// Slope of the loading by the humidity.
    pub fn slope(&self, h: f64) -> f64 {
        if h < self.tangent {
            return self.at_tangent / self.tangent;
        }
        let part = self.sigmoid(h) / self.isotherm.most;
        self.isotherm.most * self.isotherm.steepness * part * (1.0 - part)
    }

    /// Humidity at which `loading` is held alone; beyond the greatest loading that of one just
    /// below it.
    pub fn humidity(&self, loading: f64) -> f64 {
        if loading <= self.at_tangent {
            return self.tangent * loading.max(0.0) / self.at_tangent;
        }
        let part = (loading / self.isotherm.most).min(1.0 - 1e-9);
        self.isotherm.midpoint - (1.0 / part - 1.0).ln() / self.isotherm.steepness
    }

    fn sigmoid(&self, h: f64) -> f64 {
        let WaterIsotherm { most, steepness, midpoint } = self.isotherm;
        most / (1.0 + (steepness * (midpoint - h)).exp())
    }

    /// The micropores that water alone reaches up to humidity `h`, in slices: the part of all `pores`
    /// (in the unit of `most`) in each, and `ln(h/h')` with `h'` the humidity at which it fills.
    ///
    /// The first slice fills at no humidity at all: its logarithm is infinite.
    ///
    /// Where water holds more than the micropores do, the rest lies in wider pores and counts for
    /// the vapour as if spread over all of them.
    pub fn slices(&self, h: f64, pores: f64) -> impl Iterator<Item = (f64, f64)> {
        let WaterIsotherm { most, steepness, midpoint } = self.isotherm;
        let width = h / f64::from(INTERVALS);
        let scale = width / 3.0 / pores.max(most);
        let (straight, tangent) = (self.at_tangent / self.tangent, self.tangent);
        // The sigmoid is asked at even steps, over which its exponential goes by one factor.
        let fall = (-steepness * width).exp();
        let mut exponential = (steepness * midpoint).exp();
        SLICES.iter().map(move |(filled, weight, logarithm)| {
            let part = 1.0 / (1.0 + exponential);
            exponential *= fall;
            let low = h * filled < tangent;
            let slope = if low { straight } else { most * steepness * part * (1.0 - part) };
            (weight * scale * slope, *logarithm)
        })
    }
}

/// Of each point of Simpson's rule the part of the way, its weight, and the logarithm of the inverse of
/// that part.
static SLICES: LazyLock<Vec<(f64, f64, f64)>> = LazyLock::new(|| {
    let slice = |i: u32| {
        let weight = match i {
            0 | INTERVALS => 1.0,
            odd if odd % 2 == 1 => 4.0,
            _ => 2.0,
        };
        let part = f64::from(i) / f64::from(INTERVALS);
        (part, weight, -part.ln())
    };
    (0..=INTERVALS).map(slice).collect()
});

/// Part of the dry loading that a vapour keeps in humid air, 0 to 1.
///
/// `reduced` is its adsorption potential over its characteristic energy, the root of minus the
/// logarithm of the dry filling; `work` is RT over that energy times the molar volume of the vapour
/// over that of water.
///
/// A vapour fills a pore where its potential covers what it costs to drive out the water there:
/// nothing in pores that water has not reached at humidity `h`, and `work ln(h/h')` in those that
/// water fills at `h'`. How strongly a pore holds vapour and how early water fills it are taken as
/// independent of each other. Always falls with `h`, without a jump.
///
/// Source: the work of displacement is that of Manes 1984, used by Wood 1987 and 2004 (from memory);
/// that it counts pore by pore is our own. On the humid loadings of
/// `data/checks/mixture_isotherms.csv` the mean error is half of that of the displacement in
/// the last filled pore (`tests/loadings.rs`).
fn left_by_water(water: &WaterCurve, pores: f64, h: f64, (reduced, work): (f64, f64)) -> f64 {
    let (mut reached, mut kept) = (0.0, 0.0);
    for (part, logarithm) in water.slices(h.clamp(0.0, 1.0), pores) {
        let cost = work * logarithm;
        reached += part;
        kept += part * (-cost * (2.0 * reduced + cost)).exp();
    }
    (1.0 - reached + kept).clamp(0.0, 1.0)
}

/// Volume of vapour adsorbed from humid air, cm³/g.
///
/// `energy` J/mol and `pressure_kpa` are the vapour's. Holds for a vapour that does not mix with
/// water. Refuses a potential that is not a number.
///
/// Source: see `left_by_water` in this file.
pub fn humid_volume(
    carbon: &Carbon,
    air: &Air,
    vapour: &Vapour,
    (energy, pressure_kpa): (f64, f64),
) -> Result<f64, LifeError> {
    let rt = air.thermal_energy();
    let reduced = (rt * (vapour.psat_kpa / pressure_kpa).ln()).max(0.0) / energy;
    let work = rt / energy * vapour.molar_volume() / WATER_MOLAR_VOLUME;
    let w0 = carbon.micropore_volume;
    let volume = w0
        * (-reduced * reduced).exp()
        * left_by_water(&WaterCurve::new(carbon.water), w0, air.humidity, (reduced, work));
    if volume.is_finite() {
        Ok(volume)
    } else {
        let what = "water and vapour in the pores";
        Err(LifeError::NotConverged { what, steps: 0, residual: volume })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::capacity::adsorbed_volume;

    fn toluene() -> Vapour {
        Vapour {
            name: "toluene".to_owned(),
            molar_mass: 92.14,
            psat_kpa: 3.25,
            psat_log_slope_per_k: 0.05,
            density: 0.867,
            polarisation: 31.1,
            affinity: 1.135,
            estimated: Default::default(),
        }
    }

    fn toluene_at(humidity: f64, pressure_kpa: f64) -> f64 {
        let carbon =
            Carbon { micropore_volume: 0.454, reference_energy: 0.0, water: TYPICAL_WATER };
        let air =
            Air { flow_l_per_min: 53.3, temperature_k: 295.15, pressure_kpa: 101.325, humidity };
        humid_volume(&carbon, &air, &toluene(), (22_952.0, pressure_kpa)).unwrap()
    }

    // The same integral by trapezoids on 200,000 points over the pores, each with its own humidity
    // of filling, at 200 ppm.
    #[test]
    fn humid_loading_is_the_integral_over_the_pores() {
        let rt = 8.314_462_618 * 295.15;
        let potential = rt * (3.25_f64 / 0.020_265).ln();
        let dry = adsorbed_volume(0.454, 22_952.0, potential);
        for humidity in [0.3, 0.5, 0.7, 0.85, 0.95] {
            let water = TYPICAL_WATER.loading(humidity);
            let parts = 200_000;
            let kept = (0..parts).map(|i| {
                let volume = water * (f64::from(i) + 0.5) / f64::from(parts);
                let fills = WaterCurve::new(TYPICAL_WATER).humidity(volume);
                let work = rt * 92.14 / 0.867 / 18.05 * (humidity / fills).ln();
                let share = (potential + work) / 22_952.0;
                water / f64::from(parts) * (-share * share).exp()
            });
            let slow = (0.454 - water) / 0.454 * dry + kept.sum::<f64>();
            let ours = toluene_at(humidity, 0.020_265);
            assert!((ours / slow - 1.0).abs() < 2e-4, "{humidity}: {ours} {slow}");
        }
    }

    // From dry to saturated, from trace to saturated vapour: never more, and never a cliff.
    #[test]
    fn more_water_never_means_more_vapour_and_never_a_cliff() {
        for pressure_kpa in [2e-6, 2e-4, 2e-3, 0.02, 0.2, 2.0, 3.2] {
            let mut last = toluene_at(0.0, pressure_kpa);
            for step in 1..=1000 {
                let loading = toluene_at(f64::from(step) / 1000.0, pressure_kpa);
                assert!(loading <= last * (1.0 + 1e-9), "{step}: {loading} after {last}");
                assert!(loading > last * 0.985, "{step}: {loading} after {last}");
                last = loading;
            }
        }
    }

    #[test]
    fn water_rises_from_nothing_without_a_jump_and_back() {
        assert!(TYPICAL_WATER.loading(0.0) == 0.0);
        let mut last = 0.0;
        for step in 1..=1000 {
            let h = f64::from(step) / 1000.0;
            let loading = TYPICAL_WATER.loading(h);
            assert!(loading > last && loading - last < 1.2e-3, "{h}: {loading}");
            assert!(
                (WaterCurve::new(TYPICAL_WATER).humidity(loading) / h - 1.0).abs() < 1e-9,
                "{h}"
            );
            last = loading;
        }
        let rise = TYPICAL_WATER.loading(0.3 + 1e-6) - TYPICAL_WATER.loading(0.3 - 1e-6);
        assert!((rise / 2e-6 / WaterCurve::new(TYPICAL_WATER).slope(0.3) - 1.0).abs() < 1e-6);
    }
}
