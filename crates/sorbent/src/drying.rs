//! How fast drier air takes the water out of a damp bed.

use crate::bed::{Air, Bed};
use crate::capacity::WaterCurve;

/// Steps of a stretch of drying, and halvings of the search for the humidity after each.
const STEPS: (u32, u32) = (8, 48);

/// Water leaves the pores of carbon at a humidity lower by this than that at which it fills them: usual
/// size of the loop of type V (value from memory).
pub(crate) const HYSTERESIS: f64 = 0.10;

/// Molar mass of water, g/mol.
const WATER_MOLAR_MASS: f64 = 18.015;

/// The relative humidity, 0 to 1, with which the water of `bed` is in balance after `minutes` of `air`
/// that is drier than `damp`.
///
/// The bed is taken as evenly damp and the air that leaves as in balance with it, but for [`HYSTERESIS`].
/// In a real bed the air leaves as damp as the undried part until that is gone, and takes away as much
/// or more: the bed is no damper than this says. Each step is the implicit one of Euler, which dries too
/// slowly: a damper start and damper air never end drier.
pub(crate) fn after(bed: &Bed, air: &Air, damp: f64, minutes: f64) -> f64 {
    let water = WaterCurve::new(bed.carbon.water);
    let (steps, halvings) = STEPS;
    let saturated = air.mol_per_cm3(saturated_water_kpa(air.temperature_k)) * WATER_MOLAR_MASS;
    let carried = air.flow_per_element_cm3_per_min(bed) * saturated * minutes / f64::from(steps);
    let per_mass = carried / bed.mass_g;
    let driest = air.humidity + HYSTERESIS;
    if damp <= driest {
        return damp;
    }
    let mut damp = damp;
    for _ in 0..steps {
        let had = water.loading(damp);
        let (mut low, mut high) = (driest, damp);
        for _ in 0..halvings {
            let middle = 0.5 * (low + high);
            let over = water.loading(middle) + per_mass * (middle - driest) > had;
            if over { high = middle } else { low = middle }
        }
        damp = high;
    }
    damp
}

/// Pressure of water in saturated air, kPa. Source: Magnus formula with the coefficients of the guide to
/// instruments of the World Meteorological Organization (value from memory); -40 to 60 degC.
fn saturated_water_kpa(temperature_k: f64) -> f64 {
    let celsius = temperature_k - 273.15;
    0.6112 * (17.62 * celsius / (243.12 + celsius)).exp()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::capacity::TYPICAL_WATER;
    use crate::{BedParts, bed};

    fn bed() -> Bed {
        bed::Bed::new(&BedParts {
            elements: 2,
            sorbent_mass: quantity::Grams::from_g(26.0).unwrap(),
            bed_area: quantity::SquareCm::from_cm2(38.5).unwrap(),
            bulk_density: quantity::GramsPerCm3::from_g_per_cm3(0.44).unwrap(),
            granule: quantity::Centimetres::from_cm(0.11).unwrap(),
            micropore_volume: quantity::Cm3PerGram::from_cm3_per_g(0.454).unwrap(),
            reference_energy: None,
        })
    }

    fn air(humidity: f64) -> Air {
        Air { flow_l_per_min: 53.3, temperature_k: 295.15, pressure_kpa: 101.325, humidity }
    }

    // Value from memory: 2.64 kPa at 22 degC, 7.38 kPa at 40 degC.
    #[test]
    fn saturated_air_holds_what_tables_say() {
        for (kelvin, kpa) in [(295.15, 2.64), (313.15, 7.38)] {
            assert!((saturated_water_kpa(kelvin) / kpa - 1.0).abs() < 0.005, "{kelvin}");
        }
    }

    // Balance: the water that is gone is what the air can have carried, between its least and its
    // greatest deficit.
    #[test]
    fn air_carries_no_more_water_away_than_it_can_hold() {
        let (bed, air) = (bed(), air(0.3));
        let damp = after(&bed, &air, 0.8, 20.0);
        let gone = (TYPICAL_WATER.loading(0.8) - TYPICAL_WATER.loading(damp)) * bed.mass_g;
        let passed = 26_650.0 * 20.0 * 19.4e-6;
        assert!(0.4 < damp && damp < 0.8, "{damp}");
        assert!(passed * (damp - 0.4) < gone && gone < passed * 0.4, "{gone} {damp}");
        assert!((after(&bed, &air, 0.8, 50_000.0) - 0.4).abs() < 1e-3);
        assert_eq!(after(&bed, &air, 0.38, 50_000.0), 0.38);
    }

    #[test]
    fn a_damper_start_never_ends_drier() {
        for minutes in [1.0, 30.0, 1000.0] {
            let mut last = 0.0;
            for percent in 31..=100 {
                let now = after(&bed(), &air(0.3), f64::from(percent) / 100.0, minutes);
                assert!(now >= last, "{percent} {minutes}: {now} after {last}");
                last = now;
            }
        }
    }
}
