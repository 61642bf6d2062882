//! What a passed certification bench test proves of a set of elements of which nothing else is
//! known.

use crate::LifeError;
use crate::bed::Bed;
use crate::life::{Method, SteadyCase, Stream, steady_life};
use crate::solve::root;
use crate::vapour::Vapour;

/// Part of the held amount that a bench test is taken to have left unused at its end. Common
/// practice is silent on it; an even split is a cautious guess, no source.
const UNUSED_AT_TEST_END: f64 = 0.5;

/// One bench test that every element of its type has passed. A pair is tested together, so flow
/// and time belong to the set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CertifiedTest {
    /// Level that enters, ppm.
    pub challenge_ppm: f64,
    /// Flow through the set, L/min.
    pub flow_l_per_min: f64,
    /// Level at the outlet that ends the test, ppm.
    pub end_ppm: f64,
    /// Least minutes.
    pub minutes: f64,
}

/// Minutes that a set holding a gas by reaction lasts at least in air of `inlet_ppm` and
/// `flow_l_per_min` until `end_ppm` passes, from what `test` proves.
///
/// The test proves that so much gas (level x flow x time) was held; the same amount is spent at
/// the work's level and flow. Nothing is credited for a lower flow or a milder end than tested; a
/// faster flow is charged once more for its shorter contact, and a stricter end shortens the time
/// in the ratio of the logarithms of the bed equation, with `UNUSED_AT_TEST_END` of the amount
/// taken to be in the part of the bed still at work. Zero where that leaves nothing.
///
/// Source of the scaling by mass, flow and concentration: Lodewyckx, Wood and Ryu 2004, Carbon
/// 42:1351 (abstract read).
#[must_use]
pub fn reactive_life(
    test: &CertifiedTest,
    inlet_ppm: f64,
    flow_l_per_min: f64,
    end_ppm: f64,
) -> f64 {
    let held = test.challenge_ppm * test.flow_l_per_min * test.minutes;
    let spent = inlet_ppm * flow_l_per_min;
    let contact = (test.flow_l_per_min / flow_l_per_min).min(1.0);
    let logarithm = |inlet: f64, end: f64| ((inlet - end) / end).max(1.0).ln();
    let tested = logarithm(test.challenge_ppm, test.end_ppm);
    let stricter = (logarithm(inlet_ppm, end_ppm) / tested).max(1.0);
    let used = 1.0 - UNUSED_AT_TEST_END;
    let share = (1.0 - UNUSED_AT_TEST_END * stricter).max(0.0) / used;
    held / spent * contact * share
}

/// Sorbent per element, g, that a bed like `bed` must have to pass `test` with `agent` at
/// `air` of the test: the least that the test proves.
///
/// Refuses an agent the bed equation cannot speak of.
pub fn sorbent_proven(
    bed: &Bed,
    air: crate::Air,
    agent: &Vapour,
    test: &CertifiedTest,
) -> Result<f64, LifeError> {
    let minutes_with = |mass_g: f64| {
        let case = SteadyCase {
            bed: Bed { mass_g, ..*bed },
            air: crate::Air { flow_l_per_min: test.flow_l_per_min, ..air },
            streams: vec![Stream {
                vapour: agent.clone(),
                inlet_ppm: test.challenge_ppm,
                end_ppm: test.end_ppm,
            }],
            method: Method::ReactionKinetic,
            rate_factor: 1.0,
            fastest_velocity: None,
        };
        let lives = steady_life(&case)?;
        Ok::<f64, LifeError>(lives.first().map_or(0.0, |life| life.time_min))
    };
    minutes_with(1.0)?;
    let short = |mass_g: f64| minutes_with(mass_g).map_or(f64::NAN, |got| got - test.minutes);
    root("the sorbent that a test proves", (1e-3, 1e5), short)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Sulfur dioxide, as received: `data/certification_tests.csv` CT011 (42 CFR 84.207 Table 11).
    const SULFUR_DIOXIDE: CertifiedTest =
        CertifiedTest { challenge_ppm: 500.0, flow_l_per_min: 64.0, end_ppm: 5.0, minutes: 30.0 };

    #[test]
    fn at_the_conditions_of_the_test_the_life_is_its_minimum() {
        let minutes = reactive_life(&SULFUR_DIOXIDE, 500.0, 64.0, 5.0);
        assert!((minutes - 30.0).abs() < 1e-9);
    }

    #[test]
    fn a_milder_flow_or_end_is_not_credited_beyond_the_amount_held() {
        let test = &SULFUR_DIOXIDE;
        assert!((reactive_life(test, 500.0, 32.0, 5.0) - 60.0).abs() < 1e-9);
        assert!((reactive_life(test, 500.0, 64.0, 50.0) - 30.0).abs() < 1e-9);
        assert!((reactive_life(test, 250.0, 64.0, 5.0) - 60.0).abs() < 1e-9);
        assert!(reactive_life(test, 500.0, 128.0, 5.0) < 15.0 / 2.0 + 1e-9);
    }

    #[test]
    fn more_gas_more_flow_or_a_stricter_end_never_lasts_longer() {
        let life = |ppm: f64, flow: f64, end: f64| reactive_life(&SULFUR_DIOXIDE, ppm, flow, end);
        let mut last = [f64::INFINITY; 3];
        for step in 1..60 {
            let scale = f64::from(step);
            let now = [
                life(10.0 * scale, 40.0, 2.0),
                life(50.0, 3.0 * scale, 2.0),
                life(50.0, 40.0, 20.0 / scale),
            ];
            for (now, last) in now.iter().zip(&mut last) {
                assert!(now <= last, "{now} after {last}");
                *last = *now;
            }
        }
        assert_eq!(life(500.0, 64.0, 1e-3), 0.0);
    }
}
