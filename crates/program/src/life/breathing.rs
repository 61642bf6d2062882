//! What it takes off a life that the air is drawn by breathing and not steadily.

use rulebook::{AirSource, Contaminant, Finding, service_life};
use sorbent::march::SegmentKind;
use sorbent::{Air, Method, SteadyCase, Stream, breathed_over_steady};

use super::answer::LifeAnswer;
use super::{LifeMethod, LifeSetup, bed, end};

/// Most distinct stretches of wear that are looked at; the rest are milder in level or in flow.
const MOST_STRETCHES: usize = 8;

/// Takes off the bounds, once, what breathing shortens the life against each of `vapours` (with its end
/// level in ppm) by, and says how much. A blower draws steadily.
pub(super) fn take(setup: &LifeSetup, vapours: &[(&Contaminant, f64)], answer: &mut LifeAnswer) {
    if setup.device.air_source != AirSource::AirPurifying || setup.method == LifeMethod::Wood1994 {
        return;
    }
    let mut least: f64 = 1.0;
    for (contaminant, end_ppm) in vapours {
        let Some(ratio) = ratio(setup, contaminant, *end_ppm) else { continue };
        let name = contaminant.substance.name();
        let cas = contaminant.substance.cas();
        let life = answer.contaminants.iter_mut().find(|life| life.cas == cas);
        let Some(life) = life.filter(|life| life.time_min.is_some()) else { continue };
        least = least.min(ratio);
        if let Some(time) = &mut life.time_min {
            time.lower *= ratio.min(1.0);
        }
        life.breathed = Some(ratio);
        let finding = Finding::note(&service_life::BREATHED).with("contaminant", name);
        answer.findings.push(finding.with("ratio", format!("{ratio:.2}")));
    }
    if let Some(mixture) = answer.bed.as_mut().and_then(|bed| bed.mixture_min.as_mut()) {
        mixture.lower *= least;
    }
}

/// The least ratio of all stretches in which the contaminant enters.
fn ratio(setup: &LifeSetup, contaminant: &Contaminant, end_ppm: f64) -> Option<f64> {
    let (vapour, _) = setup.vapour(contaminant.substance).ok()?;
    // What is noted of the bed is noted already.
    let (bed, fastest_velocity) = bed::bed_of(setup, &mut LifeAnswer::empty(setup)).ok()?;
    let of = |(air, inlet_ppm): &(Air, f64)| {
        breathed_over_steady(&SteadyCase {
            bed,
            air: *air,
            streams: vec![Stream { vapour: vapour.clone(), inlet_ppm: *inlet_ppm, end_ppm }],
            method: Method::ReactionKinetic,
            rate_factor: setup.work.rate_factor.unwrap_or(1.0),
            fastest_velocity,
        })
    };
    stretches(setup, contaminant).iter().filter_map(of).reduce(f64::min)
}

/// The air and the level, in ppm, of the distinct stretches in which the contaminant enters, the fastest
/// and the highest first, at the temperature of the place.
fn stretches(setup: &LifeSetup, contaminant: &Contaminant) -> Vec<(Air, f64)> {
    let usual = bed::air(setup);
    if setup.work.segments.is_empty() {
        return end::inlet_ppm(setup, contaminant).map(|ppm| (usual, ppm)).into_iter().collect();
    }
    let same = |c: &Contaminant| c.substance.cas() == contaminant.substance.cas();
    let Some(place) = setup.place.contaminants.iter().position(same) else { return Vec::new() };
    let worn = setup.work.segments.iter().filter(|segment| segment.kind == SegmentKind::On);
    let of = |segment: &super::WorkSegment| {
        let level = *segment.levels.get(place)?;
        let ppm = end::level_ppm(setup, contaminant, level, segment.temperature).ok()?;
        let air = Air {
            flow_l_per_min: segment.flow.as_l_per_min(),
            humidity: segment.humidity.as_fraction(),
            ..usual
        };
        (ppm > 0.0).then_some((air, ppm))
    };
    let mut found: Vec<(Air, f64)> = worn.filter_map(of).collect();
    let highest = |of: fn(&(Air, f64)) -> f64| found.iter().map(of).fold(0.0, f64::max);
    // A shift that comes again is asked of while a person waits: one stretch stands for all, as fast and as
    // high as any of them.
    if setup.work.comes_again {
        let flow_l_per_min = highest(|(air, _)| air.flow_l_per_min);
        let ppm = highest(|(_, ppm)| *ppm);
        let humidity = highest(|(air, _)| air.humidity);
        return vec![(Air { flow_l_per_min, humidity, ..usual }, ppm)];
    }
    let fed = |(air, ppm): &(Air, f64)| air.flow_l_per_min * ppm;
    found.sort_by(|a, b| fed(b).total_cmp(&fed(a)));
    found.dedup();
    found.truncate(MOST_STRETCHES);
    found
}
