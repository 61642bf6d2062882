//! How much less a bed lasts that is breathed through than in the steady mean of its air.

use crate::life::{SteadyCase, lives_of};
use crate::march::{Breathing, RATE_BY_VELOCITY, Segment, SegmentKind, Settings, breathed};
use crate::steady::{column, component, mol_m3};

/// Breaths per minute. The ratio does not depend on them as long as a breath is short beside the time in
/// which a granule fills and long beside the passage of the air, which the march checks.
const PER_MIN: f64 = 20.0;

/// Part of what enters above which the end of a life is taken to be this part: the ratio grows towards
/// one there.
const MOST: f64 = 0.5;

/// The bed is marched for this many times its midpoint in steady air.
const LONG_ENOUGH: f64 = 2.5;

/// Time to the end level of the first stream of `case`, alone in the air, in breathed air over that
/// in steady air of the same volume. None where the end is never reached, or breathing is too quick or
/// too slow for the bed to be looked at breath by breath.
///
/// See [`crate::march::breathed`] for the picture and its source.
#[must_use]
pub fn breathed_over_steady(case: &SteadyCase) -> Option<f64> {
    let stream = case.streams.first()?;
    let alone = SteadyCase { streams: vec![stream.clone()], ..case.clone() };
    let life = lives_of(&alone).ok()?.into_iter().next()?;
    if stream.end_ppm >= stream.inlet_ppm {
        return None;
    }
    let minutes = life.course.midpoint_min * LONG_ENOUGH;
    let component = component(&alone, stream, &life, 1.0);
    let inlet = mol_m3(&case.air, stream.inlet_ppm, &component);
    let segment = Segment {
        duration_s: minutes * 60.0,
        velocity_m_s: case.air.velocity_cm_per_s(&case.bed) * 1e-2,
        inlet_mol_m3: vec![inlet],
        kind: SegmentKind::On,
        components: None,
    };
    let breathing = Breathing { per_min: PER_MIN, rate_by_velocity: RATE_BY_VELOCITY };
    let level = inlet * (stream.end_ppm / stream.inlet_ppm).min(MOST);
    let found =
        breathed(&column(&case.bed), &component, &segment, &breathing, (level, &Settings::ROUGH));
    Some(found.ok()??.ratio)
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot read its own data must fail")]
mod tests {
    use super::*;
    use crate::bed::{Air, Bed, BedParts};
    use crate::life::{Method, Stream};
    use crate::vapour::Vapour;
    use substance::Catalogue;

    fn case(grams: &str, end: f64) -> SteadyCase {
        let toluene = Catalogue::builtin().find("toluene").unwrap();
        let (vapour, _) = Vapour::of(toluene, "22 degC".parse().unwrap()).unwrap();
        let bed = Bed::new(&BedParts {
            elements: 2,
            sorbent_mass: grams.parse().unwrap(),
            bed_area: "38.5 cm2".parse().unwrap(),
            bulk_density: "0.44 g/cm3".parse().unwrap(),
            granule: "0.11 cm".parse().unwrap(),
            micropore_volume: "0.454 cm3/g".parse().unwrap(),
            reference_energy: None,
        });
        let air = Air {
            flow_l_per_min: 53.3,
            temperature_k: 295.15,
            pressure_kpa: 101.325,
            humidity: 0.5,
        };
        SteadyCase {
            bed,
            air,
            streams: vec![Stream { vapour, inlet_ppm: 400.0, end_ppm: 400.0 * end }],
            method: Method::ReactionKinetic,
            rate_factor: 1.0,
            fastest_velocity: None,
        }
    }

    // A thinner bed has fewer transfer units, of which the height of a breath leaves too few; an earlier
    // end feels it more (the march breath by breath in the tests of `march::breath`).
    #[test]
    fn breath_shortens_the_life_the_more_the_thinner_the_bed_and_the_lower_the_end() {
        let at = |grams, end| breathed_over_steady(&case(grams, end)).unwrap();
        let (deep, usual, thin) = (at("60 g", 0.01), at("26 g", 0.01), at("16 g", 0.01));
        assert!(thin < usual && usual < deep && deep < 1.0, "{thin} {usual} {deep}");
        assert!((0.8..0.95).contains(&usual), "{usual}");
        assert!(usual < at("26 g", 0.1), "the later end");
        assert!(breathed_over_steady(&case("26 g", 1.0)).is_none());
        assert!(breathed_over_steady(&case("0.1 g", 0.1)).is_none(), "it ends at once");
    }
}
