//! The inputs of a life that are not known exactly, and a case with each of them moved.

use crate::bed::{Air, Bed};
use crate::life::SteadyCase;
use crate::pattern::Pattern;

/// Standard deviations of the inputs, each relative but where the unit says otherwise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Of each concentration, all together.
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
    /// Of the area of the bed.
    pub bed_area: f64,
    /// Of the bulk density.
    pub bulk_density: f64,
    /// Of the granule size.
    pub granule: f64,
    /// Of the pressure of the air.
    pub pressure: f64,
    /// How micropore volume, reference energy and rate go together, where a calibration told: a
    /// lower triangle whose product with its transpose is the covariance of their logarithms. It
    /// then stands in place of their own deviations.
    pub calibrated: Option<[[f64; 3]; 3]>,
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
        bed_area: 0.0,
        bulk_density: 0.0,
        granule: 0.0,
        pressure: 0.0,
        calibrated: None,
    };
    /// For a set of which only its certification is known.
    pub const CERTIFIED_ONLY: Self = Self { reference_energy: 0.10, rate: 0.40, ..Self::USUAL };

    /// Places in [`INPUTS`] of the inputs that are not exact.
    pub(crate) fn inexact(&self) -> Vec<usize> {
        let told = |place: &usize| self.calibrated.is_some() && CALIBRATED.contains(place);
        let moves = |(place, input): (usize, &Input)| {
            ((input.by)(self) > 0.0 || told(&place)).then_some(place)
        };
        INPUTS.iter().enumerate().filter_map(moves).collect()
    }
}

/// One input that may be moved.
#[derive(Debug, Clone, Copy)]
pub struct Input {
    /// The input, in words.
    pub of: &'static str,
    by: fn(&Spread) -> f64,
    shift: fn(&mut Moved, f64),
}

/// Places in [`INPUTS`] of micropore volume, reference energy and rate, which a calibration finds
/// together.
const CALIBRATED: [usize; 3] = [3, 4, RATE];

/// Place of the rate coefficient in [`INPUTS`].
pub(crate) const RATE: usize = 5;

/// Every input that may carry a spread.
pub static INPUTS: [Input; 12] = [
    Input {
        of: "concentration",
        by: |s| s.concentration,
        shift: |m, by| m.concentration *= by.exp(),
    },
    Input { of: "air flow", by: |s| s.flow, shift: |m, by| m.flow *= by.exp() },
    Input { of: "sorbent mass", by: |s| s.sorbent_mass, shift: |m, by| m.sorbent_mass *= by.exp() },
    Input {
        of: "micropore volume",
        by: |s| s.micropore_volume,
        shift: |m, by| m.micropore_volume *= by.exp(),
    },
    Input {
        of: "adsorption energy",
        by: |s| s.reference_energy,
        shift: |m, by| m.reference_energy *= by.exp(),
    },
    Input { of: "rate coefficient", by: |s| s.rate, shift: |m, by| m.rate *= by.exp() },
    Input { of: "temperature", by: |s| s.temperature_k, shift: |m, by| m.temperature_k += by },
    Input { of: "humidity", by: |s| s.humidity, shift: |m, by| m.humidity += by },
    Input { of: "bed area", by: |s| s.bed_area, shift: |m, by| m.bed_area *= by.exp() },
    Input { of: "bulk density", by: |s| s.bulk_density, shift: |m, by| m.bulk_density *= by.exp() },
    Input { of: "granule size", by: |s| s.granule, shift: |m, by| m.granule *= by.exp() },
    Input { of: "air pressure", by: |s| s.pressure, shift: |m, by| m.pressure *= by.exp() },
];

/// How far each input of one copy lies from its best estimate: factors, but kelvins added to the
/// temperature and a part of saturation added to the humidity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moved {
    concentration: f64,
    flow: f64,
    sorbent_mass: f64,
    micropore_volume: f64,
    reference_energy: f64,
    rate: f64,
    temperature_k: f64,
    humidity: f64,
    bed_area: f64,
    bulk_density: f64,
    granule: f64,
    pressure: f64,
}

impl Moved {
    const NOTHING: Self = Self {
        concentration: 1.0,
        flow: 1.0,
        sorbent_mass: 1.0,
        micropore_volume: 1.0,
        reference_energy: 1.0,
        rate: 1.0,
        temperature_k: 0.0,
        humidity: 0.0,
        bed_area: 1.0,
        bulk_density: 1.0,
        granule: 1.0,
        pressure: 1.0,
    };

    /// Each input at `places` moved by its score of the standard normal.
    pub(crate) fn by(spread: &Spread, places: &[usize], scores: &[f64]) -> Self {
        let mut moved = Self::NOTHING;
        let score = |place: usize| {
            let found = places.iter().position(|p| *p == place).and_then(|at| scores.get(at));
            found.copied().unwrap_or(0.0)
        };
        let together = CALIBRATED.map(score);
        for (place, input) in places.iter().filter_map(|place| Some((*place, INPUTS.get(*place)?)))
        {
            let row = CALIBRATED.iter().position(|p| *p == place);
            let by = match (spread.calibrated, row) {
                (Some(factor), Some(row)) => {
                    let row = factor.get(row).copied().unwrap_or_default();
                    row.iter().zip(together).map(|(part, score)| part * score).sum()
                }
                _ => (input.by)(spread) * score(place),
            };
            (input.shift)(&mut moved, by);
        }
        moved
    }

    /// A steady case so moved.
    pub(crate) fn steady(&self, case: &SteadyCase) -> SteadyCase {
        let mut moved = case.clone();
        self.bed(&mut moved.bed);
        self.air(&mut moved.air);
        moved.rate_factor *= self.rate;
        for stream in &mut moved.streams {
            stream.inlet_ppm *= self.concentration;
            stream.vapour.psat_kpa *=
                (stream.vapour.psat_log_slope_per_k * self.temperature_k).exp();
        }
        moved
    }

    /// A pattern of work so moved.
    pub(crate) fn pattern(&self, pattern: &Pattern) -> Pattern {
        let mut moved = pattern.clone();
        self.bed(&mut moved.bed);
        moved.rate_factor *= self.rate;
        moved.stored_humidity = (pattern.stored_humidity + self.humidity).clamp(0.0, 1.0);
        for stretch in &mut moved.stretches {
            self.air(&mut stretch.air);
            stretch.levels_ppm.iter_mut().for_each(|ppm| *ppm *= self.concentration);
        }
        moved
    }

    fn bed(&self, bed: &mut Bed) {
        bed.mass_g *= self.sorbent_mass;
        bed.area_cm2 *= self.bed_area;
        bed.bulk_density *= self.bulk_density;
        bed.granule_cm *= self.granule;
        bed.carbon.micropore_volume *= self.micropore_volume;
        bed.carbon.reference_energy *= self.reference_energy;
    }

    fn air(&self, air: &mut Air) {
        air.flow_l_per_min *= self.flow;
        air.pressure_kpa *= self.pressure;
        air.temperature_k += self.temperature_k;
        air.humidity = (air.humidity + self.humidity).clamp(0.0, 1.0);
    }
}
