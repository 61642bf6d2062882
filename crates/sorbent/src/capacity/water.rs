//! Water on the sorbent, and how it crowds out a vapour.

use crate::LifeError;
use crate::bed::{Air, Carbon};
use crate::capacity::adsorbed_volume;
use crate::solve::root;
use crate::vapour::Vapour;

/// Volume of one mole of liquid water, cm³/mol.
const WATER_MOLAR_VOLUME: f64 = 18.05;

/// A sigmoid for the uptake of water: loading = most / (1 + exp(steepness (midpoint - h))).
///
/// Source: form of Qi, Hay and Rood 1998, J. Environ. Eng. 124:1130 (from memory).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterIsotherm {
    /// Loading towards saturation, g per g of sorbent, which is also cm³/g.
    pub most: f64,
    /// Steepness of the rise.
    pub steepness: f64,
    /// Relative humidity, 0 to 1, at half of `most`.
    pub midpoint: f64,
}

/// A carbon of usual make. Fitted to the measured water isotherm AC47 at 293 K of
/// `data/checks/isotherms.csv`, rms error 4.9 mg/g.
pub const TYPICAL_WATER: WaterIsotherm =
    WaterIsotherm { most: 0.375, steepness: 9.67, midpoint: 0.558 };

impl WaterIsotherm {
    /// Water held at relative humidity `h` (0 to 1), g/g.
    #[must_use]
    pub fn loading(&self, h: f64) -> f64 {
        self.most / (1.0 + (self.steepness * (self.midpoint - h)).exp())
    }

    /// The humidity at which water alone would fill `volume` cm³/g; none where it never does, or
    /// where the sigmoid, which misses the origin, has run below zero humidity.
    fn humidity_that_fills(&self, volume: f64) -> Option<f64> {
        let h = self.midpoint - (self.most / volume - 1.0).ln() / self.steepness;
        (volume < self.most && h > 0.0).then_some(h)
    }
}

/// Volume of vapour adsorbed from humid air, cm³/g, by displacement of water: the adsorption
/// potential of the vapour is lowered by the work of removing the water that would fill the same
/// pores. Takes the largest root; below it the balance has false ones. Where there is none, or it is
/// small, the vapour keeps its share of the pores that water alone leaves empty.
///
/// `energy` J/mol and `pressure_kpa` are the vapour's. Holds for a vapour that does not mix with
/// water; measured loadings at 50 % humidity lie 5 to 30 % under it.
///
/// Source: idea of Manes 1984, used by Wood 1987 and 2004 (from memory); formula checked by two
/// computations, see the test.
pub fn humid_volume(
    carbon: &Carbon,
    air: &Air,
    vapour: &Vapour,
    (energy, pressure_kpa): (f64, f64),
) -> Result<f64, LifeError> {
    let w0 = carbon.micropore_volume;
    let rt = air.thermal_energy();
    let potential = (rt * (vapour.psat_kpa / pressure_kpa).ln()).max(0.0);
    let dry = adsorbed_volume(w0, energy, potential);
    let per_water = rt * vapour.molar_volume() / WATER_MOLAR_VOLUME;
    let work = |volume: f64| match carbon.water.humidity_that_fills(volume) {
        Some(fills) if air.humidity > fills => per_water * (air.humidity / fills).ln(),
        _ => 0.0,
    };
    if work(dry) <= 0.0 {
        return Ok(dry);
    }
    // Water never takes more than it holds alone: what it leaves empty stays open to the vapour.
    let beside_water = dry * (1.0 - carbon.water.loading(air.humidity) / w0).max(0.0);
    let balance = |volume: f64| energy * (w0 / volume).ln().sqrt() - potential - work(volume);
    // Walk down from the dry loading to the first change of sign, which is the largest root.
    let mut high = dry;
    while carbon.water.humidity_that_fills(high).is_some_and(|h| h > 0.02) {
        let low = high * 0.995;
        if balance(low) > 0.0 {
            let shared = root("water and vapour in the pores", (low, high), balance)?;
            return Ok(shared.max(beside_water));
        }
        high = low;
    }
    Ok(beside_water)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn toluene_at(humidity: f64) -> f64 {
        let carbon =
            Carbon { micropore_volume: 0.454, reference_energy: 0.0, water: TYPICAL_WATER };
        let air =
            Air { flow_l_per_min: 53.3, temperature_k: 295.15, pressure_kpa: 101.325, humidity };
        let vapour = Vapour {
            name: "toluene".to_owned(),
            molar_mass: 92.14,
            psat_kpa: 3.25,
            psat_log_slope_per_k: 0.05,
            density: 0.867,
            polarisation: 31.1,
            estimated: Default::default(),
        };
        let volume = humid_volume(&carbon, &air, &vapour, (22_952.0, 0.020_265)).unwrap();
        volume * vapour.density
    }

    // Worked numbers, computed twice (root search; inversion on a fine grid): 0.29314 g/g up to
    // about 70 %, 0.24444 at 85 %, 0.19846 at 95 %.
    #[test]
    fn toluene_in_humid_air_is_the_worked_number() {
        for (humidity, expected) in
            [(0.0, 0.29314), (0.5, 0.29314), (0.70, 0.29314), (0.85, 0.24444), (0.95, 0.19846)]
        {
            let loading = toluene_at(humidity);
            assert!((loading / expected - 1.0).abs() < 2e-4, "{humidity}: {loading}");
        }
    }

    #[test]
    fn more_water_never_means_more_vapour() {
        let mut last = f64::INFINITY;
        for percent in 0..=100 {
            let loading = toluene_at(f64::from(percent) / 100.0);
            assert!(loading <= last * (1.0 + 1e-12), "{percent} %: {loading} after {last}");
            last = loading;
        }
    }
}
