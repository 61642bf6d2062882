//! Life against vapours held by the pores of carbon.

use rulebook::{Contaminant, Finding, service_life};
use sorbent::{
    Air, Bed, BedParts, BoundedLife, Method, Sampling, SteadyCase, Stream, Validity, bounded_life,
    explore_life,
};

use super::answer::{Bounds, ContaminantLife, LifeAnswer, curve};
use super::marched::Sampled;
use super::{LifeMethod, LifeSetup, certified, end};

/// Adds the life against each of `vapours` (with its end level in ppm) to the answer.
pub(super) fn physisorbed(
    setup: &LifeSetup,
    vapours: &[(&Contaminant, f64)],
    answer: &mut LifeAnswer,
) {
    match solve(setup, vapours, answer) {
        Ok(lives) => {
            for ((contaminant, end_ppm), life) in vapours.iter().zip(lives) {
                add(setup, contaminant, *end_ppm, &life, answer);
            }
        }
        Err(reason) => {
            for (contaminant, _) in vapours {
                answer.refuse(contaminant, reason.clone());
            }
        }
    }
}

fn solve(
    setup: &LifeSetup,
    vapours: &[(&Contaminant, f64)],
    answer: &mut LifeAnswer,
) -> Result<Vec<BoundedLife>, String> {
    let case = steady(setup, vapours, answer)?;
    let mut lives = bounded_life(&case, &setup.spread).map_err(|error| error.to_string())?;
    if let Some(samples) = setup.work.samples {
        let names: Vec<&str> = vapours.iter().map(|(c, _)| c.substance.name()).collect();
        let sampling = Sampling::of(samples);
        let explored = explore_life(&case, &setup.spread, sampling, &setup.work.progress);
        let sampled = Sampled::of(&names, explored.map_err(|error| error.to_string())?);
        // Of two bounds the shorter counts.
        for (life, end) in lives.iter_mut().zip(&sampled.ends) {
            life.lower_min = life.lower_min.min(end.bound);
        }
        answer.sampled = Some(sampled);
    }
    Ok(lives)
}

/// The case of steady air that a set-up tells of.
pub(super) fn steady(
    setup: &LifeSetup,
    vapours: &[(&Contaminant, f64)],
    answer: &mut LifeAnswer,
) -> Result<SteadyCase, String> {
    let mut streams = Vec::with_capacity(vapours.len());
    for (contaminant, end_ppm) in vapours {
        let (vapour, sources) = setup.vapour(contaminant.substance)?;
        answer.sources.extend(sources);
        let inlet_ppm = end::inlet_ppm(setup, contaminant)?;
        streams.push(Stream { vapour, inlet_ppm, end_ppm: *end_ppm });
    }
    let air = air(setup);
    let (bed, fastest_velocity) = bed_of(setup, answer)?;
    let method = match setup.method {
        LifeMethod::Full | LifeMethod::Bed => Method::ReactionKinetic,
        LifeMethod::Wood1994 => Method::Wood1994,
    };
    let rate_factor = setup.work.rate_factor.unwrap_or(1.0);
    Ok(SteadyCase { bed, air, streams, method, rate_factor, fastest_velocity })
}

/// The bed of a set-up, or the least that certification proves with the fastest velocity that
/// counts.
pub(super) fn bed_of(
    setup: &LifeSetup,
    answer: &mut LifeAnswer,
) -> Result<(Bed, Option<f64>), String> {
    match &setup.bed {
        Some(parts) => Ok((Bed::new(parts), None)),
        None => certified::bed_proven(setup, answer).map(|(bed, fastest)| (bed, Some(fastest))),
    }
}

/// The air of a set-up; dry only where nobody said, which a case refuses beforehand.
pub(super) fn air(setup: &LifeSetup) -> Air {
    Air {
        flow_l_per_min: setup.flow.as_l_per_min(),
        temperature_k: setup.place.temperature.as_kelvin(),
        pressure_kpa: setup.place.pressure.as_kpa(),
        humidity: setup.place.relative_humidity.map_or(1.0, quantity::RelHumidity::as_fraction),
    }
}

fn add(
    setup: &LifeSetup,
    contaminant: &Contaminant,
    end_ppm: f64,
    life: &BoundedLife,
    answer: &mut LifeAnswer,
) {
    let name = contaminant.substance.name();
    let best = &life.best;
    for edge in &best.validity {
        let finding = Finding::caution(&service_life::EDGE).with("contaminant", name);
        answer.findings.push(finding.with("edge", words(*edge)));
    }
    if life.contributions.iter().any(|part| part.of.starts_with("estimated")) {
        let finding = Finding::note(&service_life::ESTIMATED_PROPERTY);
        answer.findings.push(finding.with("contaminant", name));
    }
    if best.time_min.is_infinite() {
        let finding = Finding::note(&service_life::NEVER_REACHED).with("contaminant", name);
        answer.findings.push(finding.with("end", format!("{end_ppm:.3} ppm")));
    }
    answer.contaminants.push(ContaminantLife {
        cas: contaminant.substance.cas(),
        name: name.to_owned(),
        inlet_ppm: end::inlet_ppm(setup, contaminant).ok(),
        end_ppm: Some(end_ppm),
        plateau_ppm: Some(best.plateau_ppm),
        time_min: Some(Bounds { best: best.time_min, lower: life.lower_min }),
        refused: None,
        loading_g_per_g: Some(best.loading),
        humid_share: Some(best.humid_share),
        breathed: None,
        limited_by: life.contributions.iter().take(3).map(|part| part.of).collect(),
        curve: curve(&best.course, best.plateau_ppm),
    });
}

pub(super) fn words(edge: Validity) -> &'static str {
    match edge {
        Validity::EndBelowOneThousandth => {
            "the end level is below a thousandth of what enters, where tests are few"
        }
        Validity::EndAboveHalf => {
            "the end level is above half of what enters; the time to half is given"
        }
        Validity::NearHenryRegion => "so little is held that the capacity is uncertain",
        Validity::VeryHumid => "above 65 % humidity the estimate is less sure",
        Validity::NearCriticalMass => "the bed is less than twice the depth that the front needs",
        Validity::FastAir => "the air passes faster than rates are known for; look at the bed area",
        Validity::ManyPores => "more pores than carbons have; look at the micropore volume",
    }
}

/// The usual bed of which nothing but its certification is known: its area, density, granules and
/// pores are usual for respirator cartridges (common practice, no source); its mass is what the
/// certification test proves.
pub(super) fn usual_bed() -> Result<Bed, quantity::QuantityError> {
    Ok(Bed::new(&BedParts {
        elements: 2,
        sorbent_mass: quantity::Grams::from_g(26.0)?,
        bed_area: quantity::SquareCm::from_cm2(38.5)?,
        bulk_density: quantity::GramsPerCm3::from_g_per_cm3(0.44)?,
        granule: quantity::Centimetres::from_cm(sorbent::DEFAULT_GRANULE_CM)?,
        micropore_volume: quantity::Cm3PerGram::from_cm3_per_g(0.454)?,
        reference_energy: None,
    }))
}
